import { describe, expect, test } from 'vitest';
import { demoMachines } from '../../src/demo/index.ts';
import { workplace } from '../support/workplace.ts';

const place = workplace();
const machine = place.write('gantry.json', JSON.stringify(demoMachines['bench-gantry']));
const weak = place.write(
  'weak.json',
  JSON.stringify({ name: 'weak gantry', laser: { optical_power_w: 0.02 } }),
);
const feeble = place.write(
  'feeble.json',
  JSON.stringify({ name: 'feeble gantry', laser: { optical_power_w: 1.6 } }),
);

describe('charcast suggest', () => {
  test('speaks settings for a cut, with the cautions', async () => {
    const { status, out, err } = await place.charcast(
      'suggest',
      '--want',
      'cut',
      '--machine',
      machine,
      '--thickness',
      '4',
    );
    expect(err).toBe('');
    expect(status).toBe(0);
    expect(out).toMatch(/^To get cut through on poplar plywood, 4 mm, with bench gantry$/m);
    expect(out).toMatch(/^1\. Line, burned at 1\d\d mm\/min with 100 % power \(S1000\), proportional\.$/m);
    expect(out).toMatch(/No material was given: poplar plywood was assumed/);
    expect(out.replace(/\s+/g, ' ')).toMatch(/Raise the board off the bed/);
    expect(out).toMatch(/not a safety clearance/);
    expect(out.split('\n').every((line) => line.length <= 100)).toBe(true);
  });

  test('takes the thickness from the stock, tones by number, lines, and a row spacing', async () => {
    const cut = await place.charcast(
      'suggest',
      '--want',
      'cut',
      '--machine',
      machine,
      '--stock',
      '60x40x3@5,5',
    );
    expect(cut.out).toMatch(/poplar plywood, 3 mm, with/);
    const line = await place.charcast(
      'suggest',
      '--want',
      '40%',
      '--for',
      'line',
      '--machine',
      machine,
      '--material',
      'card',
    );
    expect(line.out).toMatch(/^To get a tone of 40 % on card, with bench gantry$/m);
    expect(line.out.replace(/\s+/g, ' ')).toMatch(/The spot is oblong, 0\.12 × 0\.18 mm/);
    const rows = await place.charcast('suggest', '--want', '0.6', '--rows', '0.15', '--machine', machine);
    expect(rows.out).toMatch(/^1\. Rows 0\.15 mm apart and 50 mm long, burned at/m);
    expect(rows.out.replace(/\s+/g, ' ')).toMatch(/do not run together under this spot/);
  });

  test('rows of a stated length count the warmth they leave: short ones need less dose', async () => {
    const doses: number[] = [];
    for (const length of ['3', '100']) {
      const words = ['--want', 'brown', '--rows', '0.1', '--row-length', length, '--machine', machine];
      const { out } = await place.charcast('suggest', ...words);
      expect(out).toMatch(new RegExp(`^1\\. Rows 0\\.1 mm apart and ${length} mm long, burned at`, 'm'));
      expect(out.replace(/\s+/g, ' ')).toContain('in rows so long');
      const { out: json } = await place.charcast('suggest', ...words, '--json');
      const { suggestions } = JSON.parse(json);
      expect(suggestions[0].row_length_mm).toBe(Number(length));
      doses.push(suggestions[0].dose_j_mm2);
    }
    expect(doses[0]!).toBeLessThan(0.97 * doses[1]!);
    const bad = await place.charcast('suggest', '--want', 'brown', '--row-length', '0', '--machine', machine);
    expect([bad.status, bad.err]).toEqual([
      2,
      expect.stringContaining('--row-length 0; expected a length in mm'),
    ]);
  });

  test('--json has every number with its unit in its name', async () => {
    const { out } = await place.charcast('suggest', '--want', 'brown', '--machine', machine, '--json');
    const data = JSON.parse(out);
    expect(data).toMatchObject({
      want: { kind: 'region', region: 'brown' },
      machine: 'bench gantry',
      material: 'poplar plywood',
      thickness_mm: null,
      impossible: null,
    });
    expect(data.suggestions[0]).toMatchObject({
      for: 'rows',
      row_spacing_mm: 0.1,
      feed_mm_min: 4000,
      s: 800,
      power_percent: 80,
      power_mode: 'proportional',
      passes: 1,
      region: 'brown',
      darker: { region: 'char', power_percent: null },
      lighter: { region: 'tan' },
    });
    expect(data.suggestions[0].time_s_per_cm2).toBeGreaterThan(10);
    expect(data.cautions.join(' ')).toMatch(/not a safety clearance/);
    expect(data.notes.join(' ')).toMatch(/proportional power/);
  });

  test('what the machine cannot do is one sentence and status 1', async () => {
    const asked = ['suggest', '--want', 'cut', '--machine', weak, '--thickness', '10'];
    const { status, out, err } = await place.charcast(...asked);
    expect(status).toBe(1);
    expect(err).toBe('');
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /weak gantry does not cut 10 mm of poplar plywood: even 12 passes at full power/,
    );
    const json = await place.charcast(...asked, '--json');
    expect(json.status).toBe(1);
    expect(JSON.parse(json.out)).toMatchObject({
      suggestions: [],
      impossible: expect.stringMatching(/does not cut/),
    });
  });

  test('a cut that would take for ever says so before its settings', async () => {
    const { status, out } = await place.charcast(
      ...['suggest', '--want', 'cut', '--machine', feeble, '--thickness', '12'],
    );
    expect(status).toBe(1);
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /with feeble gantry 12 mm of poplar plywood are too thick for feeble gantry: .* 1\. Line, /,
    );
  });

  test('bad input is one sentence and status 2', async () => {
    const sentence = async (pattern: RegExp, ...words: string[]) => {
      const { status, out, err } = await place.charcast('suggest', ...words);
      expect(err).toMatch(pattern);
      expect(err.trim().split('\n')).toHaveLength(1);
      expect(out).toBe('');
      expect(status).toBe(2);
    };
    await sentence(/found --want 40; expected cut, tan, brown, char, or a tone/, '--want', '40');
    await sentence(/found no thickness to cut through; expected --thickness in mm/, '--want', 'cut');
    await sentence(
      /found a cut wanted in rows; expected a line/,
      '--want',
      'cut',
      '--thickness',
      '3',
      '--for',
      'rows',
    );
    await sentence(/required option '--want <burn>' not specified/);
    await sentence(/found --rows wide; expected a distance in mm/, '--want', 'tan', '--rows', 'wide');
    await sentence(/found --thickness -2; expected a thickness in mm/, '--want', 'cut', '--thickness', '-2');
  });

  test('help says the exit status', async () => {
    const { status, out } = await place.charcast('suggest', '--help');
    expect(status).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toMatch(/1 this machine cannot do it, or hardly; 2 bad input/);
  });
});
