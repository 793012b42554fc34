import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { adjustText } from '../../src/change/adjust-text.ts';
import { changesWords, parseChanges } from '../../src/change/grammar.ts';
import { placedAt, turned } from '../../src/change/placement.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { InputError } from '../../src/errors.ts';
import { forecast } from '../../src/forecast.ts';
import { burnsAtFeed } from '../../src/program/beam-on.ts';
import type { Program } from '../../src/program/program.ts';
import { doseApart, greatest } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { randomJob } from './random-jobs.ts';
import { adjust, difference, gcode, read } from './support.ts';

/** A job laid elsewhere. Expected places are rotations and translations of the plane: closed forms, no source needed. */

const wood = shippedMaterials['poplar plywood']!;
const machine = machineWith({ lookahead_moves: 16 });

/** Where what burns begins and ends, four numbers a move. */
function strokes({ moves }: Program): number[][] {
  const all: number[][] = [];
  for (let k = 0; k < moves.count; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    const start = k === 0 ? [0, 0] : [moves.xMm[k - 1]!, moves.yMm[k - 1]!];
    all.push([...start, moves.xMm[k]!, moves.yMm[k]!]);
  }
  return all;
}

function middle(all: readonly (readonly number[])[]): [number, number] {
  const along = (axis: number) => all.flatMap((each) => [each[axis]!, each[axis + 2]!]);
  const mid = (values: number[]) => (Math.min(...values) + Math.max(...values)) / 2;
  return [mid(along(0)), mid(along(1))];
}

/** The largest distance of numbers that should be the same. */
function apart(a: readonly (readonly number[])[], b: readonly (readonly number[])[]): number {
  expect(a.length).toBe(b.length);
  return Math.max(0, ...a.flatMap((each, k) => each.map((mm, axis) => Math.abs(mm - b[k]![axis]!))));
}

/** Files have six decimals, or eight of an inch, and the middle is taken to a micrometre. */
const WRITTEN_MM = 0.0015;

describe('the grammar', () => {
  test('a shift and a turn, in several ways', () => {
    const settings = { operation: 'all', shiftMm: [12, -3], turnDegrees: 90 };
    for (const words of [
      'all: shift 12x-3, turn 90',
      'all: turn 450°, shift 12 x -3 mm',
      'ALL: Shifted 12mm × -3mm, turned -270 degrees',
    ])
      expect(parseChanges(words), words).toEqual([settings]);
    expect(changesWords(parseChanges('all: shift 12x-3, turn 90'))).toBe('all: shift 12x-3 mm, turn 90°');
    expect(parseChanges(changesWords(parseChanges('all: shift -0.25x7.5, turn 180')))).toEqual([
      { operation: 'all', shiftMm: [-0.25, 7.5], turnDegrees: 180 },
    ]);
  });

  test.each([
    ['all: turn 45', /found a turn of 45; expected a quarter turn/],
    ['all: shift 12', /found “shift 12”; expected a shift in mm to the right and to the back/],
    ['all: turn left', /found “turn left”; expected a turn in degrees/],
    ['all: shift 200000x0', /found a shift of 200000x0 mm; expected no more than 100 m/],
  ])('%s is refused', (words, sentence) => {
    expect(() => parseChanges(words)).toThrow(sentence);
  });

  test('a part of a job stays where it lies', () => {
    const job = gcode('G21 G90', 'M4 S0', 'G0 X5 Y5', 'G1 X9 S500 F600', 'M5');
    expect(() => adjust(job, '1: shift 2x2')).toThrow(
      /found a shift of operation 1; expected one of the whole job/,
    );
    expect(() => adjust(job, 'outlines: turn 90')).toThrow(/found a turn of outlines; expected one of the/);
  });
});

describe('the lines that change', () => {
  const square = gcode(
    'G21 G90',
    'M4 S0',
    'G0 X10.00 Y10.00',
    'G1 X30 S500 F600',
    'G1 Y20',
    'G1 X10',
    'G1 Y10',
    'M5',
    'G0 X0 Y0',
  );

  test('absolute: every place; the way home stays', () => {
    expect(difference(square, adjust(square, 'all: shift 12x-3'))).toEqual([
      '- G0 X10.00 Y10.00',
      '- G1 X30 S500 F600',
      '- G1 Y20',
      '- G1 X10',
      '- G1 Y10',
      '+ G0 X22 Y7',
      '+ G1 X42 S500 F600',
      '+ G1 Y17',
      '+ G1 X22',
      '+ G1 Y7',
    ]);
  });

  test('a quarter turn about the middle (20, 15): X and Y change places', () => {
    // (10, 10) → (25, 5), (30, 10) → (25, 25), (30, 20) → (15, 25), (10, 20) → (15, 5).
    expect(adjust(square, 'all: turn 90').split('\n').slice(2, 9)).toEqual([
      'G0 X25 Y5',
      'G1 Y25 S500 F600',
      'G1 X15',
      'G1 Y5',
      'G1 X25',
      'M5',
      'G0 X0 Y0',
    ]);
  });

  test('incremental: only the way to the first place', () => {
    const job = gcode('G21 G91', 'M4 S0', 'G0 X10 Y10', 'G1 X20.0 S500 F600', 'Y10.0', 'X-20.0', 'Y-10.0');
    expect(difference(job, adjust(job, 'all: shift 12x-3'))).toEqual(['- G0 X10 Y10', '+ G0 X22 Y7']);
  });

  test('an origin that is set where the head is goes with the job; G10 and G54 keep theirs', () => {
    const job = gcode(
      'G21 G90 G54',
      'G0 X10 Y10',
      'G92 X0 Y0',
      'M4 S500',
      'G1 X20 F600',
      'Y10',
      'M5',
      'G92.1',
    );
    expect(difference(job, adjust(job, 'all: shift 12x-3'))).toEqual(['- G0 X10 Y10', '+ G0 X22 Y7']);
  });

  test('an origin set at the beginning gives the same place another number', () => {
    const job = gcode('G21 G90', 'G92 X-100 Y-50', 'G0 X-90 Y-40', 'M4 S500', 'G1 X-80 F600', 'M5');
    expect(difference(job, adjust(job, 'all: shift 12x-3'))).toEqual([
      '- G0 X-90 Y-40',
      '+ G0 X-78 Y-43',
      '- G1 X-80 F600',
      '+ G1 X-68 F600',
    ]);
  });

  test('arcs: I and J turn, R stays, and so does a full circle', () => {
    const job = gcode(
      'G21 G90',
      'M4 S500',
      'G0 X20 Y10',
      'G3 I-5 J0 F600', // around (15, 10)
      'G0 X10 Y0',
      'G2 X20 Y0 R5', // over (15, 5)
      'M5',
    );
    // What burns reaches from (10, 0) to (20, 15): its middle is (15, 7.5), and (x, y) → (22.5 − y, x − 7.5).
    expect(adjust(job, 'all: turn 90').split('\n').slice(2, 6)).toEqual([
      'G0 X12.5 Y12.5',
      'G3 I0 J-5 F600',
      'G0 X22.5 Y2.5',
      'G2 X22.5 Y12.5 R5',
    ]);
    const centres = job.replace('G21 G90', 'G21 G90 G90.1').replace('I-5 J0', 'I15 J10');
    expect(adjust(centres, 'all: turn 90').split('\n')[3]).toBe('G3 I12.5 J7.5 F600');
  });

  test('what burns where the head begins gets a way there', () => {
    const job = gcode('G21 G90', 'M4 S500', 'G1 X10 F600', 'M5');
    expect(adjust(job, 'all: shift 2x3').split('\n').slice(1, 5)).toEqual([
      'M4 S500',
      'G0 X2 Y3 S0',
      'G1 X12 F600 S500',
      'M5',
    ]);
  });

  test('no shift at all writes every byte as it was', () => {
    expect(adjust(square, 'all: shift 0x0, turn 360')).toBe(square);
  });
});

describe('jobs at random', () => {
  test.each([0, 90, 180, 270])('turned by %i° and shifted: every stroke lies where it should', (degrees) => {
    const turns = (degrees / 90) as 0 | 1 | 2 | 3;
    for (let seed = 1; seed <= 40; seed++) {
      const { text } = randomJob(seed);
      const job = strokes(read(text));
      const [x, y] = middle(job);
      const made = read(adjust(text, `all: turn ${degrees}, shift 12.5x-3.25`, machine));
      const expected = job.map(([x0, y0, x1, y1]) => [
        ...turned(turns, x0! - x, y0! - y).map((mm, axis) => mm + [x + 12.5, y - 3.25][axis]!),
        ...turned(turns, x1! - x, y1! - y).map((mm, axis) => mm + [x + 12.5, y - 3.25][axis]!),
      ]);
      expect(apart(strokes(made), expected), `seed ${seed}`).toBeLessThan(WRITTEN_MM);
    }
  });

  test('four quarter turns, each written and read, give the job back', () => {
    for (let seed = 1; seed <= 25; seed++) {
      const { text } = randomJob(seed);
      let now = text;
      for (let k = 0; k < 4; k++) now = adjust(now, 'all: turn 90', machine);
      expect(apart(strokes(read(now)), strokes(read(text))), `seed ${seed}`).toBeLessThan(4 * WRITTEN_MM);
    }
  });

  test('with other changes at the same time', () => {
    for (let seed = 1; seed <= 25; seed++) {
      const { text } = randomJob(seed);
      const one = adjust(text, 'all: power 50 %, passes 2', machine);
      const both = adjust(text, 'all: power 50 %, passes 2, shift 4x5', machine);
      const expected = strokes(read(one)).map(([a, b, c, d]) => [a! + 4, b! + 5, c! + 4, d! + 5]);
      expect(apart(strokes(read(both)), expected), `seed ${seed}`).toBeLessThan(WRITTEN_MM);
    }
  });
});

test('places and vectors', () => {
  const placement = { turns: 1, xMm: 10, yMm: 20, asked: {} } as const;
  expect(placedAt(placement, 3, 4)).toEqual([6, 23]);
  expect([0, 1, 2, 3].map((turns) => turned(turns as 0 | 1 | 2 | 3, 3, 4))).toEqual([
    [3, 4],
    [-4, 3],
    [-3, -4],
    [4, -3],
  ]);
});

describe('the forecast', () => {
  const job = gcode(
    'G21 G90',
    'M4 S0',
    'G0 X10 Y10',
    'M4 S500',
    'G1 X30 F900',
    'G1 Y20',
    'G2 X20 Y10 I-10 J0',
    'M5',
    'G0 X10.1 Y12.2',
    'M3 S700',
    'G1 X18 F400',
    'M5',
    'G0 X0 Y0',
  );
  const stock = { widthMm: 40, heightMm: 30, thicknessMm: 4, xMm: 0, yMm: 0 };
  const cellMm = 0.1;

  // Older heat lies on lattices of the bed and in spans of the clock: what stays of it is told apart by where and when a
  // job is burned, though far less than it is known.
  test.each([
    ['cool', true, 6],
    ['with the heat that stays', false, 3],
  ] as const)('shifted by whole cells with its board, it is the same, moved: %s', (_, cool, digits) => {
    const base = forecast(job, machine, wood, { stock, cellMm, cool });
    const there = { ...stock, xMm: 12, yMm: -3 };
    const moved = forecastChanged(
      forecast(job, machine, wood, { stock: there, cellMm, cool }),
      parseChanges('all: shift 12x-3'),
      { cellMm },
    );
    expect(greatest(base.dose)).toBeGreaterThan(0);
    expect(doseApart(moved, base)).toBeLessThan(1e-6);
    expect(moved.cuts.map(({ margin }) => margin)).toEqual(
      base.cuts.map(({ margin }) => expect.closeTo(margin, digits)),
    );
  });

  test('the written job reads as what was forecast', () => {
    const base = forecast(job, machine, wood, { stock, cellMm });
    const changes = parseChanges('all: shift 3x-3, turn 270');
    const foretold = forecastChanged(base, changes, { cellMm });
    const read = forecast(adjustText(job, changes, machine), machine, wood, { stock, cellMm });
    expect(greatest(foretold.dose)).toBeGreaterThan(0);
    expect(doseApart(read, foretold)).toBeLessThan(1e-5);
    expect(read.burnBounds).toEqual(foretold.burnBounds);
  });

  test('a job that burns from where the head stands is told the same, moved: its new way there is no part of it', () => {
    const atOnce = gcode('G21 G90', 'M4 S0', 'G1 X20 S800 F300', 'Y12', 'X0', 'Y0', 'M5');
    const laid = (xMm: number) => ({ ...stock, xMm, yMm: -5 });
    const base = forecast(atOnce, machine, wood, { stock: laid(-5), cellMm });
    const from = forecast(atOnce, machine, wood, { stock: laid(0), cellMm });
    const moved = forecastChanged(from, parseChanges('all: shift 5x0'), { cellMm });
    const told = ({ findings }: typeof base) => findings.map(({ kind, message }) => ({ kind, message }));
    expect(base.findings.map(({ kind }) => kind)).not.toContain('no-mark');
    expect(told(moved)).toEqual(told(base));
    const [operation] = moved.program.operations;
    expect(burnsAtFeed(moved.program.moves, operation!.firstMove)).toBe(true);
  });

  test('shifted off its board, it is told so, and shifted back it is not', () => {
    const base = forecast(job, machine, wood, { stock, cellMm });
    const kinds = (words: string) =>
      forecastChanged(base, parseChanges(words), { cellMm }).findings.map(({ kind }) => kind);
    expect(kinds('all: shift 12x-3')).toContain('off-stock');
    expect(kinds('all: shift 5x-3')).not.toContain('off-stock');
    expect(kinds('all: shift -15x0')).toContain('off-bed');
  });
});

describe('what cannot be written elsewhere says what to do instead', () => {
  test.each([
    ['a way home in the middle', ['G28', 'G0 X10 Y10', 'G1 X20 F600 S500'], 'all: shift 12x-3'],
    ['a word that is not simulated', ['G38.2 Z-5', 'G0 X10 Y10', 'G1 X20 F600 S500'], 'all: shift 12x-3'],
  ])('%s', (_, lines, words) => {
    const text = gcode('G21 G90', 'M4 S500', 'G0 X5 Y5', 'G1 X6 F600', ...lines, 'M5');
    const refuse = () => adjust(text, words);
    expect(refuse).toThrow(InputError);
    expect(refuse).toThrow(
      /; instead, set the origin 12 mm to the right and 3 mm to the front of where it is set/,
    );
    expect(() => adjust(text, 'all: turn 90, shift 1x1')).toThrow(
      /; instead, turn the board by 90° clockwise and lay it under the job as it is/,
    );
  });
});
