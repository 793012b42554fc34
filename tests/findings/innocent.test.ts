import { expect, test } from 'vitest';
import { forecast } from '../../src/forecast.ts';
import { suggest } from '../../src/suggest/suggest.ts';
import { mmPerSToMmPerMin } from '../../src/units.ts';
import { bench, board, poplar, told } from './pairs.ts';
import { line, ramp, rows, square } from './small-jobs.ts';

/**
 * Jobs of all the sorts people bring, set up as they should be: nothing is found, not even a note. Beside them stand
 * the innocent twins of every kind (`pairs.test.ts`) and well-made jobs by chance (`clean.test.ts`).
 */

const machine = bench();
const [cut] = suggest({ kind: 'cut' }, poplar, machine, { thicknessMm: 3 }).suggestions;
const CUT = { s: cut!.s, feed: Math.round(mmPerSToMmPerMin(cut!.speedMmPerS)), passes: cut!.passes };
const SCORE = { s: 350, feed: 900 };
const words = (...lines: string[]) => ['G21 G90', ...lines, 'M5', 'M2', ''].join('\n');

type At = readonly [x: number, y: number];
const at = ([x, y]: At) => `X${x.toFixed(3)} Y${y.toFixed(3)}`;
const path = (points: readonly At[], { s, feed }: { s: number; feed: number }): string[] => [
  `G0 ${at(points[0]!)} S0`,
  ...points.slice(1).map((point) => `G1 ${at(point)} S${s} F${feed}`),
];
const round = ([x, y]: At, radius: number, corners: number, turn = 0): At[] =>
  Array.from({ length: corners + 1 }, (_, k) => {
    const angle = turn + (2 * Math.PI * k) / corners;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)] as const;
  });
const box = (x: number, y: number, wide: number, high: number): At[] => [
  [x, y],
  [x + wide, y],
  [x + wide, y + high],
  [x, y + high],
  [x, y],
];
const passes = (points: readonly At[]): string[] =>
  Array.from({ length: CUT.passes }, () => path(points, CUT)).flat();
/** Rows along y: 12 mm long, 0.06 mm apart, for there the spot is narrower across them. */
const upright = words(
  'M4 S0',
  ...Array.from({ length: 40 }, (_, k) => {
    const x = (20 + k * 0.06).toFixed(2);
    const [from, to, over] = k % 2 === 0 ? [20, 32, 3] : [32, 20, -3];
    return [`G0 X${x} Y${from - over}`, `G1 Y${from} S0 F2400`, `Y${to} S250`, `Y${to + over} S0`];
  }).flat(),
);

const jobs: Readonly<Record<string, string>> = {
  'one line with run-up and run-out': line({ ...SCORE, mode: 'M3' }),
  'a scored square': square(SCORE),
  'a cut square': square({ ...CUT, side: 30 }),
  'a small cut square': square({ ...CUT, side: 8 }),
  'rows of one tone': rows(Array(40).fill(250), 2400, 3),
  'rows of one tone, constant power': rows(Array(40).fill(250), 2400, 3, 'M3'),
  'rows of all tones': rows(ramp(80, 420), 2400, 3),
  'rows along y': upright,
  'a circle in arcs': words('M4 S0', 'G0 X50 Y30', `G2 X50 Y30 I-15 J0 S${SCORE.s} F${SCORE.feed}`),
  'a cut circle in arcs': words(
    'M4 S0',
    'G0 X50 Y30',
    ...Array.from({ length: CUT.passes }, () => `G3 X50 Y30 I-15 J0 S${CUT.s} F${CUT.feed}`),
  ),
  'a circle in many short lines': words('M4 S0', ...path(round([40, 30], 15, 180), SCORE)),
  'a ring, its hole cut first': words(
    'M4 S0',
    ...passes(round([40, 30], 6, 120)),
    ...passes(round([40, 30], 16, 180)),
  ),
  'engraved first, then cut out': words(
    'M4 S0',
    ...path(round([40, 30], 8, 120), SCORE),
    ...passes(box(20, 14, 40, 32)),
  ),
  'hexagons that do not touch': words(
    'M4 S0',
    ...[0, 1, 2].flatMap((k) => path(round([18 + 20 * k, 30], 8, 6, 0.2), SCORE)),
  ),
  'a star': words(
    'M4 S0',
    ...path(
      Array.from({ length: 11 }, (_, k) => {
        const radius = k % 2 === 0 ? 18 : 8;
        return [
          40 + radius * Math.sin((k * Math.PI) / 5),
          30 + radius * Math.cos((k * Math.PI) / 5),
        ] as const;
      }),
      SCORE,
    ),
  ),
  'lettering of strokes': words(
    'M4 S0',
    ...[15, 30, 45].flatMap((x) => [
      ...path(
        [
          [x, 20],
          [x + 5, 34],
          [x + 10, 20],
        ],
        SCORE,
      ),
      ...path(
        [
          [x + 2, 25.6],
          [x + 8, 25.6],
        ],
        SCORE,
      ),
    ]),
  ),
  'a wave': words(
    'M4 S0',
    ...path(
      Array.from({ length: 121 }, (_, k) => [10 + k / 2, 30 + 8 * Math.sin(k / 10)] as const),
      SCORE,
    ),
  ),
  'a spiral': words(
    'M4 S0',
    ...path(
      Array.from({ length: 240 }, (_, k) => {
        const radius = 4 + k / 16;
        return [40 + radius * Math.cos(k / 10), 30 + radius * Math.sin(k / 10)] as const;
      }),
      SCORE,
    ),
  ),
  'a dashed line': words(
    'M4 S0',
    'G0 X10 Y30',
    ...Array.from({ length: 12 }, (_, k) => [
      `G1 X${13 + 5 * k} S${SCORE.s} F${SCORE.feed}`,
      `G1 X${15 + 5 * k} S0`,
    ]).flat(),
  ),
  'lines across the grain of the axes': words(
    'M4 S0',
    ...[0, 4, 8, 12].flatMap((k) =>
      path(
        [
          [10 + k, 10],
          [40 + k, 40],
        ],
        SCORE,
      ),
    ),
  ),
  'in inches': [
    'G20 G90',
    'M4 S0',
    'G0 X0.5 Y0.5',
    'G1 X1.5 S350 F36',
    'Y1.5',
    'X0.5',
    'Y0.5',
    'M5',
    'M2',
    '',
  ].join('\n'),
  'step by step': [
    'G21 G91',
    'M4 S0',
    'G0 X10 Y10',
    'G1 X30 S350 F900',
    'Y30',
    'X-30',
    'Y-30',
    'M5',
    'M2',
    '',
  ].join('\n'),
  'every word on every line, numbered': [
    'N1 G21 G90',
    'N2 M4 S0',
    'N3 G0 X10 Y10',
    'N4 G1 X40 Y10 S350 F900',
    'N5 G1 X40 Y40 S350 F900',
    'N6 M5',
    'N7 M2',
    '',
  ].join('\n'),
  'far from the origin': words('M4 S0', ...path(box(45, 25, 30, 30), SCORE)),
  'engraved in two strengths': words(
    'M4 S0',
    ...path(box(10, 10, 20, 20), SCORE),
    ...path(box(40, 10, 20, 20), { s: 500, feed: 900 }),
  ),
  'a living corner with round ends': words(
    'M4 S0',
    'G0 X20 Y10',
    `G1 X50 S${SCORE.s} F${SCORE.feed}`,
    'G3 X60 Y20 I0 J10',
    'G1 Y40',
    'G3 X50 Y50 I-10 J0',
    'G1 X20',
  ),
  'four holes and an outline': words(
    'M4 S0',
    ...[
      [20, 18],
      [60, 18],
      [20, 42],
      [60, 42],
    ].flatMap(([x, y]) => passes(round([x!, y!], 3, 90))),
    ...passes(box(10, 8, 60, 44)),
  ),
  'a pause before the beam comes on': words(
    'M4 S0',
    'G0 X10 Y10',
    'G4 P0.5',
    ...path(box(10, 10, 25, 25), SCORE),
  ),
  'lifted while travelling': words('M4 S0', 'G0 Z0', ...path(box(10, 10, 25, 25), SCORE)),
  'nothing but comments besides': words(
    '; herb marker',
    '(basil)',
    'M4 S0',
    ...path(box(10, 10, 25, 15), SCORE),
  ),
};

test('there are thirty of them', () => {
  expect(Object.keys(jobs)).toHaveLength(30);
});

test.each(Object.entries(jobs))('%s', (name, job) => {
  const { findings, dose, cuts, burn } = forecast(job, machine, poplar, { stock: board(3) });
  expect(findings.map(told)).toEqual([]);
  expect(dose.energyJ).toBeGreaterThan(0);
  // Silent because it is well, not because nothing was done: cuts are cuts and come through, the rest marks.
  expect(cuts.length > 0).toBe(/\bcut\b|hole/.test(name));
  expect(cuts.every(({ through }) => through)).toBe(true);
  expect(burn.tone.some((tone) => tone > 0.2)).toBe(true);
});
