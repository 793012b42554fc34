import { describe, expect, test } from 'vitest';
import {
  doseAcross,
  gaussianRipple,
  readOverSeen,
  rippleOf,
  spacingForRipple,
} from '../../src/burn/ripple.ts';
import type { RowLines } from '../../src/findings/evidence/row-lines.ts';
import { machineWith } from '../support/machines.ts';

const ROWS: RowLines = { ux: 1, uy: 0, spacingMm: 0.1, count: 10, againstShare: 0.5, longestMm: 10 };

describe('ripple of Gaussian rows', () => {
  // p/w with w the 1/e² radius; max/mean, min/mean and peak-to-valley in per cent. Poisson's summation formula,
  // worked out beforehand and checked by adding up Gaussians.
  test.each([
    [0.75, 1.00031, 0.99969, 0.0619],
    [0.9, 1.00452, 0.99548, 0.904],
    [1, 1.01438, 0.98562, 2.877],
    [1.2, 1.06497, 0.93503, 12.99],
    [1.25, 1.08501, 0.91501, 17.0],
    [1.5, 1.22342, 0.7772, 44.62],
    [2, 1.59684, 0.43193, 116.49],
    [2.5, 1.99473, 0.17528, 181.94],
    [3, 2.39365, 0.05318, 234.05],
  ])('rows %d radii apart', (ratio, most, least, percent) => {
    const ripple = gaussianRipple(0.2, ratio * 0.1);
    expect(ripple.most).toBeCloseTo(most, 4);
    expect(ripple.least).toBeCloseTo(least, 4);
    expect(ripple.peakToValley * 100).toBeCloseTo(percent, percent < 1 ? 3 : 1);
  });

  test('is what adding up Gaussians gives, also far apart', () => {
    for (const spacing of [0.05, 0.12, 0.2, 0.5, 2]) {
      const sigma = 0.05;
      const sum = (y: number) => {
        let total = 0;
        for (let k = -400; k <= 400; k++) total += Math.exp(-((y - k * spacing) ** 2) / (2 * sigma * sigma));
        return (total * spacing) / (sigma * Math.sqrt(2 * Math.PI));
      };
      const ripple = gaussianRipple(4 * sigma, spacing);
      expect(ripple.most).toBeCloseTo(sum(0), 6);
      expect(ripple.least).toBeCloseTo(sum(spacing / 2), 6);
    }
  });

  // Spacing for a wanted ripple over the radius, from p = σ·√(2π²/ln(4/r)).
  test.each([
    [0.001, 0.771],
    [0.01, 0.908],
    [0.02, 0.965],
    [0.05, 1.061],
    [0.1, 1.157],
    [0.2, 1.283],
  ])('a ripple of %d needs rows %d radii apart', (ripple, ratio) => {
    expect(spacingForRipple(ripple, 0.2) / 0.1).toBeCloseTo(ratio, 3);
    expect(gaussianRipple(0.2, spacingForRipple(ripple, 0.2)).peakToValley).toBeCloseTo(ripple, 3);
  });
});

describe('ripple of uniform spots', () => {
  const spotOf = (shape: 'uniform-rectangle' | 'uniform-ellipse', rotation_deg = 0) =>
    machineWith({ spot: { shape, width_mm: [0.2, 0.2], rotation_deg } }).spot;

  test('a box is even wherever it holds a whole number of rows, and gaps where rows are further apart', () => {
    const spot = spotOf('uniform-rectangle');
    expect(rippleOf(spot, ROWS, 0.2, 0.1).peakToValley).toBeCloseTo(0, 9);
    expect(rippleOf(spot, ROWS, 0.2, 0.05).peakToValley).toBeCloseTo(0, 9);
    expect(rippleOf(spot, ROWS, 0.2, 0.4)).toMatchObject({ most: expect.closeTo(2, 9), least: 0 });
    // Between two and three rows to a box: 2·p/w and 3·p/w of the mean.
    const between = rippleOf(spot, ROWS, 0.2, 0.08);
    expect(between.most).toBeCloseTo((3 * 0.08) / 0.2, 9);
    expect(between.least).toBeCloseTo((2 * 0.08) / 0.2, 9);
  });

  test('a box turned by an eighth is a triangle: even at half its width', () => {
    const spot = spotOf('uniform-rectangle', 45);
    expect(rippleOf(spot, ROWS, 0.2 * Math.SQRT2, 0.1 * Math.SQRT2).peakToValley).toBeCloseTo(0, 9);
  });

  test('a disc has its peak of 4/π and touches nothing beyond its width', () => {
    const ripple = rippleOf(spotOf('uniform-ellipse'), ROWS, 0.2, 0.2);
    expect(ripple.most).toBeCloseTo(4 / Math.PI, 3);
    expect(ripple.least).toBeLessThan(0.15); // sampled at 200 places, a hair beside the gap
  });
});

describe('what rows are seen by', () => {
  const { spot } = machineWith({ laser: { optical_power_w: 5 }, spot: { width_mm: [0.1, 0.1] } });
  const apart = (spacingMm: number): RowLines => ({ ...ROWS, spacingMm });
  const crest = (spacingMm: number) => gaussianRipple(0.1, spacingMm).most;

  test('a spot apart they fill, rounding of the file aside: by their mean; further apart by their middles', () => {
    for (const mm of [0.05, 0.1, 0.1004])
      expect(readOverSeen(spot, apart(mm), 0, null)).toBeCloseTo(crest(mm), 9);
    for (const mm of [0.1006, 0.3]) expect(readOverSeen(spot, apart(mm), 0, null)).toBe(1);
    // Cells read less of a row's middle than falls there.
    expect(readOverSeen(spot, apart(0.1), 0, 1.2)).toBe(1.2);
    expect(readOverSeen(spot, apart(0.3), 0, 2)).toBeCloseTo(2 / crest(0.3), 9);
    expect(readOverSeen(spot, apart(0.1), 0, 9)).toBeCloseTo(crest(0.1), 9);
    expect(readOverSeen(spot, apart(2.1), 0, 2)).toBe(1);
    expect(readOverSeen(spot, null, 0, null)).toBe(1);
  });

  test.each([0.05, 0.1, 0.13, 0.3, 0.5])(
    '%d mm apart an area gets its mean across, and its crest on a row',
    (mm) => {
      const across = doseAcross(spot, apart(mm), 0)!;
      expect(across.reduce((sum, times) => sum + times, 0) / across.length).toBeCloseTo(1, 9);
      expect(across[0]! / crest(mm)).toBeCloseTo(1, 1);
      expect(across).toEqual(across.toSorted((a, b) => b - a));
    },
  );

  test('more than five spots apart they are lines', () => {
    expect(doseAcross(spot, apart(0.51), 0)).toBeNull();
    expect(doseAcross(spot, { ...ROWS, spacingMm: null }, 0)).toBeNull();
    expect(doseAcross(spot, null, 0)).toBeNull();
  });
});
