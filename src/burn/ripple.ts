import { widthAcrossMm } from '../laser/spot.ts';
import type { Spot } from '../machine/profile.ts';
import { degToRad, sigmaFromWidthMm } from '../units.ts';

/** Rows beside each other. */
export interface EvenRows {
  /** Direction they run in, a unit vector. */
  readonly ux: number;
  readonly uy: number;
  /** How far one lies from the next, mm; null when there are no neighbours. */
  readonly spacingMm: number | null;
  /** Rows in other directions over the same wood; left out: none. */
  readonly crossing?: readonly CrossingRows[];
}

/** Rows as others meet them that they cross. */
export interface CrossingRows extends Omit<EvenRows, 'crossing'> {
  readonly spacingMm: number;
  /** The mean dose they leave, as a multiple of what the rows leave that they cross. */
  readonly meanTimes: number;
}

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
export function rippleOf(spot: Spot, rows: EvenRows, widthMm: number, spacingMm: number): Ripple {
  if (spot.shape === 'gaussian') return gaussianRipple(widthMm, spacingMm);
  const profile = profileOf(spot, rows, widthMm);
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
export const isFilled = (spot: Spot, rows: EvenRows | null, headZMm: number): boolean =>
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
  rows: EvenRows | null,
  headZMm: number,
  readCrest: number | null,
): number {
  if (rows?.spacingMm == null) return 1;
  const widthMm = widthAcrossMm(spot, rows.ux, rows.uy, headZMm);
  if (rows.spacingMm > ALONE_SPOTS * widthMm) return 1;
  const crest = crossed(rippleOf(spot, rows, widthMm, rows.spacingMm), ownShare(rows)).most;
  const read = Math.min(crest, readCrest ?? crest);
  return isFilled(spot, rows, headZMm) ? read : read / crest;
}

/** The part of what an area gets that these rows of it give; the rest is of those they cross. */
export const ownShare = ({ crossing = [] }: EvenRows): number =>
  1 / (1 + crossing.reduce((sum, { meanTimes }) => sum + meanTimes, 0));

/** The same ripple as parts of the mean of all, where rows give so much of that: of those they cross they meet the mean. */
export const crossed = ({ most, least, peakToValley }: Ripple, own: number): Ripple => ({
  most: own * most + (1 - own),
  least: own * least + (1 - own),
  peakToValley: own * peakToValley,
});

/** Rows up to so many spots apart are seen as one area from where one looks at a piece, dark lines and all between. */
const AREA_SPOTS = 5;
/** How far apart rows are seen as one area, mm, that run in a direction, a unit vector. */
export const mostAreaSpacingMm = (spot: Spot, ux: number, uy: number, headZMm: number): number =>
  SAME_SPACING * AREA_SPOTS * widthAcrossMm(spot, ux, uy, headZMm);

/** Whether rows lie side by side, but too far apart to be seen as one area: then what is told of them is told of their lines. */
export const areLinesApart = (spot: Spot, { ux, uy, spacingMm }: EvenRows, headZMm: number): boolean =>
  spacingMm !== null && spacingMm > mostAreaSpacingMm(spot, ux, uy, headZMm);

/** Steps from a row's middle to halfway to the next, for each spot's width. */
const STEPS_PER_SPOT = 12;

/** Places of an area beyond these are told by fewer. */
const MOST_PLACES = 4096;

/**
 * What rows that are seen as one area get across them, as multiples of their mean: at even places from a row's middle to
 * halfway to the next; where they are crossed by others, at places all over a mesh. null for lines, each by itself.
 */
export function doseAcross(spot: Spot, rows: EvenRows | null, headZMm: number): readonly number[] | null {
  const own = acrossRows(spot, rows, headZMm);
  if (own === null || !rows?.crossing?.length) return own;
  const share = ownShare(rows);
  // Places across these rows meet every place across the others alike.
  return rows.crossing.reduce<readonly number[]>(
    (doses, other) => {
      const over = acrossRows(spot, other, headZMm) ?? [1];
      return fewer(doses.flatMap((dose) => over.map((times) => dose + share * other.meanTimes * times)));
    },
    own.map((times) => share * times),
  );
}

/** Means of equal parts of many numbers, from the greatest to the least; few are left as they are. */
function fewer(values: readonly number[]): readonly number[] {
  const each = Math.ceil(values.length / MOST_PLACES);
  if (each === 1) return values;
  const falling = Float64Array.from(values).sort().reverse();
  // The few that are left over are among the palest.
  return Array.from({ length: Math.floor(falling.length / each) }, (_, k) => {
    const part = falling.subarray(k * each, (k + 1) * each);
    return part.reduce((sum, value) => sum + value, 0) / each;
  });
}

function acrossRows(spot: Spot, rows: EvenRows | null, headZMm: number): readonly number[] | null {
  if (rows?.spacingMm == null || areLinesApart(spot, rows, headZMm)) return null;
  const { spacingMm } = rows;
  const widthMm = widthAcrossMm(spot, rows.ux, rows.uy, headZMm);
  const profile = profileOf(spot, rows, widthMm);
  const steps = Math.ceil((STEPS_PER_SPOT * spacingMm) / widthMm);
  // A Gaussian goes on beyond its width.
  const reach = Math.ceil((2 * widthMm) / spacingMm);
  const doses = Array.from({ length: steps }, (_, k) => {
    const y = (((k + 0.5) / steps) * spacingMm) / 2;
    let sum = 0;
    for (let row = -reach; row <= reach; row++) sum += profile(y - row * spacingMm);
    return sum;
  });
  const mean = doses.reduce((sum, dose) => sum + dose, 0) / steps;
  return doses.map((dose) => dose / mean);
}

/** A spot's dose across a line, as a share of what a millimetre gets; a Gaussian's but for a factor. */
function profileOf(spot: Spot, rows: EvenRows, widthMm: number): (y: number) => number {
  if (spot.shape === 'uniform-ellipse') return discProfile(widthMm);
  if (spot.shape !== 'gaussian') return boxProfile(spot, rows, widthMm);
  const sigma = sigmaFromWidthMm(widthMm);
  return (y) => Math.exp(-(y * y) / (2 * sigma * sigma));
}

/** Across a uniform ellipse, in any direction: half an ellipse of area 1. */
const discProfile =
  (widthMm: number) =>
  (y: number): number => {
    const u = (2 * y) / widthMm;
    return u * u < 1 ? ((4 / Math.PI) * Math.sqrt(1 - u * u)) / widthMm : 0;
  };

/** Across a rectangle turned against the rows: a trapezoid of area 1 (a box when it is not turned). */
function boxProfile(spot: Spot, { ux, uy }: EvenRows, widthMm: number): (y: number) => number {
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
