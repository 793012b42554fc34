import { widthAcrossMm } from '../../laser/spot.ts';
import type { Spot } from '../../machine/profile.ts';
import { degToRad, sigmaFromWidthMm } from '../../units.ts';
import type { RowLines } from './row-lines.ts';

/** How dose varies across evenly spaced rows, as parts of its mean. */
export interface Ripple {
  readonly most: number;
  readonly least: number;
  /** The swing from a row to the gap beside it, most − least; rows far apart swing by more than the mean. */
  readonly peakToValley: number;
}

/**
 * Ripple of equal Gaussian rows, by Poisson's summation formula:
 *
 *   D(y)/mean = 1 + 2·Σ_{m≥1} exp(−2π²m²σ²/p²)·cos(2πmy/p)
 *
 * so the peak (on a row) is 1 + 2Σ, the valley (between two) the same with alternating signs, and their
 * difference 4·Σ over odd m.
 */
export function gaussianRipple(widthMm: number, spacingMm: number): Ripple {
  const q = Math.exp(-2 * (Math.PI * (sigmaFromWidthMm(widthMm) / spacingMm)) ** 2);
  let most = 1;
  let least = 1;
  for (let m = 1; ; m++) {
    const term = 2 * q ** (m * m);
    if (term < 1e-12) break;
    most += term;
    least += m % 2 === 1 ? -term : term;
    // Rows far apart: the sum is long, but the valley has met 0 by then.
    if (m > 200) break;
  }
  return { most, least: Math.max(0, least), peakToValley: most - Math.max(0, least) };
}

/** The spacing at which a Gaussian spot's ripple is `ripple`: p = σ·√(2π²/ln(4/ripple)), its leading term. */
export const spacingForRipple = (ripple: number, widthMm: number): number =>
  sigmaFromWidthMm(widthMm) * Math.sqrt((2 * Math.PI * Math.PI) / Math.log(4 / ripple));

const STEPS = 200;

/** Ripple of any spot's rows: the closed form for a Gaussian, else the sum of its profiles, sampled. */
export function rippleOf(spot: Spot, rows: RowLines, widthMm: number, spacingMm: number): Ripple {
  if (spot.shape === 'gaussian') return gaussianRipple(widthMm, spacingMm);
  const profile = spot.shape === 'uniform-ellipse' ? discProfile(widthMm) : boxProfile(spot, rows, widthMm);
  const reach = Math.ceil(widthMm / 2 / spacingMm);
  let most = 0;
  let least = Infinity;
  for (let k = 0; k < STEPS; k++) {
    const y = ((k + 0.5) / STEPS) * spacingMm;
    let sum = 0;
    for (let row = -reach; row <= reach + 1; row++) sum += profile(y - row * spacingMm);
    most = Math.max(most, sum * spacingMm);
    least = Math.min(least, sum * spacingMm);
  }
  return { most, least, peakToValley: most - least };
}

/** Files carry three decimals; what lies between rows is known no better. */
const SAME_SPACING = 1.005;

/** Rows no more than a spot apart fill: they are seen as one area, whose mean does not hang on the spot's width. */
export const isFilled = (spot: Spot, rows: RowLines | null, headZMm: number): boolean =>
  rows?.spacingMm != null && rows.spacingMm <= SAME_SPACING * widthAcrossMm(spot, rows.ux, rows.uy, headZMm);

/** Rows so many spots apart are lines, each by itself. */
const ALONE_SPOTS = 20;

/**
 * How many times the dose by which an operation is seen is read on its own path, where its straight dose is taken. A fill
 * looks as dark as its mean, and its rows get more; rows apart look as dark as their middles, and the grid's cells tell less
 * of these. 1 for what has no rows beside each other.
 * @param readCrest how many times the mean across the rows was read on them; null: not known.
 */
export function readOverSeen(
  spot: Spot,
  rows: RowLines | null,
  headZMm: number,
  readCrest: number | null,
): number {
  if (rows?.spacingMm == null) return 1;
  const widthMm = widthAcrossMm(spot, rows.ux, rows.uy, headZMm);
  if (rows.spacingMm > ALONE_SPOTS * widthMm) return 1;
  const crest = rippleOf(spot, rows, widthMm, rows.spacingMm).most;
  const read = Math.min(crest, readCrest ?? crest);
  return isFilled(spot, rows, headZMm) ? read : read / crest;
}

/** Across a uniform ellipse, in any direction: half an ellipse of area 1. */
const discProfile =
  (widthMm: number) =>
  (y: number): number => {
    const u = (2 * y) / widthMm;
    return u * u < 1 ? ((4 / Math.PI) * Math.sqrt(1 - u * u)) / widthMm : 0;
  };

/** Across a rectangle turned against the rows: a trapezoid of area 1 (a box when it is not turned). */
function boxProfile(spot: Spot, { ux, uy }: RowLines, widthMm: number): (y: number) => number {
  const turn = degToRad(spot.rotation_deg);
  const first = Math.abs(spot.width_mm[0] * (-uy * Math.cos(turn) + ux * Math.sin(turn)));
  const second = Math.abs(spot.width_mm[1] * (ux * Math.cos(turn) + uy * Math.sin(turn)));
  const scale = widthMm / (first + second);
  const wide = Math.max(first, second) * scale;
  const narrow = Math.min(first, second) * scale;
  return (y) => {
    const inside = (wide + narrow) / 2 - Math.abs(y);
    if (inside <= 0) return 0;
    return Math.min(1, narrow > 0 ? inside / narrow : 1) / wide;
  };
}
