import { type EvenRows, type Ripple, rippleOf } from '../burn/ripple.ts';
import { evenSpacingMm, LEAST_RIPPLE } from '../findings/stripes.ts';
import { widthAcrossMm } from '../laser/spot.ts';
import type { Spot } from '../machine/profile.ts';

/** Rows that run along x, as nearly all do. */
const ALONG_X: EvenRows = { ux: 1, uy: 0, spacingMm: null };

/** At this part of the spot's width across them rows run together: a Gaussian's dose then stays within 4 % of its mean. */
const USUAL_SPACING = 0.55;

/** No controller's rows are worth laying closer. */
const CLOSEST_MM = 0.01;

/**
 * The row spacing a machine is set up with when nobody says otherwise, mm: a little over half the spot's width. Where
 * rounding, or the spot's shape, would make that show stripes, it is the spacing the forecast itself advises then.
 */
export function usualRowSpacingMm(spot: Spot): number {
  const widthMm = widthAcrossMm(spot, ALONG_X.ux, ALONG_X.uy);
  const usual = Number((USUAL_SPACING * widthMm).toFixed(2));
  const isEven = usual > 0 && rowRipple(spot, usual).peakToValley < LEAST_RIPPLE;
  return Math.max(CLOSEST_MM, isEven ? usual : evenSpacingMm(spot, ALONG_X, widthMm));
}

/** How the dose of rows along x swings about its mean. */
export const rowRipple = (spot: Spot, rowSpacingMm: number): Ripple =>
  rippleOf(spot, ALONG_X, widthAcrossMm(spot, ALONG_X.ux, ALONG_X.uy), rowSpacingMm);
