import { existsSync, readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { readMaterial } from '../../src/burn/material.ts';
import { readSwatch } from '../../src/swatch/swatch.ts';
import { jpegOf } from '../support/jpeg.ts';
import { seeded } from '../support/random.ts';
import { workplace } from '../support/workplace.ts';
import { burnedScene, cutsThrough, paperPlace, photoOf, randomCamera, randomWood } from '../swatch/scene.ts';

/** The whole way from the command line: write a swatch, burn and photograph it by arithmetic, fit it. */
const place = workplace();
const machine = place.write(
  'machine.json',
  JSON.stringify({
    name: 'bench gantry',
    acceleration_mm_s2: [500, 400, 50],
    laser: { optical_power_w: 6, threshold_fraction: 0.03, power_levels: 255 },
    spot: { width_mm: [0.16, 0.22], rayleigh_mm: 3 },
  }),
);
const job = place.path('swatch.nc');
const companion = place.path('swatch.json');
const photo = place.path('photo.jpg');
const truth = randomWood(seeded(1234));
let cuts = '';
let white = '';

async function makeAll(): Promise<void> {
  await place.charcast('swatch', '--machine', machine, '--stock', '80x50x3', '-o', job);
  const swatch = readSwatch(JSON.parse(readFileSync(companion, 'utf8')));
  const stock = { widthMm: 80, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 };
  const scene = burnedScene(swatch, readFileSync(job, 'utf8'), stock, 5 / 64);
  const random = seeded(1235);
  const size = { widthPx: 680, heightPx: 476 };
  const camera = { ...randomCamera(scene, truth, random, { ...size, paper: true }), quality: null };
  const seen = photoOf(scene, truth, camera, random);
  place.write('photo.jpg', jpegOf(seen, 92));
  place.write('dark.jpg', jpegOf({ ...seen, data: seen.data.map((c) => c / 8) }, 92));
  cuts = cutsThrough(scene, truth).join(' ');
  white = paperPlace(scene, camera).map(Math.round).join(',');
}

beforeAll(makeAll, 60_000);

describe('charcast swatch', () => {
  test('writes the job and what it holds, and says what to do with them', async () => {
    const output = place.path('again.nc');
    const { status, out, err } = await place.charcast(
      ...['swatch', '--machine', machine, '--stock', '80x50x3@10,20', '-o', output],
    );
    expect([status, err]).toEqual([0, '']);
    expect(readFileSync(output, 'utf8')).toMatch(
      /^; calibration swatch \d{4} for bench gantry[\s\S]*\nM2\n$/,
    );
    expect(readSwatch(JSON.parse(readFileSync(place.path('again.json'), 'utf8'))).area.at_mm).toEqual([
      10, 20,
    ]);
    expect(out).toMatch(/Its code, \d{4}, is engraved at the upper right/);
    expect(out).toMatch(/Burning it takes about \d+ min/);
    expect(out).toMatch(/charcast fit --swatch .*again\.json --photo photo\.jpg --cuts "1 2 3"/);
    expect(out.replace(/\s+/g, ' ')).toMatch(/A forecast is not a safety clearance\. Wear eyewear/);
    expect(out.split('\n').filter((line) => line.length > 100 && !line.includes('Written'))).toEqual([]);
  });

  test('says that its cut lines are hopeless where they are', async () => {
    const weak = place.write(
      'weak.json',
      '{ "laser": { "optical_power_w": 1.6 }, "spot": { "width_mm": [0.08, 0.12] } }',
    );
    const words = ['swatch', '--machine', weak, '--material', 'basswood', '-o', place.path('hopeless.nc')];
    const { status, out } = await place.charcast(...words, '--stock', '60x50x12');
    expect(status).toBe(0);
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /Its cut lines may all stay uncut, and then tell nothing of removal\. 12 mm of basswood are too thick for/,
    );
  });

  test('its job is forecast as what it is: nothing is told of parts that are meant to fail', async () => {
    const { status, out } = await place.charcast(
      ...['forecast', job, '--machine', machine, '--stock', '80x50x3', '--cell', '0.2', '--json'],
    );
    const { findings, cuts, notes } = JSON.parse(out) as Record<'findings' | 'cuts' | 'notes', unknown[]>;
    expect(findings).toEqual([]);
    expect(cuts).toEqual([]);
    expect(notes.join('\n')).toMatch(/^This is a calibration swatch of Charcast/m);
    expect(status).toBe(0);
  });

  test.each([
    [['--stock', '30x30x3'], /found a board of 30 × 30 mm; expected at least/],
    [[], /found no --stock; expected the board/],
    [['--stock', '80x50x3', '-o', 'swatch.json'], /found -o swatch\.json; expected a G-code file/],
  ])('refuses %j', async (words, sentence) => {
    const { status, err } = await place.charcast('swatch', '--machine', machine, ...words);
    expect(status).toBe(2);
    expect(err).toMatch(sentence);
  });
});

const fitted = (...words: string[]) =>
  place.charcast('fit', '--swatch', companion, '--photo', photo, ...words);
/** Fitted with nothing told but the photo, once for all that look at it. */
const plain = place.path('plain.json');
let plainly: ReturnType<typeof fitted> | undefined;
const fittedPlainly = () => (plainly ??= fitted('-o', plain));

describe('charcast fit', () => {
  test('finds the wood again, says what it could not tell, and writes a profile that forecasts', async () => {
    const output = place.path('my-poplar.json');
    const { status, out, err } = await fitted(
      '--cuts',
      cuts,
      '--white',
      white,
      '--date',
      '2026-05-01',
      '-o',
      output,
    );
    expect([status, err]).toEqual([0, '']);
    const profile = readMaterial(JSON.parse(readFileSync(output, 'utf8')));
    expect(profile.name).toBe('my-poplar');
    for (const name of ['first_mark_j_mm2', 'full_char_j_mm2', 'removal_j_mm3'] as const) {
      const { value, plus_minus, basis } = profile[name];
      expect(basis).toBe('measured by a burned swatch, 2026-05-01');
      expect(Math.abs(value - truth[name].value)).toBeLessThan(3 * plus_minus!);
    }
    const { bare_lab } = profile.colour;
    expect(Math.abs(bare_lab.value[0] - truth.colour.bare_lab.value[0])).toBeLessThan(
      3 * bare_lab.plus_minus!,
    );
    expect(profile.wall_loss.basis).not.toMatch(/burned swatch/);
    expect(out).toMatch(/First mark: [\d.]+ ± [\d.]+ J\/mm²/);
    expect(out).toMatch(/Wall loss stays as it was: one thickness cannot tell it from removal/);
    expect(out).toMatch(/\d+ patches lie \d\.\d from the curve in L\*/);
    expect(out).not.toMatch(/earlier fit/);
    const picture = readFileSync(place.path('fit.png'));
    expect(picture.subarray(1, 4).toString()).toBe('PNG');
    const forecast = await place.charcast(
      'forecast',
      job,
      '--machine',
      machine,
      '--material',
      output,
      '--cell',
      '0.2',
      '--json',
    );
    expect(JSON.parse(forecast.out).material).toBe('my-poplar');
    expect(JSON.parse(forecast.out).notes.join()).not.toMatch(/partly a guess/);
  }, 60_000);

  test('without --cuts and --white leaves removal and bare colour as they were, and says so', async () => {
    const { status, out } = await fittedPlainly();
    expect(status).toBe(0);
    const profile = readMaterial(JSON.parse(readFileSync(plain, 'utf8')));
    expect(profile.removal_j_mm3.basis).not.toMatch(/burned swatch/);
    expect(profile.colour.bare_lab.basis).not.toMatch(/burned swatch/);
    expect(profile.first_mark_j_mm2.basis).toMatch(/^measured by a burned swatch, \d{4}-\d\d-\d\d$/);
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /Removal stays as it was: it was not told which cuts went through; give their numbers with --cuts/,
    );
    expect(out.replace(/\s+/g, ' ')).toMatch(
      /Bare colour stays as it was: .* white paper beside the board and --white/,
    );
  }, 60_000);

  test('cuts that say nothing but a bound', async () => {
    const { out } = await fitted('--cuts', 'none', '-o', place.path('bound.json'));
    expect(out).toMatch(/^Replaced, as it stood there before: .*fit\.png$/m);
    const [, bound] = out
      .replace(/\s+/g, ' ')
      .match(/Removal could only be bounded: no cut went through, so it is more than ([\d.]+) J\/mm³/)!;
    const { removal_j_mm3 } = readMaterial(JSON.parse(readFileSync(place.path('bound.json'), 'utf8')));
    expect(removal_j_mm3.value).toBeGreaterThan(Number(bound));
    expect(removal_j_mm3.basis).toMatch(/^a guess to be calibrated: /);
  }, 60_000);

  test.each([
    [['--cuts', '1 two'], /found two in --cuts; expected numbers of cut lines/],
    [['--cuts', '77'], /photo\.jpg: found cut 77; expected numbers from 1 to \d+/],
    [['--corners', '1,2 3,4'], /found --corners 1,2 3,4; expected 4 places in pixels/],
    [['--white', 'here'], /found --white here; expected a place in pixels/],
    [['--date', 'May'], /found --date May; expected year-month-day/],
    [['--date', '2026-99-99'], /found --date 2026-99-99, which is no day; expected year-month-day/],
    [['--date', '2026-02-30'], /found --date 2026-02-30, which is no day/],
    [
      ['--corners', '10,10 20,10 20,20 10,20'],
      /photo\.jpg: found (four corners|patches at the given corners)/,
    ],
  ])('refuses %j', async (words, sentence) => {
    const { status, err } = await fitted(...words, '-o', place.path('never.json'));
    expect(status).toBe(2);
    expect(err).toMatch(sentence);
    expect(existsSync(place.path('never.json'))).toBe(false);
  });

  test('refuses to write the profile where its picture goes', async () => {
    for (const name of ['fit.png', 'Fit.PNG']) {
      const { status, err } = await fitted('-o', place.path(`own/${name}`));
      expect(status).toBe(2);
      expect(err).toMatch(/found -o \S+, the name of the picture that goes beside the profile; expected/i);
      expect(existsSync(place.path('own'))).toBe(false);
    }
  });

  test('says that it read the code, and refuses a photo of another swatch unless told to take it', async () => {
    const key = JSON.parse(readFileSync(companion, 'utf8'));
    const own: string = key.code.text;
    const text = own.replace(/^./, (digit) => String((Number(digit) + 5) % 10));
    const other = place.write('other.json', JSON.stringify({ ...key, code: { ...key.code, text } }));
    const words = ['fit', '--photo', photo, '-o', place.path('other-wood.json')];
    expect((await fittedPlainly()).out).toContain(`It shows the code ${own}, as`);
    const refused = await place.charcast(...words, '--swatch', other);
    expect([refused.status, refused.out]).toEqual([2, '']);
    expect(refused.err).toMatch(/found a photo that does not belong to .*other\.json: it shows the code/);
    const taken = await place.charcast(...words, '--swatch', other, '--anyway');
    expect(taken.status).toBe(0);
    expect(taken.out.replace(/\s+/g, ' ')).toMatch(
      `Photo and key do not seem to belong together: it shows the code ${own} where the key has ${text}.`,
    );
  });

  test('refuses a dark photo, no photo, and to write over what it reads', async () => {
    const at = (path: string, output: string) =>
      place.charcast('fit', '--swatch', companion, '--photo', path, '-o', output);
    const dark = await at(place.path('dark.jpg'), place.path('never.json'));
    expect(dark.err).toMatch(/dark\.jpg: found a photo that is too dark/);
    const none = await at(job, place.path('never.json'));
    expect(none.err).toMatch(
      /swatch\.nc: found G-code; expected a photo of a burned swatch as a JPEG or PNG/,
    );
    const missing = await at(place.path('missing.jpg'), place.path('never.json'));
    expect(missing.err).toMatch(/missing\.jpg: found no such file/);
    const over = await at(photo, companion);
    expect(over.err).toMatch(/swatch\.json: found an output that would overwrite an input/);
    expect([dark.status, none.status, missing.status, over.status]).toEqual([2, 2, 2, 2]);
    expect(existsSync(place.path('never.json'))).toBe(false);
    expect(readSwatch(JSON.parse(readFileSync(companion, 'utf8'))).version).toBe(1);
  }, 60_000);
});

describe('several photos of one swatch', () => {
  test('are one fit; places on one photo are refused for many', async () => {
    const output = place.path('twice.json');
    const fitTwice = (...words: string[]) =>
      place.charcast('fit', '--swatch', companion, '--photo', photo, photo, ...words, '-o', output);
    const { status, out, err } = await fitTwice('--date', '2026-05-01');
    expect([status, err]).toEqual([0, '']);
    await fittedPlainly();
    const [both, one] = [output, plain].map((path) => readMaterial(JSON.parse(readFileSync(path, 'utf8'))));
    // The same photo twice says the same as once.
    expect(both!.first_mark_j_mm2.value).toBeCloseTo(one!.first_mark_j_mm2.value, 3);
    expect(out).toContain('Measured by it');
    const refused = await fitTwice('--white', white);
    expect(refused.status).toBe(2);
    expect(refused.err).toContain('found --white with 2 photos; expected one photo');
  });
});
