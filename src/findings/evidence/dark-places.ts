import type { Machine, Spot } from '../../machine/profile.ts';
import type { Operation } from '../../program/program.ts';
import { msToS } from '../../units.ts';
import { doseAt, dwellAt, type Evidence, looksDifferent, type OperationEvidence } from './evidence.ts';
import { widthAlongMm } from './spot-widths.ts';

/** What the three kinds of places that burn too dark have in common. */

/**
 * From half as much dose again a place counts as dark. Less lies within what the wood itself does: thermal
 * properties scatter by a fifth (Wood Handbook), and a forecast's own doses by about a third.
 */
export const DARK = 1.5;

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
 * How much more dose the place has than it would have if the head had kept its speed, as a multiple; 0 where that
 * does not show. What else burned there (an engraved ground, other passes) is in both, so on wood that is black
 * anyway nothing shows.
 *
 * @param times dose of this operation there, as a multiple of its straight line's, from the motion.
 */
export function timesDarker(
  evidence: Evidence,
  each: OperationEvidence,
  i: number,
  xMm: number,
  yMm: number,
  times: number,
): number {
  const { straight, straightDwellS } = each;
  const usual = straight.dosePerLineEnergy * evidence.energies.nominalJPerMm(i);
  const there = doseAt(evidence, xMm, yMm);
  // Where rows end, all their neighbours end alike; a line's place stands alone.
  const without = each.rows ? there / times : there - (times - 1) * usual;
  const before = Math.max(usual, without);
  if (!(there > before)) return 0;
  const dwellS = dwellAt(evidence, xMm, yMm);
  const ground = Math.max(0, before - usual);
  return looksDifferent(evidence, each, there, dwellS, before, straightDwellS, ground) ? there / before : 0;
}

/** How far behind the head the beam comes, s: its delay, and the mean delay of its rise. */
export const lateS = ({ laser }: Machine): number =>
  msToS(Math.abs(laser.beam_delay_ms) + laser.rise_time_ms);

/** Up to this speed the beam lags by no more than half the spot, mm/s. */
export const promptSpeed = (machine: Machine): number =>
  Math.min(...machine.spot.width_mm) / 2 / lateS(machine);
