import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/errors.ts';
import { type Choices, machineFromListing, type PartialMachine } from '../../src/machine/listing.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { LETTERED, NUMBERED, PER_MINUTE } from './listings.ts';

const BASE: PartialMachine = { laser: { optical_power_w: 10 } };
const read = (text: string, choices: Choices = {}, base: PartialMachine = BASE) =>
  machineFromListing(text, base, choices);
const machineOf = (text: string, choices?: Choices) => readMachine(read(text, choices).profile);

function refusal(text: string, base: PartialMachine = BASE): InputError {
  try {
    machineFromListing(text, base);
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error(`read without complaint: ${text}`);
}

/** What a listing's line was said to mean, or why it was not used. */
const toldOf = (text: string, line: number, choices?: Choices): string =>
  read(text, choices)
    .told.filter((told) => told.line === line)
    .map((told) => told.text)
    .join('\n');
const unusedOf = (text: string, line: number): string =>
  read(text)
    .unused.filter((remark) => remark.line === line)
    .map((remark) => remark.text)
    .join('\n');

describe('numbered settings', () => {
  test('a whole listing makes a working profile', () => {
    expect(machineOf(NUMBERED)).toMatchObject({
      work_area_mm: [300, 200],
      max_speed_mm_s: [100, 75, 10],
      acceleration_mm_s2: [500, 400, 50],
      cornering: { rule: 'junction-deviation', deviation_mm: 0.01 },
      arc_tolerance_mm: 0.002,
      lookahead_moves: 15,
      dwell_unit: 's',
      laser: { optical_power_w: 10, s_max: 1000, fires_on_rapids: false, m4_power: 'proportional' },
    });
  });

  test('every line is told or named as unused, but for blanks and acknowledgements', () => {
    const { told, unused } = read(NUMBERED);
    const lines = NUMBERED.split('\n').flatMap((text, k) => (/^(ok)?$/.test(text) ? [] : [k + 1]));
    expect([...told, ...unused].map(({ line }) => line).sort((a, b) => a - b)).toEqual(lines);
    for (const { text } of [...told, ...unused]) expect(text).toMatch(/^\S.{8,}\.$/);
  });

  test('what was not used is kept in the profile, unless it is no setting', () => {
    const { notes } = read(NUMBERED).profile;
    expect(notes).toContain(
      '$1=25: how long the motors are held at rest, in ms; the forecast does not need it.',
    );
    expect(notes!.join('\n')).not.toMatch(/Ready/);
  });

  test('guard: $110 is per minute and $120 per second; a slip would be a factor of 60', () => {
    const { max_speed_mm_s, acceleration_mm_s2 } = machineOf('$110=6000\n$120=6000');
    expect(max_speed_mm_s[0] * 60).toBe(6000);
    expect(acceleration_mm_s2[0]).toBe(6000);
  });

  test('the laser mode decides rapids and M4', () => {
    expect(machineOf('$32=0').laser).toMatchObject({ fires_on_rapids: true, m4_power: 'constant' });
    expect(toldOf('$32=0', 1)).toMatch(/the beam stays on in rapids/);
  });

  test.each([
    ['S scales of any size', '$30=255', { laser: { s_max: 255 } }],
    ['blanks', '  $ 30 = 12000.5  ', { laser: { s_max: 12000.5 } }],
    ['descriptions', '$30=255. (rpm max)', { laser: { s_max: 255 } }],
    ['comments', '$30=255 ; full power', { laser: { s_max: 255 } }],
    ['echoes and clock times', '[10:21:07.113] >>> $30=255', { laser: { s_max: 255 } }],
    ['lone carriage returns', '$30=255\r$11=0\r', { cornering: { deviation_mm: 0 } }],
    ['a byte-order mark', '\uFEFF$30=255', { laser: { s_max: 255 } }],
  ])('%s', (_, text, profile) => {
    expect(machineOf(text)).toMatchObject(profile);
  });

  test('axes that are not named keep the base’s values, or the defaults', () => {
    expect(machineOf('$110=600').max_speed_mm_s).toEqual([10, 100, 10]);
    const base: PartialMachine = { ...BASE, max_speed_mm_s: [50, 40, 5], spot: { width_mm: [0.2, 0.3] } };
    expect(read('$110=600', {}, base).profile).toMatchObject({
      max_speed_mm_s: [10, 40, 5],
      spot: { width_mm: [0.2, 0.3] },
    });
  });

  test('of a setting that stands twice the last counts, and that is said', () => {
    expect(machineOf('$30=255\n$110=600\n$30=1000').laser.s_max).toBe(1000);
    expect(unusedOf('$30=255\n$110=600\n$30=1000', 1)).toMatch(
      /\$30 stands again on line 3; what comes last counts/,
    );
  });

  test.each([
    ['$31=20\n$30=255', 1, /an S between 0 and 20 gives the power of S20/],
    [`$31=${'9'.repeat(400)}\n$30=255`, 1, /^\$31=9{40}…: an S between 0 and 9{40}… gives/],
    ['$30=255\n$400=7', 2, /^\$400=7: not known here\.$/],
    ['$30=255\n$0=very fast', 2, /^\$0=very fast: step pulse time/],
    ['$30=255\nerror:3', 2, /^“error:3” is no setting\.$/],
    ['$30=255\n$N0=G54', 2, /^“\$N0=G54” is no setting\.$/],
  ])('%j: line %i is named as unused', (text, line, sentence) => {
    expect(unusedOf(text, line)).toMatch(sentence);
  });

  test.each([
    ['$110=0', /^found \$110=0; expected a speed in mm\/min, from 0\.06 to 6000000$/],
    ['$110=-6000', /^found \$110=-6000; expected a speed in mm\/min/],
    ['$110=6000,0', /^found \$110=6000,0; expected a speed in mm\/min, as a plain number$/],
    ['$110=', /^found \$110=; expected a speed in mm\/min, as a plain number$/],
    ['$120=NaN', /^found \$120=NaN; expected an acceleration in mm\/s², as a plain number$/],
    ['$120=1e3', /^found \$120=1e3; expected an acceleration in mm\/s², as a plain number$/],
    [
      `$120=${'9'.repeat(400)}`,
      /^found \$120=9{24}…; expected an acceleration in mm\/s², from 0\.01 to 1000000000000$/,
    ],
    ['$11=-0.01', /^found \$11=-0\.01; expected a junction deviation in mm, from 0/],
    ['$12=0', /^found \$12=0; expected an arc tolerance in mm, from 0\.00001 to 10$/],
    ['$30=0', /^found \$30=0; expected the S of full power, from 0\.001/],
    ['$32=2', /^found \$32=2; expected 1 \(laser mode\) or 0$/],
    ['$130=0', /^found \$130=0; expected a length in mm/],
  ])('%s is refused with its line', (text, message) => {
    expect(refusal(`$0=10\n${text}\n$1=25`)).toMatchObject({
      line: 2,
      sentence: expect.stringMatching(message),
    });
  });
});

describe('settings as M words', () => {
  test('a whole listing makes a working profile', () => {
    expect(machineOf(LETTERED)).toMatchObject({
      max_speed_mm_s: [500, 300, 5],
      acceleration_mm_s2: [2000, 1500, 100],
      cornering: { rule: 'speed-step', step_mm_s: 8 },
      dwell_unit: 'ms',
      laser: { optical_power_w: 10, s_max: 255 },
    });
    expect(toldOf(LETTERED, 0)).toMatch(/S255 was taken as full power.*\n.*count milliseconds/);
  });

  test('the dialect that counts per minute', () => {
    expect(machineOf(PER_MINUTE)).toMatchObject({
      work_area_mm: [300, 200],
      max_speed_mm_s: [300, 200, 10],
      acceleration_mm_s2: [800, 800, 20],
      cornering: { rule: 'speed-step', step_mm_s: 8 },
    });
    expect(toldOf(PER_MINUTE, 3)).toMatch(
      /x at up to 18000 mm\/min.*read in mm\/min, since the listing has M566 too/,
    );
  });

  test('what the base says of S and G4 is not guessed over', () => {
    const base: PartialMachine = { dwell_unit: 's', laser: { optical_power_w: 10, s_max: 1000 } };
    const { profile, told } = read(LETTERED, {}, base);
    expect(profile).toMatchObject({ dwell_unit: 's', laser: { s_max: 1000 } });
    expect(told.filter(({ line }) => line === 0)).toEqual([]);
  });

  describe('guard: the unit of M203, a factor of 60', () => {
    test.each<[string, string, Choices, number, RegExp, string | undefined]>([
      ['by choice', 'M203 X500', { m203: 'mm/min' }, 500 / 60, /as you said/, undefined],
      ['by choice', 'M203 X18000', { m203: 'mm/s' }, 18000, /as you said/, undefined],
      ['by its caption', '; speeds (units/s)\nM203 X1500', {}, 1500, /as the listing says/, undefined],
      ['by its caption', '; speeds (mm/min)\nM203 X900', {}, 15, /as the listing says/, undefined],
      ['by its own comment', 'M203 X900 ; mm/min', {}, 15, /as the listing says/, undefined],
      ['by S1', 'M203 S1 X2000', {}, 2000, /as its S1 says/, undefined],
      ['by M566', 'M203 X900\nM566 X600', {}, 15, /M566/, 'mm/s'],
      ['by its size', 'M203 X999 Y80', {}, 999, /999 mm\/min would be very slow/, 'mm/min'],
      ['by its size', 'M203 X80 Y6000', {}, 80 / 60, /no small gantry does 6000 mm\/s/, 'mm/s'],
    ])('%s: %j with %j', (_, text, choices, mmPerS, why, other) => {
      expect(machineOf(text, choices).max_speed_mm_s[0]).toBeCloseTo(mmPerS, 9);
      const told = read(text, choices).told.find((each) => each.text.startsWith('M203'))!;
      expect(told.text).toMatch(why);
      expect(told.doubt).toEqual(other && { choice: 'm203', other });
    });
  });

  describe('the two meanings of M205 X', () => {
    const step = (step_mm_s: number) => ({ rule: 'speed-step', step_mm_s });
    const deviation = (deviation_mm: number) => ({ rule: 'junction-deviation', deviation_mm });
    test.each<[string, Choices, object, RegExp, string | undefined]>([
      ['M205 X10 Y8', {}, step(8), /480 mm\/min at once, the smaller of x and y\./, undefined],
      ['M205 J0.013 S0', {}, deviation(0.013), /deviation of 0\.013 mm\./, undefined],
      ['M205 X0.05 S0', {}, deviation(0.05), /since X is below 0\.5 and alone/, 'step'],
      ['M205 X9', {}, step(9), /since X is 0\.5 or more/, 'deviation'],
      ['M205 X0.05', { m205x: 'step' }, step(0.05), /as you said/, undefined],
      ['M205 X9', { m205x: 'deviation' }, deviation(9), /as you said/, undefined],
      ['; junction deviation (mm)\nM205 X0.9', {}, deviation(0.9), /as the listing says/, undefined],
      ['; X<max_jerk>\nM205 X0.3', {}, step(0.3), /as the listing says/, undefined],
      ['M205 Y7 B20000', {}, step(7), /420 mm\/min at once\./, undefined],
      // Per minute: a slip would be a factor of 60.
      ['M566 X600 Y600', {}, step(10), /600 mm\/min at once\./, undefined],
    ])('%j with %j', (text, choices, cornering, why, other) => {
      expect(machineOf(text, choices).cornering).toEqual(cornering);
      const told = read(text, choices).told.find((each) => /^M[25]/.test(each.text))!;
      expect(told.text).toMatch(why);
      expect(told.doubt).toEqual(other && { choice: 'm205x', other });
    });
  });

  test.each([
    ['M204 limits M201', 'M201 X3000 Y100\nM204 P500', [500, 100, 50]],
    ['whatever their order', 'M204 P500\nM201 X3000 Y100', [500, 100, 50]],
    ['M204 alone', 'M204 S700 T900', [700, 700, 50]],
    ['M204 with a z of its own', 'M204 S700 Z20', [700, 700, 20]],
    ['z too, where it is named', 'M201 Z9000\nM204 P500', [500, 500, 500]],
  ])('acceleration: %s', (_, text, acceleration) => {
    expect(machineOf(text).acceleration_mm_s2).toEqual(acceleration);
  });

  test('lengths behind G20 are inches', () => {
    expect(machineOf('G20\nM203 X10\nM201 X100\nM205 X0.4 Y0.4')).toMatchObject({
      max_speed_mm_s: [254, 100, 10],
      acceleration_mm_s2: [2540, 500, 50],
      cornering: { step_mm_s: expect.closeTo(10.16, 9) },
    });
  });

  test.each([
    ['M208 X0:250 Y-10:190', [250, 200]],
    ['M208 X250 Y190', [250, 190]],
    ['M208 X250', [250, 400]],
  ])('%s', (text, area) => {
    expect(machineOf(text).work_area_mm).toEqual(area);
  });

  test('lower case and words without blanks', () => {
    expect(machineOf('m203x100y80.5z10').max_speed_mm_s).toEqual([100, 80.5, 10]);
  });

  test.each([
    ['M203 X100 E25', 1, /the forecast does not need E25\.$/],
    ['M203 X100\nM92 X80', 2, /^M92 X80: steps for a millimetre; the forecast does not need them\.$/],
    ['M203 X100\nM206 X5', 2, /shifts the origin/],
    ['M203 X100\nM999 X5 blah', 2, /^M999 X5 blah: not known here\.$/],
    ['M203 X100\nM205 B20000', 2, /nothing in it concerns the corners of x and y/],
    ['M203 X100\nM204 T900', 2, /nothing in it concerns moves at feed/],
  ])('%j: line %i is named as unused', (text, line, sentence) => {
    expect(unusedOf(text, line)).toMatch(sentence);
  });

  test.each([
    ['M203 X', /^found “X” in M203; expected words such as X500$/],
    ['M203 X5OO', /^found “OO” in M203; expected words such as X500$/],
    ['M203 X100 X200', /^found two X words in M203; expected one$/],
    ['M203 X1e3', /^found M203 X1e3; expected a speed .*, as a plain number$/],
    ['M203 X1.5E+3Y2', /^found M203 X1\.5E\+3; expected a speed .*, as a plain number$/],
    ['M203 X0', /^found M203 X0; expected a speed in mm\/s, from 0\.001 to 100000$/],
    ['M201 X-5', /^found M201 X-5; expected an acceleration in mm\/s²/],
    ['M201 X1.2.3', /^found M201 X1\.2\.3; expected an acceleration in mm\/s², as a plain number$/],
    ['M208 X0:1:2', /^found X0:1:2 in M208; expected one place or two$/],
    ['M205 J-1', /^found M205 J-1; expected a junction deviation in mm/],
  ])('%s is refused with its line', (text, message) => {
    expect(refusal(`\n${text}`)).toMatchObject({ line: 2, sentence: expect.stringMatching(message) });
  });

  test('a bed that ends before it begins is refused', () => {
    expect(refusal('M208 X100 S1\nM208 X100').sentence).toMatch(
      /^found a bed that ends at 100 mm along x but begins at 100 mm/,
    );
  });
});

describe('what is no listing', () => {
  test.each([
    ['', /^found no settings; expected a listing with lines such as \$110=6000 or M203 X100 Y100$/],
    ['ok\nok', /^found no settings/],
    ['G20', /^found no settings/],
    ['$0=10', /^found no settings/],
    ['G21 G90\nG1 X10 F600', /^found no settings/],
    ['{"name": "gantry"}', /^found no settings/],
    ['\u0089PNG\r\n\u001a\n', /^found a control character \(code 137\), so this is not a text file/],
    ['$\u00001\u00001\u00000\u0000', /^found a control character \(code 0\)/],
    [
      `$110=${'6'.repeat(5000)}`,
      /^found a line of 5005 characters; expected the short lines of a settings listing$/,
    ],
  ])('%j', (text, message) => {
    expect(refusal(text).sentence).toMatch(message);
  });

  test('a base without the optical power is refused: no listing can tell it', () => {
    expect(refusal('$110=6000', {}).sentence).toMatch(/^found no optical power; expected it from elsewhere/);
  });

  test('a base that is no sound profile is refused', () => {
    expect(refusal('$110=6000', { laser: { optical_power_w: -1 } }).sentence).toMatch(
      /laser\.optical_power_w/,
    );
  });

  test('a long text is told shortened', () => {
    const { unused, profile } = read(`$110=6000\n${'what is this\n'.repeat(5000)}${'$999=1\n'.repeat(5000)}`);
    expect(unused.length).toBe(201);
    expect(unused.at(-1)!.text).toMatch(/^\d+ further lines were not used\.$/);
    expect(profile.notes!.length).toBeLessThanOrEqual(201);
  });
});

test('property: settings survive the way into a listing and back, whatever surrounds them', () => {
  const speed = fc.integer({ min: 60, max: 60_000 });
  const numbered = fc.tuple(
    speed,
    speed,
    fc.integer({ min: 10, max: 20_000 }),
    fc.integer({ min: 1, max: 100_000 }),
  );
  const around = fc.constantFrom('', 'ok\n', '> $$\n', '[MSG:Caution]\n', '\n\n');
  const end = fc.constantFrom('\n', '\r\n', '\r');
  fc.assert(
    fc.property(numbered, around, end, ([x, y, a, s], text, newline) => {
      const listing = `${text}$110=${x}.000\n${text}$111=${y}\n$120=${a}.0\n$30=${s}\n${text}`;
      const machine = machineOf(listing.replaceAll('\n', newline));
      expect(machine.max_speed_mm_s[0] * 60).toBeCloseTo(x, 6);
      expect(machine.max_speed_mm_s[1] * 60).toBeCloseTo(y, 6);
      expect(machine.acceleration_mm_s2[0]).toBe(a);
      expect(machine.laser.s_max).toBe(s);
    }),
    { numRuns: 200 },
  );
});

describe('a listing that tells a limit of one axis alone', () => {
  const taken = (text: string, base?: PartialMachine) =>
    read(text, {}, base)
      .told.filter(({ line, text }) => line === 0 && / along [xy]: /.test(text))
      .map(({ text }) => text);

  test('what is taken for the other is said', () => {
    expect(taken('$111=3000\n$120=400\n$131=300')).toEqual([
      'The listing tells no top speed along x: 100 mm/s is taken.',
      'The listing tells no acceleration along y: 500 mm/s² is taken.',
      'The listing tells no length of the bed along x: 400 mm is taken.',
    ]);
  });

  test('not where it tells both or neither, nor where the base tells', () => {
    expect(taken('$110=3000\n$111=3000\n$30=1000')).toEqual([]);
    expect(taken('$120=400', { ...BASE, acceleration_mm_s2: [300, 200, 50] })).toEqual([]);
    expect(taken('M204 P300')).toEqual([]);
  });
});
