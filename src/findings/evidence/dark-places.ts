import { type Fired, needOfFirings, savedByWarmth } from '../../burn/firing.ts';
import { crossed, ownShare, rippleOf } from '../../burn/ripple.ts';
import { widthAcrossMm, widthAlongMm } from '../../laser/spot.ts';
import type { Machine, Spot } from '../../machine/profile.ts';
import { isSlower } from '../../motion/trapezoid.ts';
import { headZMm } from '../../program/operations.ts';
import type { Operation } from '../../program/program.ts';
import { msToS } from '../../units.ts';
import { doseOn, type Evidence, looksDifferent, type OperationEvidence } from './evidence.ts';
import type { RowLines } from './row-lines.ts';

/** What the three kinds of places that burn too dark have in common. */

/**
 * From half as much dose again a place counts as dark, or as much as that by warmth that is left there besides. Less lies
 * within what the wood itself does: thermal properties scatter by a fifth (Wood Handbook), and a forecast's own doses by
 * about a third.
 */
export const DARK = 1.5;

/**
 * With less than this of its own, the closed form cannot tell that the head slows there: then warmth alone is no corner's.
 */
const SLOWS = 1.1;

/** From which multiple on a place is worth asking of: the warmest of the job need get no more to be dark. */
const worthAsking = ({ warmestTimes }: Evidence, dark: number): number =>
  dark * Math.max(SLOWS / DARK, 1 / warmestTimes());

/**
 * How many times as much a dose counts at a place as on the operation's usual ones, for the heat that is left there: the
 * need with the usual warmth over its own.
 */
export function warmTimes(
  { material }: Evidence,
  { straightNeedTimes, straightFirings }: OperationEvidence,
  { needTimes, firings }: Fired,
): number {
  if (firings === null || straightFirings === null) return 1;
  const cost = material.firing_cost.value;
  return needOfFirings(firings, savedByWarmth(straightNeedTimes, straightFirings, cost), cost) / needTimes;
}

/**
 * Whether anything in the operation can make dose rise where the head slows. Proportional power cannot, unless
 * S lies beyond the scale: then it stays full until the head is slow.
 */
export const canDarken = ({ machine }: Evidence, operation: Operation): boolean =>
  operation.powerMode === 'constant' || operation.sMax > machine.laser.s_max;

/** Places nearer than this along the way look like one: a millimetre, or four spot widths. */
export const placesApartMm = (spot: Spot): number => Math.max(1, 4 * Math.max(...spot.width_mm));

/**
 * How far from a point along move i its dose is made, mm: 1.5 σ of the spot to either side. The mean line energy
 * over such a box is what a Gaussian of that σ weighs to within a tenth, also for the 1/√x of a start from rest.
 */
export function reachMm({ machine, program: { moves } }: Evidence, i: number): number {
  const dx = moves.xMm[i]! - (i > 0 ? moves.xMm[i - 1]! : 0);
  const dy = moves.yMm[i]! - (i > 0 ? moves.yMm[i - 1]! : 0);
  const length = Math.sqrt(dx * dx + dy * dy) || 1;
  return (1.5 * widthAlongMm(machine.spot, dx / length, dy / length, moves.zMm[i]!)) / 4;
}

/** The point `insideMm` along move i from its start (`onward`) or back from its end. */
export function pointInside(
  { motion, program: { moves } }: Evidence,
  i: number,
  onward: boolean,
  insideMm: number,
): readonly [xMm: number, yMm: number] {
  const share = Math.min(1, insideMm / motion.lengthMm[i]!);
  const part = onward ? share : 1 - share;
  const x0 = i > 0 ? moves.xMm[i - 1]! : 0;
  const y0 = i > 0 ? moves.yMm[i - 1]! : 0;
  return [x0 + (moves.xMm[i]! - x0) * part, y0 + (moves.yMm[i]! - y0) * part];
}

/**
 * What a place must stand out from, as a multiple of full speed's line energy: 1, or where the whole operation never comes
 * up to speed the middle of the sides that meet there, where the head is fastest.
 */
export interface Standard {
  /** From this multiple of full speed's on a place is dark, what warmth adds included. */
  readonly dark: number;
  readonly times: number;
}

/** @param mean what is slow all along is told by other findings; a place must stand out from that. */
export const fullSpeedStandard = (mean: number): Standard => ({ dark: DARK * Math.max(1, mean), times: 1 });

/**
 * Up to this part of full speed a junction may be dark, whatever its warmth.
 * @param dark from which multiple of full speed's line energy on it is.
 */
export const slowEnough = (evidence: Evidence, dark: number): number => 1 / worthAsking(evidence, dark);

/** For the sides that end at junction `before` and begin at junction `after`; null for a side that is not there. */
export function midSideStandard(evidence: Evidence, before: number | null, after: number | null): Standard {
  const sides = [
    ...(before === null ? [] : [midSideTimes(evidence, before, false)]),
    ...(after === null ? [] : [midSideTimes(evidence, after, true)]),
  ];
  const times = Math.max(1, sides.reduce((sum, side) => sum + side, 0) / sides.length);
  // From each of them: where the head only comes up from a stroke's beginning there is no corner.
  const slower = sides.reduce((most, side) => Math.max(most, side), 1);
  return { dark: DARK * slower, times };
}

/** Line energy where the head is fastest on the side behind a junction (`onward`) or before it, over full speed's. */
function midSideTimes({ energies, motion }: Evidence, junction: number, onward: boolean): number {
  const { nominalMmPerS } = energies;
  const { entryMmPerS, peakMmPerS } = motion;
  const step = onward ? 1 : -1;
  let i = onward ? junction : junction - 1;
  let peak = 0;
  let full = 0;
  for (; nominalMmPerS[i]! > 0; i += step) {
    full = nominalMmPerS[i]!;
    peak = Math.max(peak, peakMmPerS[i]!);
    // The speed on leaving the move: below its peak the head brakes already.
    if (isSlower(entryMmPerS[onward ? i + 1 : i]!, peak)) break;
  }
  return peak > 0 ? full / peak : 1;
}

/** The part of the straight dose that rows of one direction give themselves; the rest is of those they cross. */
function ownPart({ machine: { spot }, program }: Evidence, each: OperationEvidence, rows: RowLines): number {
  const share = ownShare(rows);
  if (share === 1) return 1;
  const widthMm = widthAcrossMm(spot, rows.ux, rows.uy, headZMm(program, each.operation));
  return 1 - (1 - share) / crossed(rippleOf(spot, rows, widthMm, rows.spacingMm!), share).most;
}

/** The closed form of a corner is good to a tenth or two; only what is left beyond that was burned by others. */
const GROUND = 1.25;

/**
 * How much darker the place is than it would be if the head had kept its speed and the wood been as warm as usual, as a
 * multiple of dose; 0 where it is not dark, or that does not show. What else burned there (an engraved ground, other
 * passes) is in both, so on wood that is black and deep anyway nothing shows.
 *
 * @param times dose of this operation there, as a multiple of its straight line's, from the motion.
 * @param standard the multiple it would have, and from which one it is dark.
 */
export function timesDarker(
  evidence: Evidence,
  each: OperationEvidence,
  i: number,
  [xMm, yMm]: readonly [number, number],
  times: number,
  standard: Standard,
): number {
  if (times < worthAsking(evidence, standard.dark)) return 0;
  const { straight, straightDwellS } = each;
  const straightJPerMm2 = straight.dosePerLineEnergy * evidence.energies.nominalJPerMm(i);
  const usual = standard.times * straightJPerMm2;
  const place = doseOn(evidence, each, i, xMm, yMm);
  const { doseJPerMm2: there } = place;
  const warm = warmTimes(evidence, each, place);
  if (times * warm < standard.dark) return 0;
  // Where rows end, all their neighbours end alike; a line's place stands alone.
  const own = each.rows ? ownPart(evidence, each, each.rows) : 1;
  const without =
    each.rows && own === 1 ? there / times : there - (times - standard.times) * own * straightJPerMm2;
  const ground = without > GROUND * usual ? without - usual : 0;
  const before = usual + ground;
  if (!(there > before)) return 0;
  const usualDwellS = straightDwellS * standard.times;
  return looksDifferent(evidence, each, place, { doseJPerMm2: before, dwellS: usualDwellS }, ground)
    ? (there / before) * warm
    : 0;
}

/** How far behind the head the beam comes, s: its delay, and the mean delay of its rise. */
export const lateS = ({ laser }: Machine): number =>
  msToS(Math.abs(laser.beam_delay_ms) + laser.rise_time_ms);

/** Up to this speed the beam lags by no more than half the spot, mm/s. */
export const promptSpeed = (machine: Machine): number =>
  Math.min(...machine.spot.width_mm) / 2 / lateS(machine);
