import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { PNG } from 'pngjs';
import { describe, expect, test } from 'vitest';
import { demoMachines } from '../../src/demo/index.ts';
import { lineJob, rowsJob } from '../support/setting-jobs.ts';
import { workplace } from '../support/workplace.ts';

const place = workplace();
const machine = place.write('gantry.json', JSON.stringify(demoMachines['bench-gantry']));
const job = place.write(
  'marker.nc',
  rowsJob({ feedMmPerMin: 3000, s: 600, rowSpacingMm: 0.1 }) +
    lineJob({ feedMmPerMin: 900, s: 1000, passes: 2 }),
);

describe('charcast chart', () => {
  test('rows of a stated length say so, and are darker the shorter they are', async () => {
    const charUpTo: number[] = [];
    for (const length of ['3', '100']) {
      const words = ['chart', '--for', 'rows', '--rows', '0.1', '--row-length', length, '--machine', machine];
      const { out, status } = await place.charcast(...words, '-o', place.path('rows.png'));
      expect(status).toBe(0);
      const said = new RegExp(
        `^Rows 0\\.1 mm apart and ${length} mm long, at full power: .*?char up to (\\d+) mm/min`,
        's',
      );
      charUpTo.push(Number(said.exec(out.slice(out.indexOf('Rows 0.1')).replace(/\s+/g, ' '))![1]));
    }
    expect(charUpTo[0]!).toBeGreaterThan(charUpTo[1]!);
  });

  test('draws the chart of a job and says what each operation does', async () => {
    const out = place.path('chart.png');
    const words = [
      'chart',
      job,
      '--machine',
      machine,
      '--material',
      'poplar plywood',
      '--stock',
      '60x40x4',
      '-o',
      out,
    ];
    const { status, out: said, err } = await place.charcast(...words);
    expect(err).toBe('');
    expect(status).toBe(0);
    expect(PNG.sync.read(readFileSync(out)).width).toBeGreaterThan(1700);
    expect(said).toMatch(
      /^Speed and power on poplar plywood, 4 mm thick; bench gantry, 5 W at 450 nm; marker\.nc$/m,
    );
    expect(said.replace(/\n {2}/g, ' ')).toMatch(
      /^Rows 0\.1 mm apart and 20 mm long, at full power: cut through up to 12\d mm\/min, char up to 3\d{3} mm\/min/m,
    );
    expect(said).toMatch(
      /1\. Rows, burned at 3000 mm\/min with 60 % power, proportional: brown, between tan and char,\s+0\.59 J\/mm²\./,
    );
    expect(said.replace(/\s+/g, ' ')).toMatch(
      /2\. Outline, burned twice .* char on nearly every such board, 5\.9 J\/mm²; 10\s+passes cut through on 19 of 20 such boards\./,
    );
    expect(said).toMatch(/partly a guess/);
    expect(said.replace(/\s+/g, ' ')).toMatch(/Before cutting: raise the board/);
    expect(said).toMatch(/not a safety clearance/);
    expect(said).toMatch(/Written: .*chart\.png$/m);
    expect(said.split('\n').every((each) => each.length <= 100 || each.startsWith('Written'))).toBe(true);
  });

  test('needs no job: rows and lines, or the one asked for', async () => {
    const out = place.path('both.png');
    const both = await place.charcast('chart', '--machine', machine, '--thickness', '3', '-o', out);
    expect(both.out).toMatch(/^Rows 0\.1 mm apart/m);
    expect(both.out).toMatch(/^Lines, at full power/m);
    const rows = await place.charcast(
      'chart',
      '--machine',
      machine,
      '--for',
      'rows',
      '--rows',
      '0.2',
      '--passes',
      '2',
      '-o',
      out,
    );
    expect(rows.status).toBe(0);
    expect(rows.out).toMatch(/^Rows 0\.2 mm apart and 50 mm long, 2 passes, at full power: char up to/m);
    expect(rows.out).toMatch(/thickness not given/);
    expect(rows.out).not.toMatch(/^Lines/m);
    expect(rows.out).not.toMatch(/cutting/);
  });

  test('--json tells too how much more falls where the head hardly ever comes up to the feed', async () => {
    const rows = Array.from(
      { length: 18 },
      (_, k) => `G0 X10 Y${(10 + k * 0.08).toFixed(2)}\nG1 X11.5 S120 F5500`,
    );
    const short = place.write('short.nc', `G21 G90\nM3 S0\n${rows.join('\n')}\nM5\n`);
    const words = ['chart', short, '--machine', machine, '-o', place.path('short.png')];
    const said = (await place.charcast(...words)).out.replace(/\s+/g, ' ');
    const [, times] = /hardly ever comes up to that feed, so that it gets (\S+) times that dose/.exec(said)!;
    const { panels } = JSON.parse((await place.charcast(...words, '--json')).out);
    expect(panels[0].operations[0].slow_dose_times).toBeCloseTo(Number(times), 1);
    expect(Number(times)).toBeGreaterThan(1.5);
  });

  test('--json prints the same chart as data', async () => {
    const out = place.path('data.png');
    const { out: said } = await place.charcast(
      'chart',
      job,
      '--machine',
      machine,
      '--thickness',
      '4',
      '--json',
      '-o',
      out,
    );
    const data = JSON.parse(said);
    expect(data.panels.map((panel: { for: string }) => panel.for)).toEqual(['rows', 'line']);
    const [rows, line] = data.panels;
    expect(rows.row_spacing_mm).toBe(0.1);
    expect(rows.speeds_mm_min[1]).toBe(6000);
    expect(rows.edges.map((edge: { region: string }) => edge.region)).toEqual([
      'tan',
      'brown',
      'char',
      'cut',
    ]);
    expect(rows.edges[0].places.at(-1)[1]).toBe(100);
    expect(line.operations).toMatchObject([
      {
        n: 2,
        feed_mm_min: 900,
        power_percent: [100, 100],
        passes: 2,
        region: 'char',
        chance_through: 0,
        passes_for_sure: 10,
      },
    ]);
    expect(line.operations[0].slow_dose_times).toBe(null);
    // Equal dose on paper: 5 W at 100 % over v and 0.1 mm.
    const { dose_j_mm2, places } = rows.equal_doses[3];
    expect(5 / (places.at(-1)[0] / 60) / 0.1 / dose_j_mm2).toBeCloseTo(1, 4);
    expect(existsSync(out)).toBe(true);
  });

  test('what cannot be drawn is one plain sentence, status 2, and no file', async () => {
    const out = place.path('none.png');
    const sentence = async (pattern: RegExp, ...words: string[]) => {
      const { status, out: said, err } = await place.charcast('chart', ...words, '-o', out);
      expect(err).toMatch(pattern);
      expect(err.trim().split('\n')).toHaveLength(1);
      expect(said).toBe('');
      expect(status).toBe(2);
      expect(existsSync(out)).toBe(false);
    };
    await sentence(/none\.nc: found no such file/, place.path('none.nc'));
    await sentence(
      /travel\.nc: found nothing that burns; expected/,
      place.write('travel.nc', 'G21 G90\nG0 X5\n'),
    );
    await sentence(
      /lines\.nc: found nothing that burns in rows/,
      place.write('lines.nc', lineJob({ feedMmPerMin: 900, s: 1000, passes: 1 })),
      '--for',
      'rows',
    );
    await sentence(/found --rows 0; expected a distance in mm from 0\.005 to 10/, '--rows', '0');
    await sentence(/found --thickness thick; expected a thickness in mm/, '--thickness', 'thick');
    await sentence(/found --passes 1\.5; expected a whole number/, '--passes', '1.5');
    await sentence(/argument 'circles' is invalid/, '--for', 'circles');
  });

  test('an input is never overwritten', async () => {
    const before = readFileSync(job, 'utf8');
    const { status, err } = await place.charcast('chart', job, '--machine', machine, '-o', job);
    expect(status).toBe(2);
    expect(err).toMatch(/would overwrite an input/);
    expect(readFileSync(job, 'utf8')).toBe(before);
    expect(readdirSync(place.path('.')).filter((name) => name.endsWith('.part'))).toEqual([]);
  });
});
