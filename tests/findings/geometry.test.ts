import { describe, expect, test } from 'vitest';
import { findLoops, isInside } from '../../src/findings/evidence/loops.ts';
import { overhang } from '../../src/findings/evidence/overhang.ts';
import { gatherPlaces, MOST_PLACES } from '../../src/findings/evidence/places.ts';
import { measureRows } from '../../src/findings/evidence/row-lines.ts';
import { dwellUnderSpotS, peakPerMm2 } from '../../src/findings/evidence/spot-widths.ts';
import { widthAcrossMm, widthAlongMm } from '../../src/laser/spot.ts';
import { planMotion } from '../../src/motion/plan.ts';
import type { Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { machineWith } from '../support/machines.ts';

const read = (text: string): Program => readProgram(text, { arcToleranceMm: 0.002, dwellUnit: 's' });
const box = (minXMm: number, minYMm: number, maxXMm: number, maxYMm: number) => ({
  minXMm,
  minYMm,
  maxXMm,
  maxYMm,
});

describe('the spot’s width in a direction', () => {
  test('an ellipse turned by an eighth: √((w₁² + w₂²)/2) both ways', () => {
    const { spot } = machineWith({ spot: { width_mm: [0.3, 0.1], rotation_deg: 45 } });
    const diagonal = Math.sqrt((0.3 ** 2 + 0.1 ** 2) / 2);
    expect(widthAlongMm(spot, 1, 0)).toBeCloseTo(diagonal, 12);
    expect(widthAcrossMm(spot, 1, 0)).toBeCloseTo(diagonal, 12);
    expect(widthAlongMm(spot, Math.SQRT1_2, Math.SQRT1_2)).toBeCloseTo(0.3, 12);
    expect(widthAcrossMm(spot, Math.SQRT1_2, Math.SQRT1_2)).toBeCloseTo(0.1, 12);
  });

  test('out of focus it grows by √2 at one Rayleigh length, and its peak halves (ISO 11146 propagation)', () => {
    const { spot } = machineWith({ spot: { width_mm: [0.2, 0.2], rayleigh_mm: 3 } });
    expect(widthAlongMm(spot, 1, 0, 3)).toBeCloseTo(0.2 * Math.SQRT2, 12);
    expect(peakPerMm2(spot, 3) / peakPerMm2(spot)).toBeCloseTo(0.5, 12);
    expect(dwellUnderSpotS(spot, 50)).toBeCloseTo(0.004, 12);
    // P = 5 W, w = 0.1 mm: 2·P/(π·w²).
    expect(5 * peakPerMm2(spot)).toBeCloseTo((2 * 5) / (Math.PI * 0.01), 9);
  });
});

describe('rows', () => {
  const rowsOf = (text: string) => {
    const program = read(text);
    expect(program.operations.map(({ kind }) => kind)).toEqual(['rows']);
    return measureRows(program, program.operations[0]!)!;
  };
  const row = (y: number, from: number, to: number) => `G0 X${from} Y${y} S0\nG1 X${to} S300 F3000`;

  test('there and back', () => {
    const rows = rowsOf(
      `G21 M4\n${Array.from({ length: 20 }, (_, k) => row(1 + k * 0.2, k % 2 ? 30 : 10, k % 2 ? 10 : 30)).join('\n')}\nM5`,
    );
    expect(rows).toMatchObject({ count: 20, againstShare: 0.5 });
    expect(Math.abs(rows.ux)).toBeCloseTo(1, 9);
    expect(rows.spacingMm).toBeCloseTo(0.2, 9);
    expect(rows.longestMm).toBeCloseTo(20, 9);
  });

  /** How many rows there are, whatever the operation is taken for. */
  const countOf = (lines: readonly string[]) => {
    const program = read(`G21 M4\n${lines.join('\n')}\nM5`);
    return measureRows(program, program.operations[0]!)!.count;
  };

  test('pieces within 0.004 mm across are one row', () => {
    const inTwo = (offMm: number) =>
      Array.from({ length: 12 }, (_, k) => {
        const y = 1 + k * 0.2;
        return `${row(y, 10, 18)}\n${row(Number((y + offMm).toFixed(4)), 20, 30)}`;
      });
    const count = (offMm: number) => countOf(inTwo(offMm));
    expect([count(0.0036), count(0.0044)]).toEqual([12, 24]);
  });

  test('a piece that climbs by more than a twentieth is a step between them', () => {
    const stepped = (climbMm: number) =>
      Array.from({ length: 12 }, (_, k) => {
        const y = 1 + k * 0.5;
        return `${row(y, 10, 30)}\nG1 X32 Y${(y + (k % 2 ? climbMm : -climbMm)).toFixed(4)}`;
      });
    const count = (climbMm: number) => countOf(stepped(climbMm));
    // Over 2 mm, and 0.004 mm besides.
    expect([count(0.092), count(0.116)]).toEqual([24, 12]);
  });

  test('the even rows first, the odd ones between them later', () => {
    const at = [0, 2, 4, 6, 8, 10, 1, 3, 5, 7, 9].map((k) => row(1 + k * 0.1, 10, 30));
    expect(rowsOf(`G21 M4\n${at.join('\n')}\nM5`).spacingMm).toBeCloseTo(0.1, 9);
  });

  test('two pictures side by side whose rows lie on different heights', () => {
    const left = Array.from({ length: 12 }, (_, k) => row(1 + k * 0.1, 10, 20));
    const right = Array.from({ length: 12 }, (_, k) => row(1.05 + k * 0.1, 30, 40));
    const rows = rowsOf(`G21 M4\n${[...left, ...right].join('\n')}\nM5`);
    expect(rows.spacingMm).toBeCloseTo(0.1, 9);
    expect(rows.againstShare).toBe(0);
  });

  test('aslant, in grey pixels', () => {
    const lines: string[] = [];
    for (let k = 0; k < 12; k++) {
      const [x, y] = [20 - k * 0.06, 10 + k * 0.08];
      lines.push(`G0 X${x.toFixed(3)} Y${y.toFixed(3)} S0`);
      for (let p = 1; p <= 20; p++) {
        lines.push(`G1 X${(x + p * 0.8).toFixed(3)} Y${(y + p * 0.6).toFixed(3)} S${200 + p} F3000`);
      }
    }
    const rows = rowsOf(`G21 M4\n${lines.join('\n')}\nM5`);
    expect(Math.abs(rows.ux * 0.6 - rows.uy * 0.8)).toBeLessThan(1e-3);
    expect(rows.spacingMm).toBeCloseTo(0.1, 3);
    expect(rows.count).toBe(12);
  });
});

describe('loops', () => {
  const program = read(`G21 M4 S500 F600
G0 X10 Y10
G1 X30
Y20
X10
Y10
X30
Y20
X10
Y10
G0 X15 Y15
G3 I2.5
G0 X50 Y50
G1 X60 Y50
X60 Y55
M5`);
  const { lengthMm } = planMotion(program, machineWith());
  const loops = program.operations.flatMap((operation) => findLoops(program, operation, lengthMm));

  test('a path burned twice is one loop, ended by its second pass; an open stroke is none', () => {
    expect(loops.length).toBe(2);
    expect(loops[0]!.lengthMm).toBeCloseTo(60, 9);
    expect(program.moves.line[loops[0]!.firstMove]).toBe(7);
    expect(program.moves.line[loops[0]!.lastMove]).toBe(10);
    // Chords 0.002 mm within the circle are a little shorter than π·5.
    expect(loops[1]!.lengthMm).toBeCloseTo(5 * Math.PI, 1);
  });

  test('what lies inside', () => {
    const [rectangle, circle] = loops as [(typeof loops)[0], (typeof loops)[0]];
    expect(isInside(program, rectangle, 20, 15, 0.2)).toBe(true);
    expect(isInside(program, rectangle, 31, 15, 0.2)).toBe(false);
    expect(isInside(program, rectangle, 20, 19.9, 0.2)).toBe(false); // on the kerf
    expect(isInside(program, circle, 17.5, 15, 0.2)).toBe(true);
    expect(isInside(program, circle, 15.4, 13, 0.2)).toBe(false); // in its box, outside the circle
  });
});

test('overhang tells each side by how much, and nothing within the slack', () => {
  expect(overhang(box(-3, 1, 12, 9), box(0, 0, 10, 10), 0.1)).toMatchObject({
    leftMm: 3,
    rightMm: 2,
    frontMm: 0,
    backMm: 0,
    mostMm: 3,
    sides: ['3 mm to the left', '2 mm to the right'],
  });
  expect(overhang(box(-0.05, 0, 10.05, 10), box(0, 0, 10, 10), 0.1)).toBeNull();
});

test('places near each other are one, all are counted, and no more than fifty are named', () => {
  const places = gatherPlaces(1);
  for (let k = 0; k < 1000; k++) {
    places.add(k, k * 5, [k, 0], { line: k + 1, move: k });
    places.add(k / 2, k * 5 + 0.5, [k + 0.5, 0], { line: k + 1, move: k }); // half a millimetre on, less bad
  }
  const { count, worst, places: named } = places.finish()!;
  expect(count).toBe(1000);
  expect(worst).toMatchObject({ worse: 999, xMm: 999 });
  expect(named.length).toBe(MOST_PLACES);
  expect(named.map(([x]) => x)).toEqual(Array.from({ length: MOST_PLACES }, (_, k) => 999 - k));
  expect(gatherPlaces(1).finish()).toBeNull();
});
