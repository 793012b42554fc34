import { alongDirection } from '../../motion/limits.ts';
import type { Motion } from '../../motion/motion.ts';
import { planMotion } from '../../motion/plan.ts';
import type { Operation } from '../../program/program.ts';
import { type Evidence, type OperationEvidence, startOf } from './evidence.ts';
import { MOSTLY, SLOW, slowMmOf } from './survey.ts';

/** How the head would run if the operation's burning moves had another feed. */
export function atFeed(
  { program, machine, energies }: Evidence,
  operation: Operation,
  feedMmPerS: number,
): Motion {
  const { moves } = program;
  const feeds = moves.feedMmPerS.slice(0, moves.count);
  for (let i = operation.firstMove; i <= operation.lastMove; i++) {
    if (energies.nominalMmPerS[i] !== 0) feeds[i] = feedMmPerS;
  }
  return planMotion({ ...program, moves: { ...moves, feedMmPerS: feeds } }, machine);
}

/** How fast the machine could go along a move, mm/s. */
export function topSpeedMmPerS(evidence: Evidence, i: number): number {
  const { moves } = evidence.program;
  const [x, y] = startOf(evidence, i);
  const [dx, dy] = [moves.xMm[i]! - x, moves.yMm[i]! - y];
  const length = Math.sqrt(dx * dx + dy * dy) || 1;
  return alongDirection(evidence.machine.max_speed_mm_s, dx / length, dy / length, 0);
}

/**
 * Whether an operation would burn as another feed says: the machine can go so fast along a move of it, and under constant
 * power its head comes up to that over most of its length too, with the strokes and the run-up it has. Proportional power
 * follows a head that does not.
 */
export function comesUpTo(
  evidence: Evidence,
  { operation }: OperationEvidence,
  move: number,
  feedMmPerS: number,
): boolean {
  if (feedMmPerS > topSpeedMmPerS(evidence, move)) return false;
  if (operation.powerMode === 'proportional') return true;
  const { energies } = evidence;
  const motion = atFeed(evidence, operation, feedMmPerS);
  let [allMm, slowMm] = [0, 0];
  for (let i = operation.firstMove; i <= operation.lastMove; i++) {
    if (energies.nominalMmPerS[i] === 0) continue;
    allMm += motion.lengthMm[i]!;
    slowMm += slowMmOf(motion, i, SLOW * feedMmPerS);
  }
  return slowMm <= MOSTLY * allMm;
}

/**
 * The speed to which moves as long as an operation's are on average let the look-ahead rise: v² = 2·a·(N − ½)·L for N moves
 * of length L; Infinity where it knows of all.
 */
export function lookaheadReach(
  { motion, machine }: Pick<Evidence, 'motion' | 'machine'>,
  { firstMove, lastMove }: Operation,
): { readonly mmPerS: number; readonly moveMm: number } {
  let wayMm = 0;
  for (let i = firstMove; i <= lastMove; i++) wayMm += motion.lengthMm[i]!;
  const moveMm = wayMm / (lastMove - firstMove + 1);
  const known = machine.lookahead_moves ?? Infinity;
  return { mmPerS: Math.sqrt(2 * motion.accelMmPerS2[firstMove]! * (known - 0.5) * moveMm), moveMm };
}

/** The fastest that the head gets where the operation burns. */
export function fastestMmPerS(
  { energies }: Evidence,
  { firstMove, lastMove }: Operation,
  { peakMmPerS }: Motion,
): number {
  let fastest = 0;
  for (let i = firstMove; i <= lastMove; i++)
    if (energies.nominalMmPerS[i] !== 0) fastest = Math.max(fastest, peakMmPerS[i]!);
  return fastest;
}
