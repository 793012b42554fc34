import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readMachine } from '../../src/machine/profile.ts';
import { LETTERED, NUMBERED } from '../machine/listings.ts';
import { workplace } from '../support/workplace.ts';

const place = workplace();
const numbered = place.write('numbered.txt', NUMBERED);
const lettered = place.write('lettered.txt', LETTERED);

describe('charcast machine --from', () => {
  test('writes a profile that forecasts a job, and says what each line meant', async () => {
    const output = place.path('mine.json');
    const { status, out, err } = await place.charcast(
      ...['machine', '--from', numbered, '-o', output, '--power', '10W', '--spot', '0.08x0.10'],
      ...['--wavelength', '455 nm', '--name', 'my gantry', '--baud', '115200'],
    );
    expect([status, err]).toEqual([0, '']);
    expect(out).toMatch(/Line 12\. \$110=6000\.000: x moves at up to 6000 mm\/min/);
    expect(out).toMatch(/Not used .*\n\n {2}Line 2\. “Ready/);
    expect(out).not.toMatch(/What no listing tells/);
    expect(out.split('\n').every((line) => line.length <= 100 || line.startsWith('W'))).toBe(true);
    const profile = JSON.parse(readFileSync(output, 'utf8'));
    expect(readMachine(profile)).toMatchObject({
      name: 'my gantry',
      max_speed_mm_s: [100, 75, 10],
      link: { baud: 115200 },
      laser: { optical_power_w: 10, wavelength_nm: 455, s_max: 1000 },
      spot: { width_mm: [0.08, 0.1] },
    });
    // Only what is known is written, so that defaults stay recognisable.
    expect(profile.spot).toEqual({ width_mm: [0.08, 0.1] });
    expect(profile.dwell_unit).toBeUndefined();

    const job = place.write('line.nc', 'G21\nM3 S500\nG1 X30 F6000\nM5\n');
    const made = await place.charcast('forecast', job, '--machine', output, '--json');
    expect(JSON.parse(made.out)).toMatchObject({ machine: 'my gantry', burn_mm: 30 });
    // 30 mm at 100 mm/s and 500 mm/s²: L/v + v/a.
    expect(JSON.parse(made.out).duration_s).toBeGreaterThanOrEqual(0.5);
  });

  test('asks for what no listing tells, and says how to read it otherwise', async () => {
    const { status, out } = await place.charcast('machine', '--from', lettered, '--power', '5');
    expect(status).toBe(0);
    expect(out).toMatch(/The width of the spot: 0\.1 × 0\.1 mm is taken; say --spot 0\.08x0\.10/);
    expect(out).toMatch(/The wavelength: 450 nm is taken; say --wavelength 450nm/);
    expect(out).toMatch(/"max_speed_mm_s": \[500, 300, 5\]/);
    const doubtful = place.write('doubtful.txt', 'M203 X500');
    const said = (await place.charcast('machine', '--from', doubtful, '--power', '5')).out;
    expect(said.replace(/\s+/g, ' ')).toMatch(/If that is wrong, say --m203 mm\/min\./);
    const other = (await place.charcast('machine', '--from', doubtful, '--power', '5', '--m203', 'mm/min'))
      .out;
    expect(other).toMatch(/x at up to 500 mm\/min/);
  });

  test('options go over the listing, the listing over the base', async () => {
    const base = place.write(
      'base.json',
      JSON.stringify({ name: 'old', laser: { optical_power_w: 3, s_max: 255 }, spot: { rayleigh_mm: 2 } }),
    );
    const output = place.path('over.json');
    await place.charcast(
      'machine',
      '--from',
      numbered,
      '--base',
      base,
      '-o',
      output,
      '--s-max',
      '500',
      '--bed',
      '90x80',
    );
    expect(JSON.parse(readFileSync(output, 'utf8'))).toMatchObject({
      name: 'old',
      work_area_mm: [90, 80],
      laser: { optical_power_w: 3, s_max: 500, fires_on_rapids: false },
      spot: { rayleigh_mm: 2 },
    });
  });

  test('a listing that an editor saved as UTF-16 is read', async () => {
    const text = NUMBERED.replaceAll('\n', '\r\n');
    const little = place.write('utf16.txt', Buffer.from(`\uFEFF${text}`, 'utf16le'));
    const big = place.write('utf16be.txt', Buffer.from(`\uFEFF${text}`, 'utf16le').swap16());
    for (const file of [little, big]) {
      const { out } = await place.charcast('machine', '--from', file, '--power', '5');
      expect(out).toMatch(/"max_speed_mm_s": \[100, 75, 10\]/);
    }
  });
});

describe('charcast machine --check', () => {
  test('explains a profile and names what is default', async () => {
    const profile = place.write(
      'plain.json',
      JSON.stringify({ name: 'plain', laser: { optical_power_w: 5 } }),
    );
    const { status, out } = await place.charcast('machine', '--check', profile);
    expect(status).toBe(0);
    expect(out).toMatch(/^plain\n\nThe head\n/);
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /turn round at full speed it needs 10 mm along x .*\[default: max_speed/,
    );
    expect(out).toMatch(/It gives up to 5 W of light\.\n/);
    expect(out).toMatch(/not a safety clearance/);
  });
});

describe('values that look like a slip', () => {
  const words = ['machine', '--from', place.write('slow.txt', '$110=166\n$111=166\n')];
  const odd = ['--power', '200W', '--spot', '80x100'];

  test('are asked about, all at once, and nothing is written', async () => {
    const output = place.path('odd.json');
    const { status, out, err } = await place.charcast(...words, ...odd, '-o', output);
    expect([status, out]).toEqual([2, '']);
    expect(err).toMatch(/slow\.txt: found 200 W of light \(is that the electrical power\?/);
    expect(err).toMatch(/80 × 100 mm \(0\.08 × 0\.1 mm, given in µm\?\)/);
    expect(err).toMatch(
      /166 mm\/min along x and y \(166 mm\/s, given as mm\/min\?\); expected .* --anyway$/m,
    );
    expect(existsSync(output)).toBe(false);
  });

  test('are taken with --anyway, and said wherever the profile is read', async () => {
    const output = place.path('odd.json');
    expect((await place.charcast(...words, ...odd, '-o', output, '--anyway')).status).toBe(0);
    const checked = await place.charcast('machine', '--check', output);
    expect(checked.out).toMatch(/What looks like a slip\n {2}Doubtful: It has 200 W of light/);
    const job = place.write('odd.nc', 'G21\nM3 S500\nG1 X30 F600\nM5\n');
    const made = await place.charcast('forecast', job, '--machine', output, '--out', place.path('odd'));
    expect(made.status).not.toBe(2);
    // Before anything else: the numbers below it rest on these.
    expect(made.out.split('\n')[1]).toMatch(/Look again at the machine profile: it has 200 W of light/);
    const json = await place.charcast('forecast', job, '--machine', output, '--json');
    expect(JSON.parse(json.out).notes[0]).toMatch(/Look again at the machine profile/);
  });
});

describe('what cannot be done: status 2 and one plain sentence', () => {
  const sentence = async (words: string[], pattern: RegExp): Promise<void> => {
    const { status, out, err } = await place.charcast('machine', ...words);
    expect(err).toMatch(pattern);
    expect(err.trim().split('\n')).toHaveLength(1);
    expect([status, out]).toEqual([2, '']);
  };
  const from = ['--from', numbered];

  test('no file to work on, or two', async () => {
    await sentence([], /found no file to work on, or two; expected --from LISTING or --check PROFILE/);
    await sentence([...from, '--check', numbered], /or two/);
    await sentence(
      ['--check', numbered, '--power', '5'],
      /found --power beside --check; expected it with --from/,
    );
    await sentence(['--check', numbered, '--s-max', '5'], /found --s-max beside --check/);
  });

  test('a listing alone cannot tell the optical power', async () => {
    await sentence(from, /numbered\.txt: found no optical power, .*; expected --power, as in --power 10W/);
  });

  test.each([
    [['--power', 'strong'], /found --power strong; expected watts of light, as in 10W/],
    [['--power', '0W'], /found --power 0W; expected watts/],
    [['--power', '1e9'], /found --power 1e9; expected watts/],
    [['--power', '99999'], /found 99999 for laser\.optical_power_w; expected a value of at most 10000/],
    [['--power', '5', '--spot', '0.1x'], /found --spot 0\.1x; expected its width in mm, as in 0\.08x0\.10/],
    [['--power', '5', '--wavelength', 'blue'], /found --wavelength blue; expected a wavelength in nm/],
    [['--power', '5', '--bed', '0x9'], /found --bed 0x9; expected width x height in mm/],
    [['--power', '5', '--m203', 'furlongs'], /found --m203 furlongs; expected mm\/s or mm\/min/],
    [['--power', '5', '--m205x', 'no'], /found --m205x no; expected step or deviation/],
    [['--power', '5', '--base', 'none.json'], /none\.json: found no such file/],
  ])('%j', async (words, pattern) => {
    await sentence([...from, ...words], pattern);
  });

  test('files of another kind', async () => {
    mkdirSync(place.path('folder'));
    await sentence(
      ['--from', place.path('folder'), '--power', '5'],
      /folder: found a folder; expected a file/,
    );
    await sentence(['--from', place.path('none'), '--power', '5'], /none: found no such file/);
    const picture = place.write('picture.png', Buffer.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0]));
    await sentence(
      ['--from', picture, '--power', '5'],
      /picture\.png: found a PNG picture; expected a settings listing/,
    );
    await sentence(['--check', picture], /picture\.png: found a PNG picture; expected a machine profile/);
    const large = place.write('large.txt', 'x\n'.repeat(3 << 20));
    await sentence(
      ['--from', large, '--power', '5'],
      /large\.txt: found more than 4 MB; expected a settings listing/,
    );
    await sentence(['--check', large], /large\.txt: found more than 4 MB; expected a machine profile/);
    await sentence(
      ['--check', place.write('empty.json', '\n')],
      /empty\.json: found an empty file; expected JSON/,
    );
    for (const text of ['[]', '3', 'null', '"gantry"']) {
      const list = place.write('list.json', text);
      await sentence(['--check', list], /for the profile; expected an object/);
      await sentence(
        [...from, '--power', '5', '--base', list],
        /list\.json: found .* for the profile; expected an object/,
      );
    }
  });

  test('broken JSON names the line where that is known', async () => {
    const broken = place.write(
      'broken.json',
      '{\n  "name": "gantry",\n  "laser": { "optical_power_w": 5 }\n  "spot": {}\n}\n',
    );
    await sentence(
      ['--check', broken],
      /broken\.json, line 4: found text that is not JSON \(Expected .*\); expected a JSON file/,
    );
  });

  test('an input is never overwritten, and a refused run writes nothing', async () => {
    const before = readFileSync(numbered, 'utf8');
    await sentence(
      [...from, '--power', '5', '-o', numbered],
      /numbered\.txt: found an output that would overwrite an input/,
    );
    expect(readFileSync(numbered, 'utf8')).toBe(before);
    const output = place.path('never.json');
    writeFileSync(place.path('bad.txt'), '$110=fast\n');
    await sentence(
      ['--from', place.path('bad.txt'), '--power', '5', '-o', output],
      /bad\.txt, line 1: found \$110=fast; expected a speed in mm\/min, as a plain number/,
    );
    expect(existsSync(output)).toBe(false);
  });
});
