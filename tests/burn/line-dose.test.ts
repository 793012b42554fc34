import { describe, expect, test } from 'vitest';
import {
  bandMeanDoseJPerMm2,
  linePeakDoseJPerMm2,
  PEAK_OVER_BAND_MEAN,
  rasterDoseJPerMm2,
} from '../../src/burn/line-dose.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { doseForTone, toneOf } from '../../src/burn/tone.ts';

/** Slope and foot of the least-squares line through (x, y). */
function regress(x: readonly number[], y: readonly number[]): { slope: number; zeroAt: number } {
  const mean = (v: readonly number[]) => v.reduce((a, b) => a + b, 0) / v.length;
  const [mx, my] = [mean(x), mean(y)];
  const slope =
    x.reduce((sum, xi, i) => sum + (xi - mx) * (y[i]! - my), 0) /
    x.reduce((sum, xi) => sum + (xi - mx) ** 2, 0);
  return { slope, zeroAt: mx - my / slope };
}

describe('settings to dose', () => {
  // Closed forms of a moving Gaussian beam; values also by quadrature.
  test('peak of a line: √(2/π)·P/(v·w)', () => {
    expect(linePeakDoseJPerMm2(5, 50, 0.08)).toBeCloseTo(1.994711, 6);
    expect(linePeakDoseJPerMm2(1, 10, 0.1)).toBeCloseTo(1.595769, 6);
  });

  test('peak over band mean: 1.273 for a disc, 1.596 for a Gaussian, 1 for a rectangle', () => {
    expect(PEAK_OVER_BAND_MEAN['uniform-ellipse']).toBeCloseTo(1.27324, 5);
    expect(PEAK_OVER_BAND_MEAN.gaussian).toBeCloseTo(1.59577, 5);
    expect(linePeakDoseJPerMm2(8, 20, 0.2, 'uniform-rectangle')).toBe(bandMeanDoseJPerMm2(8, 20, 0.2));
  });

  // 80 % of 20 W at 1800 mm/min, rows at 96 dots per inch: common practice, no source.
  test('mean of a filled area: P/(v·p)', () => {
    expect(rasterDoseJPerMm2(16, 30, 25.4 / 96)).toBeCloseTo(2.0157, 4);
  });
});

describe('the logarithmic width of a line', () => {
  // Liu 1982, Opt. Lett. 7, 196 (reference from memory), line form: squares of widths over ln(line energy).
  test('widths of the model’s own lines give back spot width and threshold within 0.1 %', () => {
    const material = shippedMaterials['poplar plywood']!;
    const [spotMm, speed, tone] = [0.12, 40, 0.4];
    const dwellS = spotMm / speed;
    const powers = [2, 3, 5, 8, 12, 20];
    // Walk out from the centre until the Gaussian's dose no longer gives the tone.
    const widths = powers.map((power) => {
      const peak = linePeakDoseJPerMm2(power, speed, spotMm);
      let [inside, outside] = [0, spotMm * 2];
      for (let k = 0; k < 60; k++) {
        const y = (inside + outside) / 2;
        const dose = peak * Math.exp((-2 * y * y) / (spotMm / 2) ** 2);
        if (toneOf(dose, dwellS, material) > tone) inside = y;
        else outside = y;
      }
      return inside + outside;
    });
    const fit = regress(
      powers.map((power) => Math.log(power / speed)),
      widths.map((w) => w * w),
    );
    const fittedSpotMm = 2 * Math.sqrt(fit.slope / 2);
    const fittedDose = linePeakDoseJPerMm2(Math.exp(fit.zeroAt), 1, fittedSpotMm);
    expect(fittedSpotMm / spotMm).toBeCloseTo(1, 3);
    expect(fittedDose / doseForTone(tone, dwellS, material)).toBeCloseTo(1, 3);
  });
});
