import { expect, test } from 'vitest';
import { wattsOf } from '../../src/swatch/givens.ts';
import { makeSwatch } from '../../src/swatch/make.ts';
import { replaySwatch } from '../../src/swatch/replay.ts';
import { machineWith } from '../support/machines.ts';
import { poplar } from './woods.ts';

/**
 * What the swatch's parts get, against closed forms: a raster's mean dose is P/(v·p) and its ripple 4·exp(−2π²σ²/p²)
 * peak to peak (Poisson summation); a line has P/v per length and √(8/π)·P/(v·d) on its centre, d its 1/e² width.
 */
const machine = machineWith({
  acceleration_mm_s2: [800, 600, 50],
  laser: { optical_power_w: 6, threshold_fraction: 0.04, power_levels: 255 },
  spot: { width_mm: [0.12, 0.2], rayleigh_mm: 3 },
});
const board = { widthMm: 90, heightMm: 56, thicknessMm: 3, xMm: 5, yMm: 7 };
const { swatch } = makeSwatch(machine, board);
const doses = replaySwatch(swatch, poplar);

test('every patch gets P/(v·p) and ripples as two rows per spot width do', () => {
  expect(doses.patches.length).toBe(swatch.patches.length);
  for (const { patch, meanJPerMm2, partsJPerMm2 } of doses.patches) {
    const watts = (patch.passes ?? 1) * wattsOf(patch.s, machine);
    expect(meanJPerMm2 / (watts / (patch.speed_mm_s * swatch.row_spacing_mm))).toBeCloseTo(1, 3);
    // p = width/2 = 2σ: peak to peak 4·exp(−2π²/4) = 2.9 %. Thirds of a sine's values have the means
    // ±(3√3/2π)·½ of that, 0.83 of it from one to the other.
    const ripple = (partsJPerMm2.at(-1)! - partsJPerMm2[0]!) / meanJPerMm2;
    expect(ripple).toBeCloseTo(0.83 * 4 * Math.exp((-2 * Math.PI ** 2) / 4), 3);
  }
});

test('how long a place lies under the spot is the spot’s mean width over the speed', () => {
  for (const { patch, dwellS } of doses.patches) {
    expect(dwellS * patch.speed_mm_s).toBeCloseTo(Math.sqrt(0.12 * 0.2), 4);
  }
});

test('lines have P/v, and cuts √(8/π)·P/(v·d) a pass', () => {
  for (const { line, lineEnergyJPerMm, profileJPerMm2 } of doses.lines) {
    const energy = wattsOf(line.s, machine) / line.speed_mm_s;
    expect(lineEnergyJPerMm / energy).toBeCloseTo(1, 3);
    const across = line.along === 'x' ? 0.2 : 0.12;
    expect(Math.max(...profileJPerMm2) / ((Math.sqrt(8 / Math.PI) * energy) / across)).toBeCloseTo(1, 2);
  }
  expect(doses.cuts.length).toBeGreaterThan(8);
  for (const { cut, peakJPerMm2 } of doses.cuts) {
    const energy = (cut.passes * wattsOf(cut.s, machine)) / cut.speed_mm_s;
    expect(peakJPerMm2 / ((Math.sqrt(8 / Math.PI) * energy) / 0.12)).toBeCloseTo(1, 2);
  }
});

test('cuts are in falling order, from surely through to surely not', () => {
  const peaks = doses.cuts.map(({ peakJPerMm2 }) => peakJPerMm2);
  expect(peaks).toEqual(peaks.toSorted((a, b) => b - a));
  expect(peaks[0]! / peaks.at(-1)!).toBeGreaterThan(3);
});
