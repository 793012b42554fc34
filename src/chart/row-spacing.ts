import { type Ripple, rippleOf } from '../findings/evidence/ripple.ts';
import type { RowLines } from '../findings/evidence/row-lines.ts';
import { widthAcrossMm } from '../findings/evidence/spot-widths.ts';
import type { Spot } from '../machine/profile.ts';

/** Rows that run along x, as nearly all do. */
const ALONG_X: RowLines = { ux: 1, uy: 0, spacingMm: null, count: 0, againstShare: 0, longestMm: 0 };

/**
 * At this part of the spot's width across them rows run together: a Gaussian's dose then stays within 4 % of
 * its mean (6 % where the spacing is rounded up).
 */
const USUAL_SPACING = 0.55;

/** The row spacing a machine is set up with when nobody says otherwise, mm: a little over half the spot's width. */
export const usualRowSpacingMm = (spot: Spot): number =>
  Math.max(0.01, Number((USUAL_SPACING * widthAcrossMm(spot, ALONG_X.ux, ALONG_X.uy)).toFixed(2)));

/** How the dose of rows along x swings about its mean. */
export const rowRipple = (spot: Spot, rowSpacingMm: number): Ripple =>
  rippleOf(spot, ALONG_X, widthAcrossMm(spot, ALONG_X.ux, ALONG_X.uy), rowSpacingMm);
