import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { linePeakDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import { landOn } from '../../src/dose/land.ts';
import { linePlaces } from '../../src/dose/line-places.ts';
import { doseAtPoints } from '../../src/dose/point-dose.ts';
import { readOptions } from '../../src/forecast.ts';
import { type Bounds, frameOver } from '../../src/grid.ts';
import { defocus } from '../../src/laser/spot.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { readProgram } from '../../src/program/read.ts';
import { machineWith } from '../support/machines.ts';

/** The dose on a path in closed form, against closed forms told elsewhere and against ever finer grids. */

const motionOf = (text: string, machine = machineWith()) =>
  planMotion(readProgram(`G21 G90\nM3 S0\n${text}\nM5\n`, readOptions(machine)), machine);
const at = (...points: (readonly [number, number])[]) => ({
  count: points.length,
  xMm: Float64Array.from(points, ([x]) => x),
  yMm: Float64Array.from(points, ([, y]) => y),
});

describe('against closed forms', () => {
  const quick = machineWith({ acceleration_mm_s2: [1e6, 1e6, 1e6] });
  const line = motionOf('G0 X1 Y2\nG1 X21 F1200 S1000', quick);

  test('the middle of a Gaussian’s line gets √(2/π)·P/(v·w), and e⁻² of it at 1/e² radius', () => {
    const [middle, aside] = doseAtPoints(at([11, 2], [11, 2.1]), line, quick).doseJPerMm2;
    const peak = linePeakDoseJPerMm2(8, 20, 0.2);
    expect(middle).toBeCloseTo(peak, 4);
    expect(aside! / middle!).toBeCloseTo(Math.exp(-2), 4);
  });

  test('its end gets half of it', () => {
    const [end] = doseAtPoints(at([21, 2]), line, quick).doseJPerMm2;
    expect(end! / linePeakDoseJPerMm2(8, 20, 0.2)).toBeCloseTo(0.5, 2);
  });

  test('two passes give twice one, a crossing the sum of two lines', () => {
    const twice = motionOf('G0 X1 Y2\nG1 X21 F1200 S1000\nX1', quick);
    const cross = motionOf('G0 X1 Y2\nG1 X21 F1200 S1000\nG0 X11 Y12\nG1 Y-8 F600', quick);
    const one = linePeakDoseJPerMm2(8, 20, 0.2);
    expect(doseAtPoints(at([11, 2]), twice, quick).doseJPerMm2[0]).toBeCloseTo(2 * one, 4);
    expect(doseAtPoints(at([11, 2]), cross, quick).doseJPerMm2[0]).toBeCloseTo(3 * one, 4);
  });

  test('points so crowded that they share places get what each would get alone', () => {
    // Twenty thousand on a slanted line, and as many 0.03 mm beside it, out of order.
    const slanted = motionOf('G0 X1 Y2\nG1 X21 Y9 F1200 S1000\nG0 X3 Y9\nG1 X14 Y1 F900', quick);
    const points = Array.from({ length: 40_000 }, (_, k) => {
      const part = ((k * 7919) % 40_000) / 40_000;
      return [2 + 17 * part, 2.35 + 5.95 * part + (k % 2) * 0.03] as const;
    });
    const together = doseAtPoints(at(...points), slanted, quick).doseJPerMm2;
    for (let k = 0; k < points.length; k += 997) {
      const [alone] = doseAtPoints(at(points[k]!), slanted, quick).doseJPerMm2;
      expect(Math.abs(together[k]! / alone! - 1)).toBeLessThan(0.006);
    }
  });

  test('points in the very same spot get what each would get alone, others beside them their own', () => {
    const spots = [
      [11, 2],
      [11, 2.04],
      [11.03, 2],
      [11.03, 1.95],
    ] as const;
    const thrice = doseAtPoints(at(...spots, ...spots.toReversed(), ...spots), line, quick).doseJPerMm2;
    for (const [k, spot] of spots.entries()) {
      const [alone] = doseAtPoints(at(spot), line, quick).doseJPerMm2;
      for (const again of [k, 7 - k, 8 + k]) expect(thrice[again]).toBeCloseTo(alone!, 9);
    }
    expect(new Set(thrice).size).toBe(3); // the first and the third lie on the line
  });

  test('a disc gives 4/π of the band mean, a square the band mean itself', () => {
    for (const shape of ['uniform-ellipse', 'uniform-rectangle'] as const) {
      const machine = machineWith({ acceleration_mm_s2: [1e6, 1e6, 1e6], spot: { shape } });
      const [middle, outside] = doseAtPoints(at([11, 2], [11, 2.101]), line, machine).doseJPerMm2;
      expect(middle).toBeCloseTo(linePeakDoseJPerMm2(8, 20, 0.2, shape), 4);
      expect(outside).toBe(0);
    }
  });

  test('the beam at rest gives its middle 2·E/(π·w²)', () => {
    const dot = motionOf('G1 X5 Y5 F6000\nS1000\nG4 P0.25\nG0 X6', quick);
    const { doseJPerMm2, doseLnDwell } = doseAtPoints(at([5, 5]), dot, quick);
    expect(doseJPerMm2[0]).toBeCloseTo((2 * 8 * 0.25) / (Math.PI * 0.1 * 0.1), 6);
    expect(Math.exp(doseLnDwell[0]! / doseJPerMm2[0]!)).toBeCloseTo(0.25, 9);
  });

  test('dwell is the spot’s width over the speed, height the head’s', () => {
    const deep = machineWith({ acceleration_mm_s2: [1e6, 1e6, 1e6], spot: { rayleigh_mm: 1 } });
    const two = motionOf('G0 X1 Y2 Z-1\nG1 X21 F1200 S1000\nG0 Z0.5\nG1 X1', deep);
    const { doseJPerMm2, doseLnDwell, doseAbove, lowestMm } = doseAtPoints(at([11, 2]), two, deep);
    const [low, high] = [-1, 0.5].map((z) => linePeakDoseJPerMm2(8, 20, 0.2 * defocus(deep.spot, z)));
    expect(doseJPerMm2[0]).toBeCloseTo(low! + high!, 3);
    expect(lowestMm).toBe(-1);
    expect(doseAbove![0]! / doseJPerMm2[0]!).toBeCloseTo((1.5 * high!) / (low! + high!), 3);
    const dwellS = Math.exp(doseLnDwell[0]! / doseJPerMm2[0]!);
    expect(dwellS).toBeGreaterThan((0.2 * defocus(deep.spot, 0.5)) / 20);
    expect(dwellS).toBeLessThan((0.2 * defocus(deep.spot, -1)) / 20);
  });
});

describe('against a fine grid', () => {
  const coordinate = fc.integer({ min: 0, max: 30 }).map((tenth) => tenth / 10);
  const job = fc.record({
    shape: fc.constantFrom('gaussian' as const, 'uniform-ellipse' as const, 'uniform-rectangle' as const),
    width: fc.tuple(fc.integer({ min: 10, max: 40 }), fc.integer({ min: 10, max: 40 })),
    turn: fc.integer({ min: 0, max: 90 }),
    z: fc.integer({ min: -10, max: 10 }),
    late: fc.boolean(),
    mode: fc.constantFrom('M3', 'M4'),
    ends: fc.array(fc.tuple(coordinate, coordinate, fc.boolean()), { minLength: 2, maxLength: 8 }),
    seen: fc.tuple(coordinate, coordinate, fc.integer({ min: 0, max: 6 })),
  });

  test('a point gets what a cell around it gets, whatever the spot and the way', () => {
    let seen = 0;
    fc.assert(
      fc.property(job, ({ shape, width, turn, z, late, mode, ends, seen: [aside, up, near] }) => {
        // Near one of the ends rather than anywhere: most of the square stays bare.
        const [endX, endY] = ends[near % ends.length]!;
        const [x, y] = [endX + (aside - 1.5) / 15, endY + (up - 1.5) / 15];
        const machine = machineWith({
          laser: late ? { rise_time_ms: 0.4, beam_delay_ms: 0.2 } : {},
          spot: {
            shape,
            width_mm: [width[0] / 100, width[1] / 100],
            rotation_deg: turn,
            rayleigh_mm: 1,
            focus_z_mm: 0.2,
          },
        });
        const text = ends
          .map(([toX, toY, on]) => `${on ? `G1 F1800 S700 ` : 'G0 '}X${toX} Y${toY} Z${z / 10}`)
          .join('\n');
        const motion = motionOf(`G0 X-1 Y-1\n${mode} S0\n${text}`, machine);
        // Evenly lit spots have edges; cells beside one are half in it, so a patch is compared.
        const cellMm = shape === 'gaussian' ? 0.004 : 0.02;
        const cells = shape === 'gaussian' ? 1 : 3;
        const half = (cells * cellMm) / 2;
        const patch: Bounds = { minXMm: x - half, maxXMm: x + half, minYMm: y - half, maxYMm: y + half };
        const { dose } = landOn(frameOver(patch, cellMm), motion, machine);
        const mean = dose.grid.data.reduce((sum, each) => sum + each, 0) / dose.grid.data.length;
        const points = Array.from({ length: 81 }, (_, k) => {
          const offset = (n: number) => ((n + 0.5) / 9 - 0.5) * 2 * half;
          return [x + offset(k % 9), y + offset(Math.floor(k / 9))] as const;
        });
        const own = doseAtPoints(at(...points), motion, machine).doseJPerMm2;
        const ownMean = own.reduce((sum, each) => sum + each, 0) / own.length;
        if (mean > 0) seen++;
        // At the ends of a slanting path the grid's own pieces are off by 0.6 % of what they add, more where the head sets out from rest.
        const [bound, floor] = shape === 'gaussian' ? [0.01, 0.02] : [0.12, 0.05];
        expect(Math.abs(ownMean - mean)).toBeLessThanOrEqual(bound * mean + floor);
      }),
      { numRuns: 150 },
    );
    expect(seen).toBeGreaterThan(20);
  });
});

describe('places along lines', () => {
  const job = 'G0 X1 Y2\nG1 X21 F1200 S1000\nY12\nG0 X5 Y5\nG1 X5.3';
  const { program } = motionOf(job);

  test('are judged every eighth of a millimetre, as long as the strokes together, whatever the cells', () => {
    const [fine, coarse] = [0.01, 1].map((apart) => linePlaces(program, 0.1, apart));
    for (const { judgedMm } of [fine!, coarse!]) {
      expect(judgedMm.reduce((sum, each) => sum + each, 0)).toBeCloseTo(30.3, 6);
      expect(Math.max(...judgedMm.filter((mm) => mm > 0))).toBeCloseTo(0.15, 6);
    }
    const judged = ({ judgedMm, xMm }: typeof fine & object) => xMm.filter((_, k) => judgedMm[k]! > 0);
    const [a, b] = [judged(fine!), judged(coarse!)];
    expect(a).toHaveLength(b.length);
    for (const [k, x] of a.entries()) expect(x).toBeCloseTo(b[k]!, 9);
  });

  test('stand as near as asked, begin each stroke, and lie on its corners and ends', () => {
    const { count, xMm, yMm, begins, move } = linePlaces(program, 0.1, 0.05);
    let widest = 0;
    for (let k = 1; k < count; k++) {
      if (begins[k] === 0)
        widest = Math.max(widest, Math.hypot(xMm[k]! - xMm[k - 1]!, yMm[k]! - yMm[k - 1]!));
    }
    expect(widest).toBeLessThanOrEqual(0.05);
    expect(begins.reduce((sum, each) => sum + each, 0)).toBe(2);
    const has = (x: number, y: number) => xMm.some((_, k) => xMm[k] === x && yMm[k] === y);
    expect([has(1, 2), has(21, 2), has(21, 12), has(5, 5), has(5.3, 5)]).toEqual(Array(5).fill(true));
    expect([...move]).toEqual([...move].sort((p, q) => p - q));
  });

  test('are none where only rows are burned', () => {
    const rows = Array.from({ length: 40 }, (_, k) => `G0 X0 Y${k / 10}\nG1 X20 F3000 S300`).join('\n');
    expect(linePlaces(motionOf(rows).program, 0.1, 0.03).count).toBe(0);
  });
});
