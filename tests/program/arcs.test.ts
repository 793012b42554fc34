import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { arcAround, arcOfRadius, chordCount, isOffCircle } from '../../src/program/arcs.ts';
import type { Program } from '../../src/program/program.ts';
import {
  ends,
  lastEnd,
  length,
  movesOfLine,
  oddityText,
  read,
  readLines,
  refusal,
  understoodText,
} from './reading.ts';

/**
 * Arcs. Blocks from the programs printed in NISTIR 6556 (appendix B.3 and B.4: Tables 12 and 13; appendix
 * C.1), with centre, radius, sweep and length worked from them.
 */

interface Block {
  name: string;
  from: [number, number];
  block: string;
  centre: [number, number];
  radius: number;
  sweepDeg: number;
  length: number;
}

const BLOCKS: Block[] = [
  row('§3.5.3.2, the example', [7, 7], 'G17 G2 X10 Y16 I3 J4 Z9', [10, 11], [5, -143.1301, 12.4905]),
  row('C.1 n0190', [16, 2.5], 'g3 x13.5 y0 i-2.5', [13.5, 2.5], [2.5, 270, 11.78097]),
  row('C.1 n0320, full circle', [32.5, 0], 'g2 x32.5 j2.5', [32.5, 2.5], [2.5, -360, 15.70796]),
  row('C.1 n0430, full circle', [57.5, 0], 'g2 x57.5 j2.5', [57.5, 2.5], [2.5, -360, 15.70796]),
  row('C.1 n0490', [64, 4], 'g2 x69 r4', [66.5, 0.877501], [4, -77.3644, 5.401052]),
  row('C.1 n0590', [79.5, 0], 'g2 j2.5 y5', [79.5, 2.5], [2.5, -180, 7.85398]),
  row('Table 12 N0030', [1, 4], 'G3 X2 Y3 I1', [2, 4], [1, 90, 1.570796]),
  row('Table 12 N0040', [2, 3], 'G2 X3 Y2 J-1', [2, 2], [1, -90, 1.570796]),
  row('Table 12 N0080', [-2, -2], 'G2 X-2.6 Y-0.2 J1', [-2, -1], [1, -143.1301, 2.498092]),
  row('Table 12 N0100', [1.4, 2.8], 'G2 X2 Y3 I0.6 J-0.8', [2, 2], [1, -36.8699, 0.643501]),
  row('Table 13 N0030', [1.5, 4], 'G3 X2 Y3.5 I0.5', [2, 4], [0.5, 90, 0.785398]),
  row('Table 13 N0080', [-2, -2.5], 'G2 X-2.9 Y0.2 J1.5', [-2, -1], [1.5, -143.1301, 3.747137]),
  row('Table 13 N0100', [1.1, 3.2], 'G2 X2 Y3.5 I0.9 J-1.2', [2, 2], [1.5, -36.8699, 0.965252]),
  // The example of a public printer-dialect documentation: G3 X2 Y7 I-4 J-3 equals G3 X2 Y7 R5.
  row('I, J and R agree (1)', [9, 6], 'G3 X2 Y7 I-4 J-3', [5, 3], [5, 90, 7.85398]),
  row('I, J and R agree (2)', [9, 6], 'G3 X2 Y7 R5', [5, 3], [5, 90, 7.85398]),
  // A negative radius takes the long way round (§3.5.3.1).
  row('R negative', [1, 0], 'G3 X0 Y1 R-1', [1, 1], [1, 270, 4.712389]),
];

function row(
  name: string,
  from: [number, number],
  block: string,
  centre: [number, number],
  [radius, sweepDeg, length]: [radius: number, sweepDeg: number, length: number],
): Block {
  return { name, from, block, centre, radius, sweepDeg, length };
}

describe('blocks printed in NISTIR 6556', () => {
  test.each(BLOCKS)('$name: centre, radius, sweep and length', ({ from, block, centre, radius, ...arc }) => {
    const program = read(`G1 X${from[0]} Y${from[1]} F600\n${block}`, { arcToleranceMm: 1e-7 });
    const measured = measure(program, 2, centre);
    expect(measured.worstRadiusError(radius)).toBeLessThan(2e-6);
    expect(measured.sweepDeg).toBeCloseTo(arc.sweepDeg, 3);
    expect(measured.planeLength).toBeCloseTo(arc.length, 4);
  });

  test('Table 12 and 13: the closed contours are 12 + 2πr long (a 3-4-5 triangle offset by r)', () => {
    const twelve = [
      'N0040 G2 X3 Y2 J-1',
      'N0050 G1 Y-1',
      'N0060 G2 X2 Y-2 I-1',
      'N0070 G1 X-2',
      'N0080 G2 X-2.6 Y-0.2 J1',
      'N0090 G1 X1.4 Y2.8',
      'N0100 G2 X2 Y3 I0.6 J-0.8',
    ];
    const thirteen = [
      'N0040 G2 X3.5 Y2 J-1.5',
      'N0050 G1 Y-1',
      'N0060 G2 X2 Y-2.5 I-1.5',
      'N0070 G1 X-2',
      'N0080 G2 X-2.9 Y0.2 J1.5',
      'N0090 G1 X1.1 Y3.2',
      'N0100 G2 X2 Y3.5 I0.9 J-1.2',
    ];
    const contour = (start: string, lines: string[]) =>
      read([start, ...lines].join('\n'), { arcToleranceMm: 1e-7 });
    expect(length(contour('G0 X2 Y3 F100', twelve), 1)).toBeCloseTo(18.283185, 5);
    expect(length(contour('G0 X2 Y3.5 F100', thirteen), 1)).toBeCloseTo(21.424778, 5);
  });

  test('B3: from (0,0), G2 X10 Y16 I3 J4 has radii 5 and 13.892 and is no arc', () => {
    const { message, line } = refusal('F100\nG17 G2 X10 Y16 I3 J4');
    expect(message).toMatch(/starts 5 mm from its centre but ends 13\.8924 mm from it/);
    expect(line).toBe(2);
  });
});

describe('flattening', () => {
  // Chord 2·√(tol·(2r − tol)) for a tolerance of 0.002 mm, the rule as common practice documents it.
  test.each([
    [1, 0.12643],
    [5, 0.28281],
    [10, 0.4],
    [50, 0.89442],
  ])('at radius %f no chord is longer than %f, and one fewer would be', (radius, chord) => {
    const program = read(`F100 G0 X${radius}\nG3 I-${radius}`);
    const [first, last] = movesOfLine(program, 2);
    const count = last - first + 1;
    const each = Array.from({ length: count }, (_, k) => length(program, first + k, first + k));
    expect(Math.max(...each)).toBeLessThanOrEqual(chord * 1.00002);
    expect(Math.max(...each) - Math.min(...each)).toBeLessThan(1e-9);
    expect(2 * radius * Math.sin(Math.PI / (count - 1))).toBeGreaterThan(chord * 0.99998);
  });

  test('property: every chord keeps within the tolerance, and the arc ends where it says', () => {
    const lengths = fc.double({ min: -200, max: 200, noNaN: true }).map((x) => Math.round(x * 1000) / 1000);
    const angle = fc.double({ min: 0.001, max: 2 * Math.PI, noNaN: true });
    const radii = fc.double({ min: 0.05, max: 300, noNaN: true });
    const tolerances = fc.constantFrom(0.0005, 0.002, 0.05, 3);
    fc.assert(
      fc.property(
        fc.tuple(lengths, lengths),
        radii,
        fc.tuple(angle, angle),
        fc.boolean(),
        tolerances,
        ([x, y], r, [a, sweep], cw, tol) => {
          const from = [x + r * Math.cos(a), y + r * Math.sin(a)] as const;
          const b = a + (cw ? -sweep : sweep);
          const to = [x + r * Math.cos(b), y + r * Math.sin(b)] as const;
          const program = read(
            `F100 G0 X${from[0].toFixed(9)} Y${from[1].toFixed(9)}\n${cw ? 'G2' : 'G3'} X${to[0].toFixed(9)} Y${to[1].toFixed(9)} I${(x - from[0]).toFixed(9)} J${(y - from[1]).toFixed(9)}`,
            { arcToleranceMm: tol },
          );
          const { xMm, yMm, count } = program.moves;
          for (let k = 1; k < count; k++) {
            const midX = (xMm[k - 1]! + xMm[k]!) / 2;
            const midY = (yMm[k - 1]! + yMm[k]!) / 2;
            expect(r - Math.hypot(midX - x, midY - y)).toBeLessThan(tol * 1.0001 + 1e-7);
          }
          expect(xMm[count - 1]).toBeCloseTo(to[0], 8);
          expect(yMm[count - 1]).toBeCloseTo(to[1], 8);
          expect(measure(program, 2, [x, y]).sweepDeg).toBeCloseTo(
            (cw ? -sweep : sweep) * (180 / Math.PI),
            3,
          );
        },
      ),
      { numRuns: 200 },
    );
  });

  test('a circle smaller than the tolerance stays one', () => {
    const program = read('F100 G0 X1\nG2 I0.0005');
    expect(program.moves.count).toBe(4);
    expect(lastEnd(program)).toEqual([1, 0, 0]);
  });

  test('chord angles do not lose digits at large radii', () => {
    const arc = arcAround(
      {
        startA: 1e6,
        startB: 0,
        endA: 1e6 * Math.cos(0.01),
        endB: 1e6 * Math.sin(0.01),
        clockwise: false,
        line: 1,
      },
      0,
      0,
      1,
    );
    // Exact to first order: θ = 2·√(2·tol/r) = 1.26491e-4, so 0.01 rad takes 79.06 chords.
    expect(chordCount(arc, 0.002, 1)).toBe(80);
  });

  test('within the tolerance of its ends, the radius runs evenly from start to end', () => {
    const program = read('F100 G0 X10\nG3 X-10.004 Y0 I-10 J0');
    const [first, last] = movesOfLine(program, 2);
    const { xMm, yMm } = program.moves;
    for (let k = first; k <= last; k++) {
      const part = (k - first + 1) / (last - first + 1);
      expect(Math.hypot(xMm[k]!, yMm[k]!)).toBeCloseTo(10 + 0.004 * part, 9);
    }
    expect(lastEnd(program)).toEqual([-10.004, 0, 0]);
  });

  test('the common-practice rule for ends off the circle', () => {
    expect(isOffCircle(0.004, 0.1)).toBe(false);
    expect(isOffCircle(0.006, 1)).toBe(true);
    expect(isOffCircle(0.006, 7)).toBe(false);
    expect(isOffCircle(0.49, 600)).toBe(false);
    expect(isOffCircle(0.51, 600)).toBe(true);
    expect(read('F9 G0 X1\nG3 X-1.004 I-1').oddities).toEqual([]);
    expect(lastEnd(read('F9 G0 X1\nG3 X-1.004 I-1'))).toEqual([-1.004, 0, 0]);
  });

  test('ends a little off the circle: the radius runs evenly from one to the other, and that is told', () => {
    const program = read('F9 G0 X1\nG3 X-1.019 I-1');
    expect(oddityText(program)).toBe(
      '2: an arc whose ends are not on one circle (radius 1 mm and 1.019 mm): its radius runs evenly from start to end; write both ends on one circle, with more decimals',
    );
    const [first, last] = movesOfLine(program, 2);
    const { xMm, yMm } = program.moves;
    for (let k = first; k <= last; k++) {
      const radius = Math.hypot(xMm[k]!, yMm[k]!);
      expect(radius).toBeCloseTo(1 + (0.019 * (k - first + 1)) / (last - first + 1), 9);
    }
  });

  // Up to 0.5 mm or 2 % of the radius, whichever is smaller, but never refused for three decimals' rounding.
  test.each([
    [
      'G3 X-1.021 I-1',
      /(?:^|: )found an arc that starts 1 mm from its centre but ends 1\.021 mm from it; expected both ends on one circle$/,
    ],
    ['G3 X-0.979 I-1', /starts 1 mm from its centre but ends 0\.979 mm/],
    ['G3 X-99.51 I-50 J0', /starts 50 mm from its centre but ends 50\.51 mm/],
    ['G3 X0.906 I-0.05', /starts 0\.05 mm from its centre but ends 0\.044 mm/],
  ])('%s is refused', (block, message) => {
    expect(refusal(`F9 G0 X1\n${block}`).sentence).toMatch(message);
  });
});

describe('forms of an arc', () => {
  test('a helix climbs evenly (§3.5.3)', () => {
    const program = read('F100 G0 X10\nG3 X-10 I-10 Z5');
    const [first, last] = movesOfLine(program, 2);
    const { zMm } = program.moves;
    for (let k = first; k <= last; k++) {
      expect(zMm[k]).toBeCloseTo((5 * (k - first + 1)) / (last - first + 1), 9);
    }
  });

  test('G18 and G19: the same quarter circle in the other planes (§3.5.6)', () => {
    // Seen from the + end of the third axis: Z to X about Y, Y to Z about X.
    const xy = read('F9 G0 X1\nG17 G3 X0 Y1 I-1');
    const zx = read('F9 G0 Z1\nG18 G3 Z0 X1 K-1');
    const yz = read('F9 G0 Y1\nG19 G3 Y0 Z1 J-1');
    expect(ends(zx).map(([x, y, z]) => [z, x, y])).toEqual(ends(xy));
    expect(ends(yz).map(([x, y, z]) => [y, z, x])).toEqual(ends(xy));
  });

  test('a full circle: same end point, or none, which is told', () => {
    const given = read('F9 G0 X5\nG2 X5 Y0 I-2');
    const without = read('F9 G0 X5\nG2 I-2');
    expect(ends(without)).toEqual(ends(given));
    expect(length(given, 1)).toBeCloseTo(4 * Math.PI, 1);
    expect(given.understood).toEqual([]);
    expect(understoodText(without)).toMatch(/2: An arc without an end point was read as a full circle/);
  });

  test('a full circle whose ends differ only by rounding stays full', () => {
    // In inches 0.1 + 0.2 is not 0.3, so start and end differ by 1e-15 mm.
    const program = readLines('G20 F9', 'G91 G0 X0.1', 'G0 X0.2', 'G90 G2 X0.3 Y0 I-0.1');
    expect(length(program, 2)).toBeCloseTo(2 * Math.PI * 2.54, 1);
  });

  test('P is the number of turns', () => {
    const program = read('F9 G0 X5\nG3 X5 I-5 P3 Z1');
    expect(length(program, 1)).toBeCloseTo(Math.hypot(30 * Math.PI, 1), 1);
    expect(refusal('F9 G2 I1 P0.5').sentence).toMatch(
      /(?:^|: )found P0\.5 in an arc; expected a whole number of turns/,
    );
    expect(refusal('F9 G2 X1 R1 P2').sentence).toMatch(/(?:^|: )found an arc with R and P/);
  });

  test('G90.1: the centre is a place, and both words are needed; G91.1 goes back', () => {
    const relative = readLines('F9 G0 X9 Y6', 'G3 X2 Y7 I-4 J-3');
    expect(ends(readLines('F9 G90.1 G0 X9 Y6', 'G3 X2 Y7 I5 J3'))).toEqual(ends(relative));
    expect(ends(readLines('F9 G90.1 G0 X9 Y6', 'G91.1 G3 X2 Y7 I-4 J-3'))).toEqual(ends(relative));
    expect(refusal('F9 G90.1 G2 X1 I2').sentence).toMatch(
      /(?:^|: )found an arc with only I while G90\.1 is in force/,
    );
  });

  test('G90.1: the centre lies in the coordinates that G92 shifted', () => {
    const plain = readLines('F9 G0 X9 Y6', 'G3 X2 Y7 I-4 J-3');
    const shifted = readLines('F9 G0 X9 Y6', 'G92 X0 Y0', 'G90.1 G3 X-7 Y1 I-4 J-3');
    expect(ends(shifted)).toEqual(ends(plain));
  });

  test('inches and small letters', () => {
    expect(lastEnd(read('g20 f9\ng3 x2 y0 i1'))).toEqual([50.8, 0, 0]);
  });

  test('an end a hair beyond the diameter makes a half circle', () => {
    const program = read('F9\nG2 X10.004 R5');
    expect(measure(program, 2, [5.002, 0]).sweepDeg).toBeCloseTo(-180, 6);
    expect(program.oddities).toEqual([]);
    const wider = read('F9\nG2 X10.1 R5');
    expect(measure(wider, 2, [5.05, 0]).sweepDeg).toBeCloseTo(-180, 6);
    expect(oddityText(wider)).toMatch(
      /^2: an arc whose ends are not on one circle \(radius 5\.05 mm and 5 mm\)/,
    );
    expect(refusal('F9\nG2 X10.3 R5').sentence).toMatch(
      /(?:^|: )found an arc of radius 5 mm between points 10\.3 mm apart; expected a radius of at least 5\.15 mm$/,
    );
  });

  test('a modal arc needs no motion word', () => {
    expect(ends(readLines('F9', 'G2 X2 I1', 'X4 I1'))).toEqual(ends(readLines('F9', 'G2 X2 I1', 'G2 X4 I1')));
  });

  test.each([
    ['G2 X1', /(?:^|: )found an arc without I, J or R; expected its centre or radius$/],
    ['G2 X1 R1 I1', /(?:^|: )found an arc with both R and a centre/],
    ['G17 G2 X1 K1', /(?:^|: )found an arc without I, J or R; expected its centre or radius$/],
    ['G18 G2 X1 J0', /(?:^|: )found an arc without K, I or R; expected its centre or radius$/],
    ['G2 X0 Y0 R5', /(?:^|: )found an arc with R that ends where it starts/],
    ['G2 X1 I0 J0', /(?:^|: )found an arc of radius 0/],
    ['G2 X1 R0', /(?:^|: )found an arc of radius 0 mm between points 1 mm apart/],
    ['G2 X1 I1000000000', /(?:^|: )found an arc of radius 1000000000 mm; expected at most 1000 m$/],
    ['G2 X1 R1000000000', /(?:^|: )found an arc of radius 1000000000 mm/],
    ['G53 G2 X1 I0.5', /(?:^|: )found G53 without G0 or G1 in force/],
    ['G2 I90000 P100000', /would need \d+ chords at a tolerance of 0\.002 mm; expected at most 5000000$/],
  ])('%s is refused', (block, message) => {
    const error = refusal(`F60\n${block}`);
    expect(error.sentence).toMatch(message);
    expect(error.line).toBe(2);
  });

  test('an arc needs a feed', () => {
    expect(refusal('G2 X2 I1').sentence).toMatch(/(?:^|: )found a feed move \(G2\) with no feed/);
  });
});

test('the two ways to a centre agree (property)', () => {
  const coordinate = fc.double({ min: -50, max: 50, noNaN: true });
  fc.assert(
    fc.property(
      coordinate,
      coordinate,
      coordinate,
      coordinate,
      fc.boolean(),
      fc.boolean(),
      (x, y, u, v, cw, long) => {
        fc.pre(Math.hypot(u - x, v - y) > 0.01);
        const at = { startA: x, startB: y, endA: u, endB: v, clockwise: cw, line: 1 };
        const size = Math.hypot(u - x, v - y) * 0.7;
        const byRadius = arcOfRadius(at, long ? -size : size);
        const byCentre = arcAround(at, byRadius.centreA, byRadius.centreB, 1);
        expect(byRadius.startRadius).toBeCloseTo(size, 9);
        expect(Math.abs(byRadius.sweep) > Math.PI).toBe(long);
        expect(byCentre.sweep).toBe(byRadius.sweep);
      },
    ),
    { numRuns: 200 },
  );
});

/** What the moves of one line make of an arc around a known centre. */
function measure(program: Program, line: number, [x, y]: readonly [number, number]) {
  const [first, last] = movesOfLine(program, line);
  const { xMm, yMm } = program.moves;
  let sweep = 0;
  let planeLength = 0;
  for (let k = first; k <= last; k++) {
    const [ax, ay] = [xMm[k - 1] ?? 0, yMm[k - 1] ?? 0];
    const [bx, by] = [xMm[k]!, yMm[k]!];
    sweep += Math.atan2((ax - x) * (by - y) - (ay - y) * (bx - x), (ax - x) * (bx - x) + (ay - y) * (by - y));
    planeLength += Math.hypot(bx - ax, by - ay);
  }
  return {
    sweepDeg: (sweep * 180) / Math.PI,
    planeLength,
    worstRadiusError: (radius: number) =>
      Math.max(
        ...Array.from({ length: last - first + 1 }, (_, k) =>
          Math.abs(Math.hypot(xMm[first + k]! - x, yMm[first + k]! - y) - radius),
        ),
      ),
  };
}
