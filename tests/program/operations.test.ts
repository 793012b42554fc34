import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Operation, Program } from '../../src/program/program.ts';
import { read } from './reading.ts';

/** Operations: what is a raster, what an outline, where one ends, and how often it is burned. */

type Point = readonly [number, number];

const HEAD = 'G21 G90\nM4 F1200 S500';
const at = ([x, y]: Point) => `X${x.toFixed(3)} Y${y.toFixed(3)}`;
/** A stroke: there with the beam off, then along the points. */
const stroke = (...points: Point[]) => [
  `G0 ${at(points[0]!)}`,
  ...points.slice(1).map((point) => `G1 ${at(point)}`),
];
const turned = (points: readonly Point[], degrees: number): Point[] => {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return points.map(([x, y]) => [60 + c * x - s * y, 60 + s * x + c * y]);
};

const job = (...lines: (string | string[])[]): Program => read([HEAD, ...lines.flat()].join('\n'));
const kinds = (program: Program) => program.operations.map(({ kind, passes }) => `${kind} ×${passes}`);

/** Rows from (0, 0) up, all one way or to and fro. */
function rows(count: number, step: number, length: number, toAndFro: boolean, angle = 0): string[] {
  return Array.from({ length: count }, (_, k) => {
    const ends: [Point, Point] = [
      [0, k * step],
      [length, k * step],
    ];
    return stroke(...turned(toAndFro && k % 2 ? ends.reverse() : ends, angle));
  }).flat();
}

const rectangle = (x: number, y: number, width: number, height: number, times = 1): string[] => {
  const round: Point[] = [
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
    [x, y],
  ];
  return stroke([x, y], ...Array.from({ length: times }, () => round).flat());
};

describe('rows', () => {
  test.each([
    ['three rows', rows(3, 1, 20, false)],
    ['one way', rows(30, 0.1, 20, false)],
    ['to and fro', rows(30, 0.1, 20, true)],
    ['coarse', rows(10, 1.4, 40, true)],
    ['very fine', rows(30, 0.02, 20, true)],
    ['short', rows(30, 0.1, 0.4, true)],
    ['downwards', rows(30, -0.1, 20, true)],
    ...[30, 45, 90, 137, -60].map((angle): [string, string[]] => [
      `at ${angle}°`,
      rows(30, 0.12, 20, true, angle),
    ]),
  ] as [string, string[]][])('%s', (_, lines) => {
    expect(kinds(job(lines))).toEqual(['rows ×1']);
  });

  test('hatch at 45° in a square: rows of every length, from the corner on', () => {
    const lines = Array.from({ length: 199 }, (_, k) => {
      const d = (k + 1) * 0.1;
      const ends: Point[] =
        d <= 10
          ? [
              [0, d],
              [d, 0],
            ]
          : [
              [d - 10, 10],
              [10, d - 10],
            ];
      return stroke(...(k % 2 ? ends.reverse() : ends));
    });
    expect(kinds(job(lines.flat()))).toEqual(['rows ×1']);
  });

  test('a serpentine: the steps are burned as well, along the edge or square to the rows', () => {
    const square: Point[] = Array.from({ length: 40 }, (_, k) => {
      const y = Math.floor(k / 2) * 0.2;
      return [k % 4 === 1 || k % 4 === 2 ? 10 : 0, y];
    });
    const corner: Point[] = Array.from({ length: 60 }, (_, k) => {
      const d = (Math.floor(k / 2) + 1) * 0.2;
      return k % 4 === 1 || k % 4 === 2 ? [d, 0] : [0, d];
    });
    for (const points of [square, turned(square, 33), corner]) {
      const program = job(stroke(...points));
      expect(kinds(program)).toEqual(['rows ×1']);
      expect(Array.from(program.moves.operation).filter((n) => n === 1)).toHaveLength(points.length - 1);
    }
  });

  test('a serpentine with round turns', () => {
    const turns = Array.from({ length: 20 }, (_, k) =>
      k % 2 ? [`G1 X0 Y${k}`, `G2 X0 Y${k + 1} J0.5`] : [`G1 X10 Y${k}`, `G3 X10 Y${k + 1} J0.5`],
    );
    expect(kinds(job('G0 X0 Y0', turns.flat()))).toEqual(['rows ×1']);
  });

  test('grey: S changes at every move, gaps are S0 or rapids', () => {
    const lines = Array.from({ length: 20 }, (_, y) => {
      const pixels = Array.from(
        { length: 40 },
        (_, x) => `X${((x + 1) * 0.1).toFixed(1)} S${((x * y) % 7) * 100}`,
      );
      return [`G0 X0 Y${(y * 0.1).toFixed(1)}`, 'G1', ...pixels];
    });
    const program = job(lines.flat());
    expect(kinds(program)).toEqual(['rows ×1']);
    expect(program.operations[0]).toMatchObject({ sMin: 100, sMax: 600 });
  });

  test('pixels at an angle, written with three decimals, are one row', () => {
    const lines = Array.from({ length: 12 }, (_, k) =>
      stroke(
        ...turned(
          Array.from({ length: 200 }, (_, x): Point => [x * 0.1, k * 0.1]),
          27,
        ),
      ),
    );
    expect(kinds(job(lines.flat()))).toEqual(['rows ×1']);
  });

  test('islands: two letters burned row by row, or one after the other', () => {
    const island = (x: number, y: number, k: number) => stroke([x, y + k * 0.1], [x + 2, y + k * 0.1]);
    const byRow = Array.from({ length: 30 }, (_, k) => [...island(0, 0, k), ...island(30, 0, k)].flat());
    const byLetter = [0, 30].map((x) => Array.from({ length: 30 }, (_, k) => island(x, 0, k)).flat());
    expect(kinds(job(byRow.flat()))).toEqual(['rows ×1']);
    expect(kinds(job(byLetter.flat()))).toEqual(['rows ×1']);
  });

  test('a thin slanted line, burned as rows of a dot each', () => {
    const dots = Array.from({ length: 40 }, (_, k) => stroke([k * 0.3, k * 0.1], [k * 0.3 + 0.2, k * 0.1]));
    expect(kinds(job(rows(5, 0.1, 3, false), dots.flat()))).toEqual(['rows ×1']);
    expect(kinds(job(dots.flat()))).toEqual(['rows ×1']);
  });

  test('a lone row above blank ones, before or behind the rest', () => {
    const lone = (y: number) => stroke([4, y], [6, y]);
    expect(kinds(job(rows(20, 0.1, 10, true), lone(5), rows(3, 0.1, 10, true), lone(9)))).toEqual([
      'rows ×1',
    ]);
    expect(kinds(job(lone(-5), rows(20, 0.1, 10, true)))).toEqual(['rows ×1']);
  });

  test('the overscan with S0 at feed belongs to the rows', () => {
    const lines = Array.from({ length: 10 }, (_, k) => [`G1 X-2 Y${k * 0.1} S0`, 'X0', 'X10 S500', 'X12 S0']);
    const program = job(lines.flat());
    expect(kinds(program)).toEqual(['rows ×1']);
    const operation = program.operations[0]!;
    expect(Array.from(program.moves.operation).filter((n) => n === 1)).toHaveLength(
      operation.lastMove - operation.firstMove + 1,
    );
  });
});

describe('outlines', () => {
  const circle = ['G0 X30 Y20', 'G1', 'G3 X30 Y20 I-10'];

  test.each([
    ['a square', rectangle(0, 0, 20, 20), 1],
    ['a thin rectangle', rectangle(0, 0, 20, 1), 1],
    ['a thin rectangle cut twice', rectangle(0, 0, 20, 1, 2), 2],
    ['a very thin rectangle cut five times', rectangle(0, 0, 20, 0.1, 5), 5],
    ['thin rectangles in a stack', [0, 1.2, 2.4, 3.6].flatMap((y) => rectangle(0, y, 20, 1)), 1],
    ['a circle', circle, 1],
    ['a circle cut three times', [circle, circle, circle].flat(), 3],
    ['a spiral of straight lines', stroke(...spiral(40)), 1],
    [
      'stairs',
      stroke(...Array.from({ length: 20 }, (_, k): Point => [Math.ceil(k / 2), Math.floor(k / 2)])),
      1,
    ],
    [
      'the strokes of a small E',
      [
        stroke([0, 0], [0, 3]),
        stroke([0, 0], [2, 0]),
        stroke([0, 1.5], [2, 1.5]),
        stroke([0, 3], [2, 3]),
      ].flat(),
      1,
    ],
    ['a zigzag', stroke(...Array.from({ length: 30 }, (_, k): Point => [k, k % 2 ? 2 : 0])), 1],
    [
      'a gentle curve',
      stroke(...Array.from({ length: 400 }, (_, k): Point => [k * 0.1, Math.sin(k / 60) * 8])),
      1,
    ],
    [
      'dashes along a line',
      Array.from({ length: 20 }, (_, k) => stroke([k * 3, 0], [k * 3 + 2, 0])).flat(),
      1,
    ],
    ['a line', stroke([0, 0], [50, 0]), 1],
    ['a line burned to and fro', stroke([0, 0], [50, 0], [0, 0], [50, 0]), 3],
    ['an open path retraced', stroke([0, 0], [20, 0], [20, 9], [20, 0], [0, 0]), 2],
    ['a comb in an outline', stroke(...comb(20)), 1],
  ])('%s', (_, lines, passes) => {
    expect(kinds(job(lines))).toEqual([`outline ×${passes}`]);
  });

  test('passes with the beam off between, from another corner, the other way round, or lower', () => {
    const other = stroke([20, 20], [20, 0], [0, 0], [0, 20], [20, 20]);
    expect(kinds(job(rectangle(0, 0, 20, 20), other))).toEqual(['outline ×2']);
    expect(kinds(job(rectangle(0, 0, 20, 20), 'G0 Z-1', rectangle(0, 0, 20, 20)))).toEqual(['outline ×2']);
  });

  test('passes count only when everything is burned equally often', () => {
    const two = rectangle(0, 0, 20, 20, 2);
    expect(kinds(job(two, rectangle(40, 0, 9, 9, 2)))).toEqual(['outline ×2']);
    // Squares that meet at a corner where one of them begins.
    const pair = [rectangle(0, 0, 20, 20), rectangle(20, 20, 9, 9)].flat();
    expect(kinds(job(pair, pair, pair))).toEqual(['outline ×3']);
    expect(kinds(job(two, rectangle(40, 0, 9, 9)))).toEqual(['outline ×1']);
    // Two squares that share an edge are two strokes, each burned once.
    expect(kinds(job(rectangle(0, 0, 20, 20), rectangle(20, 0, 20, 20)))).toEqual(['outline ×1']);
  });

  test('passes with tabs: the gaps cut the path into the same strokes each time', () => {
    const tabbed = ['G0 X0 Y0', 'G1 X8', 'X12 S0', 'X20 S500', 'Y20', 'X0', 'Y0'];
    expect(kinds(job(tabbed, tabbed, tabbed))).toEqual(['outline ×3']);
  });

  test('incremental coordinates with rounding dust count as the same path', () => {
    const round = ['X0.1235 Y7.7', 'X5.55 Y-0.15', 'X-5.6735 Y-7.55'];
    expect(kinds(job('G91 G1', round, round, round, round))).toEqual(['outline ×4']);
  });
});

describe('rows and outlines together', () => {
  const fill = rows(30, 0.1, 20, true);

  test('an outline behind rows at the same feed, its first edge beside the last row', () => {
    const program = job(fill, rectangle(0, 3, 20, 10));
    expect(kinds(program)).toEqual(['rows ×1', 'outline ×1']);
    expect(program.operations[1]!.lastMove - program.operations[1]!.firstMove).toBe(3);
  });

  test('an outline before rows, its last edge beside the first row', () => {
    const frame = stroke([20, -0.1], [20, 9], [0, 9], [0, -0.1], [20, -0.1]);
    expect(kinds(job(frame, fill))).toEqual(['outline ×1', 'rows ×1']);
  });

  test('rows burned twice as a whole', () => {
    expect(kinds(job(fill, fill))).toEqual(['rows ×2']);
  });

  test('cross-hatch is one operation of rows', () => {
    expect(kinds(job(fill, rows(30, 0.1, 3, true, 90)))).toEqual(['rows ×1']);
  });
});

describe('where an operation ends', () => {
  test('feed and power mode part operations; S alone does not', () => {
    const program = job(
      ...[rectangle(0, 0, 9, 9), 'S300', rectangle(20, 0, 9, 9), 'F600', rectangle(40, 0, 9, 9), 'M3'],
      rectangle(60, 0, 9, 9),
    );
    expect(
      program.operations.map(({ n, kind, powerMode, feedMmPerS, sMin, sMax, lines }) => [
        n,
        kind,
        powerMode,
        feedMmPerS,
        sMin,
        sMax,
        ...lines,
      ]),
    ).toEqual([
      [1, 'outline', 'proportional', 20, 300, 500, 4, 13],
      [2, 'outline', 'proportional', 10, 300, 300, 16, 19],
      [3, 'outline', 'constant', 10, 300, 300, 22, 25],
    ]);
  });

  test('travel within an operation belongs to it; between, before and after it does not', () => {
    const program = job(
      'G0 X5 Y5',
      stroke([1, 1], [2, 1]),
      stroke([3, 3], [4, 3]),
      'F60',
      stroke([5, 5], [6, 5]),
      'G0 X0 Y0',
    );
    expect(Array.from(program.moves.operation)).toEqual([0, 0, 1, 1, 1, 0, 2, 0]);
  });

  test('nothing burns: no operations', () => {
    expect(read('G1 X1 F60\nM3 S0\nX2\nG0 S5 X3').operations).toEqual([]);
  });

  test('burning straight down (Z alone) is an operation, too', () => {
    const program = job('G0 X5', 'G1 Z-1');
    expect(kinds(program)).toEqual(['outline ×1']);
  });
});

test('property: operations cover the burning moves, in order, each with one feed, mode and kind', () => {
  const piece = fc.oneof(
    fc
      .tuple(fc.integer({ min: 1, max: 12 }), fc.boolean(), fc.integer({ min: 0, max: 359 }))
      .map(([n, fro, angle]) => rows(n, 0.1, 5, fro, angle)),
    fc
      .tuple(fc.nat(50), fc.nat(50), fc.integer({ min: 1, max: 3 }))
      .map(([x, y, n]) => rectangle(x, y, 9, 1, n)),
    fc
      .array(fc.tuple(fc.nat(20), fc.nat(20)), { minLength: 2, maxLength: 6 })
      .map((points) => stroke(...points)),
    fc.constantFrom(['F600'], ['F1200'], ['M3'], ['M4'], ['S0'], ['S9'], ['M5'], ['G0 Z1', 'G0 Z0']),
  );
  fc.assert(
    fc.property(fc.array(piece, { minLength: 1, maxLength: 8 }), (pieces) => {
      const program = read(['F60 M3 S5 G0 X99 Y99', ...pieces.flat()].join('\n'));
      checkOperations(program);
    }),
    { numRuns: 300 },
  );
});

/** The invariants of operations. */
function checkOperations({ moves, operations }: Program): void {
  const covered = new Uint32Array(moves.count);
  operations.forEach((operation: Operation, k) => {
    expect(operation.n).toBe(k + 1);
    expect(operation.firstMove).toBeGreaterThan(operations[k - 1]?.lastMove ?? -1);
    expect(operation.passes).toBeGreaterThanOrEqual(1);
    covered.fill(operation.n, operation.firstMove, operation.lastMove + 1);
  });
  expect(Array.from(moves.operation)).toEqual(Array.from(covered));
  const strangers: number[] = [];
  for (let k = 0; k < moves.count; k++) {
    if (moves.rapid[k] || moves.powerMode[k] === 0 || !(moves.s[k]! > 0)) continue;
    const operation = operations[moves.operation[k]! - 1]!;
    const belongs =
      operation.feedMmPerS === moves.feedMmPerS[k] &&
      operation.powerMode === (moves.powerMode[k] === 1 ? 'constant' : 'proportional') &&
      operation.sMin <= moves.s[k]! &&
      operation.sMax >= moves.s[k]!;
    if (!belongs) strangers.push(k);
  }
  expect(strangers, 'moves unlike their operation').toEqual([]);
}

function spiral(turns: number): Point[] {
  const points: Point[] = [[0, 0]];
  for (let k = 0; k < turns; k++) {
    const [x, y] = points.at(-1)!;
    const reach = 20 - Math.floor(k / 2) * 0.2;
    points.push(
      [
        [x + reach, y],
        [x, y + reach],
        [x - reach, y],
        [x, y - reach],
      ][k % 4] as unknown as Point,
    );
  }
  return points;
}

/** A plate with a comb of narrow teeth along its upper edge, back to its start. */
function comb(teeth: number): Point[] {
  const edge = Array.from({ length: teeth }, (_, k): Point[] => [
    [k, 30],
    [k, 35],
    [k + 0.5, 35],
    [k + 0.5, 30],
  ]).flat();
  return [...edge, [teeth, 30], [teeth, -40], [0, -40], [0, 30]];
}
