import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { startWhatIf } from '../../src/change/what-if.ts';
import type { Finding } from '../../src/findings/finding.ts';
import { type Forecast, forecast, forecastProgram } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { furthestApart } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { gcode } from './support.ts';

/** A what-if takes over what does not change, and gives what the whole road would give. */

const wood = shippedMaterials['poplar plywood']!;
const options = { cellMm: 0.093 };
const JOB = gcode(
  'G21 G90',
  'M3 S0',
  'G0 X10 Y5',
  'G1 X20 S500 F3000',
  'Y5.1 S0',
  'X10 S500',
  'Y5.2 S0',
  'X20 S500',
  'G0 X10 Y10',
  'G1 X20 S900 F600',
  'Y14',
  'X10',
  'Y10',
  'G0 X12 Y12 S0',
  'G4 P0.1',
  'M5',
);

const wholeRoad = (words: string, machine: Machine) =>
  forecastProgram(
    changeProgram(forecast(JOB, machine, wood, options).program, parseChanges(words), machine),
    machine,
    wood,
    options,
  );

test('operations that are scaled by more factors than layers are kept', () => {
  const machine = machineWith();
  const strokes = Array.from(
    { length: 12 },
    (_, k) => `G0 X5 Y${5 + k}\nG1 X20 S${400 + 10 * k} F${900 + k}`,
  );
  const base = forecast(gcode('G21 G90', 'M3 S0', ...strokes, 'M5'), machine, wood, options);
  expect(base.operations.length).toBe(12);
  const changes = parseChanges('all: power 90 %');
  const whole = forecastProgram(changeProgram(base.program, changes, machine), machine, wood, options);
  const changed = startWhatIf(base, options).forecast(changes);
  expect(furthestApart(changed.dose.grid.data, whole.dose.grid.data)).toBeLessThan(1e-6);
  expect(changed.findings).toEqual(whole.findings);
});

test('proportional power under a threshold is not scaled as one: a corner loses more of it than a straight', () => {
  const machine = machineWith({ laser: { threshold_fraction: 0.1 } });
  const base = forecast(JOB.replace('G1 X20 S900', 'M4\nG1 X20 S900'), machine, wood, options);
  expect(base.program.operations[1]!.powerMode).toBe('proportional');
  const changes = parseChanges('2: power 30 %');
  const whole = forecastProgram(changeProgram(base.program, changes, machine), machine, wood, options);
  const changed = startWhatIf(base, options).forecast(changes);
  expect(furthestApart(changed.dose.grid.data, whole.dose.grid.data)).toBeLessThan(1e-6);
});

test('warmth follows a change too', () => {
  const machine = machineWith();
  const base = forecast(JOB, machine, wood, options);
  expect(Math.max(...base.firings!.warmth.data)).toBeGreaterThan(5);
  for (const words of ['1: power 60 %', '1: speed 1500']) {
    const changed = startWhatIf(base, options).forecast(parseChanges(words));
    const program = changeProgram(base.program, parseChanges(words), machine);
    const whole = forecastProgram(program, machine, wood, options);
    expect(changed.firings!.warmth).toEqual(whole.firings!.warmth);
    expect(furthestApart(changed.burn.tone, whole.burn.tone)).toBeLessThan(1e-4);
  }
});

describe('what a change leaves alone', () => {
  const machine = machineWith({ lookahead_moves: 16 });
  const base = forecast(JOB, machine, wood, options);
  const whatIf = startWhatIf(base, options);

  test('power alone keeps the speeds, and scales what it changes', () => {
    const changed = whatIf.forecast(parseChanges('all: power 45 %'));
    expect(changed.motion.peakMmPerS).toBe(base.motion.peakMmPerS);
    expect(changed.motion.startS).toBe(base.motion.startS);
    // Constant power, no threshold: energy is proportional to S. Rows 500 → 450, outline 900 → 450.
    const [rows, outline] = base.operations.map(({ energyJ }) => energyJ);
    expect(changed.operations.map(({ energyJ }) => energyJ)).toEqual([
      expect.closeTo(rows! * 0.9, 9),
      expect.closeTo(outline! * 0.5, 9),
    ]);
    expect(changed.dose.energyJ).toBeCloseTo(rows! * 0.9 + outline! * 0.5, 9);
    expect(changed.beamOnS).toBeCloseTo(base.beamOnS, 9);
  });

  test('the base itself is never written into', () => {
    const before = base.dose.grid.data.slice();
    const { s } = base.program.moves;
    const sBefore = s.slice();
    whatIf.forecast(parseChanges('1: power 90 %, passes 2; 2: speed 900, proportional'));
    expect(base.dose.grid.data).toEqual(before);
    expect(s).toEqual(sBefore);
  });

  test('operations keep their numbers and say what they are now', () => {
    const { operations } = whatIf.forecast(
      parseChanges('1: overscan 3, power 60 %; 2: passes 3, speed 900, proportional'),
    ).program;
    expect(operations).toMatchObject([
      { n: 1, kind: 'rows', sMin: 600, sMax: 600, passes: 1 },
      { n: 2, kind: 'outline', feedMmPerS: 15, powerMode: 'proportional', passes: 3 },
    ]);
  });

  test('no change gives the same', () => {
    const same = whatIf.forecast([]);
    expect(furthestApart(same.dose.grid.data, base.dose.grid.data)).toBe(0);
    expect(same.findings).toEqual(base.findings);
    expect(same.notes).toEqual(base.notes);
  });
});

describe('grids of a spent forecast', () => {
  const machine = machineWith({ lookahead_moves: 16 });
  const base = forecast(JOB, machine, wood, options);
  const whatIf = startWhatIf(base, options);

  test('are written over', () => {
    const spent = whatIf.forecast(parseChanges('all: power 45 %'));
    const next = whatIf.forecast(parseChanges('1: power 60 %'), spent);
    expect(next.dose.grid.data).toBe(spent.dose.grid.data);
    expect(next.burn.tone).toBe(spent.burn.tone);
  });

  test("are never the base's own", () => {
    expect(() => whatIf.forecast([], base)).toThrow(/invalid spent forecast: the base itself/);
  });
});

describe('the same as the whole road', () => {
  const inWords = ({ kind, message, remedy }: Finding) => ({ kind, message, remedy });
  const slowLink: Machine['link'] = { baud: 2400, ack_bytes: 4, lines_per_second: null };
  const machines: [string, Partial<Machine['laser']>, Machine['link']][] = [
    ['a plain beam', {}, null],
    ['power levels', { power_levels: 255, threshold_fraction: 0.03 }, null],
    ['a beam on in rapids', { fires_on_rapids: true }, null],
    ['a late beam', { rise_time_ms: 0.1 }, null],
    [
      'a late beam with a threshold',
      { rise_time_ms: 0.05, power_levels: 255, threshold_fraction: 0.03 },
      null,
    ],
    ['a link that holds the head back', {}, slowLink],
  ];
  const changes = [
    '1: power 90 %',
    '2: power 30 %',
    '1: power 100 %',
    '1: power 0.01 %; 2: power 1 %',
    '1: power 61 %; 2: power 25 %',
    '1: overscan 2; 2: power 25 %',
    '1: passes 2; 2: speed 300, power 33 %',
    '2: proportional',
    '1: last',
    '1: last, power 60 %; 2: speed 700',
    '2: inside first, passes 2',
    'all: speed 1000, power 77 %, proportional, passes 2',
  ];
  test.each(machines)('%s', (_, laser, link) => {
    const machine = machineWith({ lookahead_moves: 16, link, laser: { optical_power_w: 8, ...laser } });
    // One what-if for all, so that what it keeps is used again, over the grids of the forecast before.
    const whatIf = startWhatIf(forecast(JOB, machine, wood, options), options);
    // A late beam counts as dark or settled at 1e-9 of full power, which is 1e-5 of what a dim one gives.
    const within = laser.rise_time_ms ? 1e-4 : 1e-6;
    let changed: Forecast | null = null;
    // With the beam on in rapids, another order would burn elsewhere, and is refused.
    const possible = changes.filter((words) => !laser.fires_on_rapids || !/last|inside/.test(words));
    for (const words of possible) {
      changed = whatIf.forecast(parseChanges(words), changed);
      const whole = wholeRoad(words, machine);
      expect(furthestApart(changed.dose.grid.data, whole.dose.grid.data), words).toBeLessThan(within);
      expect(furthestApart(changed.dose.doseLnDwell, whole.dose.doseLnDwell), words).toBeLessThan(within);
      expect(changed.dose.energyJ, words).toBeCloseTo(whole.dose.energyJ, 9);
      expect(changed.motion.durationS, words).toBe(whole.motion.durationS);
      expect(furthestApart(changed.burn.tone, whole.burn.tone), words).toBeLessThan(1e-5);
      expect(changed.findings.map(inWords), words).toEqual(whole.findings.map(inWords));
      expect(changed.burnMm, words).toBeCloseTo(whole.burnMm, 9);
    }
  });
});

/** Rests with the beam on belong to the move that led there, and are not scaled with its power where they have an S of their own. */
describe('rests that burn, and an S beyond the scale', () => {
  const resting = gcode(
    'G21 G90',
    'M3 S0',
    'G0 X10 Y5',
    'G1 X20 S500 F3000',
    'M3 S300',
    'G4 P0.2',
    'G1 X20 Y8 S0',
    'G1 X10 S700 F600',
    'G4 P0.1',
    'G0 X10 Y12',
    'G1 X20 S1200 F900',
    'M3 S0',
    'G0 X10 Y15',
    'G1 X20 S200 F1100',
    'M5',
  );
  const machine = machineWith({ lookahead_moves: 16 });
  const base = forecast(resting, machine, wood, options);
  const whatIf = startWhatIf(base, options);

  test.each([
    '1: power 80 %',
    '2: power 50 %',
    '3: power 60 %',
    '4: power 30 %',
    'all: power 40 %',
    '1: last',
    '2: last',
    '1: speed 2000',
    '2: proportional',
  ])('%s', (words) => {
    const changes = parseChanges(words);
    const whole = forecastProgram(changeProgram(base.program, changes, machine), machine, wood, options);
    const changed = whatIf.forecast(changes);
    expect(furthestApart(changed.dose.grid.data, whole.dose.grid.data)).toBeLessThan(1e-6);
    expect(changed.dose.energyJ).toBeCloseTo(whole.dose.energyJ, 9);
    expect(changed.operations.map(({ energyJ }) => energyJ)).toEqual(
      whole.operations.map(({ energyJ }) => expect.closeTo(energyJ, 9)),
    );
  });
});
