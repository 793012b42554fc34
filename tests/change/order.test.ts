import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { adjustText } from '../../src/change/adjust-text.ts';
import { airOf } from '../../src/change/air-assist.ts';
import type { Change } from '../../src/change/change.ts';
import { changeProgram } from '../../src/change/change-program.ts';
import { linesOf, readLines } from '../../src/change/line-table.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { InputError } from '../../src/errors.ts';
import { forecast } from '../../src/forecast.ts';
import { burnsAtFeed } from '../../src/program/beam-on.ts';
import type { Program } from '../../src/program/program.ts';
import { furthestApart } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { randomChanges, randomJob, randomNest } from './random-jobs.ts';
import { adjust, gcode, read } from './support.ts';

/** The same burning in another order. */

const machine = machineWith({ lookahead_moves: 16, spot: { width_mm: [0.3, 0.4] } });
const wood = shippedMaterials['poplar plywood']!;

/** Every burning move as words: where from, where to, and how. */
function burned({ moves }: Program): string[] {
  const made: string[] = [];
  const round = (mm: number) => (Math.round(mm * 1e4) / 1e4 + 0).toFixed(4);
  for (let k = 0; k < moves.count; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    const from = k === 0 ? [0, 0] : [moves.xMm[k - 1]!, moves.yMm[k - 1]!];
    const to = [moves.xMm[k]!, moves.yMm[k]!];
    const how = [moves.s[k], moves.powerMode[k], moves.feedMmPerS[k]!.toFixed(4)];
    made.push([...[...from, ...to].map(round), ...how].join(' '));
  }
  return made;
}

/** The air each burning move has, beside what it burns. */
function burnedInAir(text: string): string[] {
  const table = readLines(text, { arcToleranceMm: 0.002, dwellUnit: 's' });
  const air = airOf(linesOf(table, [text]), table);
  const { moves } = table.program;
  const lines = Array.from({ length: moves.count }, (_, k) => k).filter((k) => burnsAtFeed(moves, k));
  return burned(table.program).map((words, k) => `${words} air ${air?.[moves.line[lines[k]!]!] ?? 0}`);
}

describe('an operation burned last', () => {
  const JOB = gcode(
    'G21 G90',
    'M4 S0',
    'G0 X5 Y5',
    'G1 X15 S500 F3000',
    'Y5.1 S0',
    'X5 S500',
    'Y5.2 S0',
    'X15 S500',
    'M5',
    'M3 S0 ; cut',
    'M8',
    'G0 X1 Y0',
    'G2 X1 Y0 I10 S1000 F300',
    'G2 X1 Y0 I10',
    'M9',
    'M4 S0',
    'G0 X20 Y20',
    'G1 X30 S400 F1200',
    'M5',
    'G0 X0 Y0',
    'M2',
  );

  test('takes its way, its beam words, its air and all its passes along', () => {
    expect(adjust(JOB, '2: last')).toBe(
      gcode(
        'G21 G90',
        'M4 S0',
        'G0 X5 Y5',
        'G1 X15 S500 F3000',
        'Y5.1 S0',
        'X5 S500',
        'Y5.2 S0',
        'X15 S500',
        '; cut',
        'M9',
        'M4 S0',
        'G0 X20 Y20',
        'M4 S0',
        'G1 X30 S400 F1200',
        'M5',
        'M3 S0 ; cut',
        'M8',
        'G0 X1 Y0',
        'M3 S0',
        'G2 X1 Y0 I10 S1000 F300',
        'G2 X1 Y0 I10',
        'M5',
        'G0 X0 Y0',
        'M2',
      ),
    );
  });

  test('several keep their order, and one that is last already changes nothing', () => {
    expect(burned(read(adjust(JOB, '1: last; 2: last')))).toEqual([
      ...burned(read(JOB)).slice(-1),
      ...burned(read(JOB)).slice(0, -1),
    ]);
    expect(adjust(JOB, '3: last')).toBe(JOB);
    expect(adjust(JOB, 'all: last')).toBe(JOB);
  });

  test('keeps its number', () => {
    const changed = changeProgram(read(JOB), [{ operation: 1, last: true }], machine);
    expect(changed.operations.map(({ n }) => n)).toEqual([1, 2, 3]);
    const [first, , third] = changed.operations;
    expect(first!.firstMove).toBeGreaterThan(third!.lastMove);
    for (const { n, firstMove, lastMove } of changed.operations) {
      expect(burnsAtFeed(changed.moves, firstMove) && burnsAtFeed(changed.moves, lastMove)).toBe(true);
      expect(changed.moves.operation.slice(firstMove, lastMove + 1).every((each) => each === n)).toBe(true);
    }
  });

  test('is not put behind a pause, in which the piece may be changed', () => {
    expect(() => adjust(JOB.replace('M9\n', 'M9\nM0\n'), '2: last')).toThrow(
      /(?:^|: )found a pause between what would be burned in another order; expected none there/,
    );
    expect(adjust(JOB.replace('M2\n', 'M0\nM2\n'), '2: last')).toMatch(/\nM0\nM2\n$/);
    expect(adjust(JOB.replace('G21 G90\n', 'G21 G90\nM0\n'), '1: last')).toMatch(/^G21 G90\nM0\n/);
    const twice = JOB.replace('M5\nG0 X0 Y0\n', 'G0 X40 Y20\nG1 X50 S400 F900\nM5\n');
    expect(adjust(twice.replace('M5\nM3', 'M0\nM5\nM3'), '3: last')).toMatch(/X15 S500\nM0\nM5\nM3/);
  });

  test('travel that burns is not sent elsewhere', () => {
    const firing = machineWith({ laser: { optical_power_w: 5, fires_on_rapids: true } });
    const text = JOB.replace('M4 S0\nG0 X20', 'M4 S300\nG0 X20');
    expect(adjust(text, '2: last')).toMatch(/M2\n$/);
    expect(() => adjust(text, '2: last', firing)).toThrow(/(?:^|: )found travel with the beam on/);
  });

  test('jobs at random burn the same, in the same air, the operation last', () => {
    let met = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const { text } = randomJob(seed);
      const before = read(text);
      const count = before.operations.length;
      if (count < 2) continue;
      const operation = 1 + (seed % (count - 1));
      const written = adjustText(text, [{ operation, last: true }], machine);
      const what = `seed ${seed}, operation ${operation}`;
      expect(burnedInAir(written).sort(), what).toEqual(burnedInAir(text).sort());
      const { firstMove, lastMove } = before.operations[operation - 1]!;
      const own = burned(before).slice(burnedBefore(before, firstMove), burnedBefore(before, lastMove + 1));
      expect(burned(read(written)).slice(-own.length), what).toEqual(own);
      expect(read(written).endsWithBeamOn === null || before.endsWithBeamOn !== null, what).toBe(true);
      met++;
    }
    expect(met).toBeGreaterThan(100);
  });

  test('together with other changes it is written or refused in a sentence', () => {
    let written = 0;
    let refused = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const { text } = randomJob(seed);
      const before = read(text);
      if (before.operations.length < 2) continue;
      const changes: Change[] = [...randomChanges(before, seed), { operation: 1, last: true }];
      try {
        adjustText(text, changes, machine);
        written++;
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        expect(error.sentence, `seed ${seed}`).toMatch(
          /(?:^|: )found a word that stops the head at a row|mixed order/,
        );
        refused++;
      }
    }
    expect(written).toBeGreaterThan(100);
    expect(refused).toBeLessThan(8);
  });

  test('forecast and written file agree', () => {
    const options = { cellMm: 0.197 };
    let compared = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const { text, dialect } = randomJob(seed);
      const count = read(text).operations.length;
      if (count < 2 || dialect.inches) continue;
      const changes: Change[] = [{ operation: 1, last: true, ...(seed % 3 === 0 ? { passes: 2 } : {}) }];
      const base = forecast(text, machine, wood, options);
      const whatIf = forecastChanged(base, changes, options);
      const ofFile = forecast(adjustText(text, changes, machine), machine, wood, options);
      expect(furthestApart(whatIf.dose.grid.data, ofFile.dose.grid.data), `seed ${seed}`).toBeLessThan(2e-5);
      expect(whatIf.motion.durationS, `seed ${seed}`).toBeCloseTo(ofFile.motion.durationS, 6);
      compared++;
    }
    expect(compared).toBeGreaterThan(15);
  });
});

/** How many burning moves come before move k. */
function burnedBefore({ moves }: Program, k: number): number {
  let count = 0;
  for (let i = 0; i < k; i++) if (burnsAtFeed(moves, i)) count++;
  return count;
}

describe('an operation burned inside first', () => {
  const square = (x: number, y: number, side: number) => [
    `G0 X${x} Y${y}`,
    `G1 X${x + side} S800 F300`,
    `Y${y + side}`,
    `X${x}`,
    `Y${y}`,
  ];

  test('each part behind what lies in it, however deep, and the rest as it was', () => {
    const text = gcode(
      'G21 G90',
      'M4 S0',
      ...square(0, 0, 10),
      ...square(2, 2, 6),
      ...square(4, 4, 2),
      ...square(20, 0, 10),
      ...square(40, 0, 10),
      ...square(42, 2, 3),
      'M5',
    );
    const starts = (made: string) =>
      burned(read(made))
        .filter((_, k) => k % 4 === 0)
        .map((words) => words.split(' ').slice(0, 2).map(Number).join(' '));
    expect(starts(adjust(text, '1: inside first'))).toEqual(['4 4', '2 2', '0 0', '20 0', '42 2', '40 0']);
  });

  test('every pass of the inside comes before any pass of its outline', () => {
    const text = gcode(
      'G21 G90',
      'M4 S0',
      ...[1, 2].flatMap(() => [...square(0, 0, 10), ...square(4, 4, 2)]),
    );
    const sides = burned(read(adjust(text, '1: inside first'))).map((words) => /^[04]\./.exec(words)?.[0]);
    expect(sides.indexOf('0.')).toBe(8);
  });

  test('rows are refused', () => {
    const rows = gcode('G21 G90', 'M4 S0', 'G1 X9 S500 F900', 'G0 Y0.1', 'G1 X0', 'G0 Y0.2', 'G1 X9', 'M5');
    expect(read(rows).operations[0]!.kind).toBe('rows');
    expect(() => adjust(rows, '1: inside first')).toThrow(
      /(?:^|: )found inside first for operation 1, which is rows/,
    );
    expect(adjust(rows, 'all: inside first')).toBe(rows);
  });

  test('jobs at random, in any writing, burn the same from the inside out', () => {
    let changed = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const { text } = randomNest(seed);
      const written = adjustText(text, [{ operation: 1, insideFirst: true }], machine);
      expect(burnedInAir(written).sort(), `seed ${seed}`).toEqual(burnedInAir(text).sort());
      if (written !== text) changed++;
      // Once in order it stays so.
      expect(adjustText(written, [{ operation: 1, insideFirst: true }], machine), `seed ${seed}`).toBe(
        written,
      );
    }
    expect(changed).toBeGreaterThan(150);
  });
});
