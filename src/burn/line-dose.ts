import type { BeamOnWood } from './beam-on-wood.ts';

/**
 * Settings to dose, for the long straight parts of a job. Charcast's dose is always *local*: what falls on
 * one small place, which on the centre of a line is the peak. The wood literature prints the *band mean*,
 * P/(v·d): the line energy spread over the spot's width. The peak is 1.6 times that for a Gaussian spot, 1.27
 * times for a uniform disc; mixing them up is an error of that size.
 */

type SpotShape = BeamOnWood['spot']['shape'];

/** Peak on a line's centre over its band mean: √(8/π) for the 1/e² width of a Gaussian, 4/π for a disc. */
export const PEAK_OVER_BAND_MEAN: Readonly<Record<SpotShape, number>> = {
  gaussian: Math.sqrt(8 / Math.PI),
  'uniform-ellipse': 4 / Math.PI,
  'uniform-rectangle': 1,
};

/** Band mean of one line, J/mm²: P/(v·d), d the spot's width across the line. */
export const bandMeanDoseJPerMm2 = (powerW: number, speedMmPerS: number, acrossMm: number): number =>
  powerW / (speedMmPerS * acrossMm);

/** Peak of one line, J/mm². For a Gaussian √(2/π)·P/(v·w), w = d/2. */
export const linePeakDoseJPerMm2 = (
  powerW: number,
  speedMmPerS: number,
  acrossMm: number,
  shape: SpotShape = 'gaussian',
): number => PEAK_OVER_BAND_MEAN[shape] * bandMeanDoseJPerMm2(powerW, speedMmPerS, acrossMm);

/** Mean dose of a filled area, J/mm²: P/(v·p), whatever the spot. */
export const rasterDoseJPerMm2 = (powerW: number, speedMmPerS: number, rowSpacingMm: number): number =>
  powerW / (speedMmPerS * rowSpacingMm);
