import { bisectRight } from 'd3-array';
import type { Motion } from './motion.ts';
import { cruiseMm, moveDurationS, rampMm } from './trapezoid.ts';

/** Where the head is at a moment, and how fast. */
export interface HeadState {
  readonly tS: number;
  /** The move under way, or the next one while the head rests; `moves.count` after the end. */
  readonly move: number;
  /** The rest under way (index into `motion.rests`), or -1. */
  readonly rest: number;
  readonly xMm: number;
  readonly yMm: number;
  readonly zMm: number;
  readonly speedMmPerS: number;
}

/**
 * The head at time t, s, clamped to 0 … duration: its place in mm and its speed in mm/s. O(log moves).
 * Source: s = v0·t + a·t²/2 on ramps.
 */
export function headAt(motion: Motion, tS: number): HeadState {
  const { program, startS, rests } = motion;
  const { count } = program.moves;
  const t = Math.min(Math.max(tS, 0), motion.durationS);
  const move = lastAtOrBefore(startS, count + 1, t); // -1 in a rest before the first move
  const elapsed = move < 0 ? Infinity : t - startS[move]!;
  const duration = move >= 0 && move < count ? moveTimeS(motion, move) : 0;
  if (move >= 0 && move < count && elapsed <= duration) {
    const { distanceMm, speedMmPerS } = alongMove(motion, move, elapsed);
    return { tS: t, move, rest: -1, ...pointOnMove(motion, move, distanceMm), speedMmPerS };
  }
  const next = Math.min(move + 1, count);
  const candidate = lastAtOrBefore(rests.startS, rests.count, t);
  const rest = candidate >= 0 && rests.beforeMove[candidate] === next ? candidate : -1;
  return { tS: t, move: next, rest, ...endOfMove(motion, next - 1), speedMmPerS: 0 };
}

/** How long move i takes, s (without the rests after it). */
export const moveTimeS = (motion: Motion, i: number): number =>
  moveDurationS(
    motion.lengthMm[i]!,
    motion.accelMmPerS2[i]!,
    motion.entryMmPerS[i]!,
    motion.peakMmPerS[i]!,
    motion.entryMmPerS[i + 1]!,
  );

/** From the beginning of one move to the end of another, s, rests in between included. */
export const spanS = (motion: Motion, firstMove: number, lastMove: number): number =>
  motion.startS[lastMove]! + moveTimeS(motion, lastMove) - motion.startS[firstMove]!;

/** Distance from the move's start and speed, `elapsedS` after it began. */
function alongMove(motion: Motion, i: number, elapsedS: number): { distanceMm: number; speedMmPerS: number } {
  const a = motion.accelMmPerS2[i]!;
  const entry = motion.entryMmPerS[i]!;
  const exit = motion.entryMmPerS[i + 1]!;
  const peak = motion.peakMmPerS[i]!;
  const length = motion.lengthMm[i]!;
  const upS = (peak - entry) / a;
  const downS = (peak - exit) / a;
  const cruiseS = cruiseMm(length, rampMm(a, entry, peak), rampMm(a, exit, peak)) / peak;
  if (elapsedS < upS) {
    return { distanceMm: (entry + (a * elapsedS) / 2) * elapsedS, speedMmPerS: entry + a * elapsedS };
  }
  if (elapsedS < upS + cruiseS) {
    return { distanceMm: rampMm(a, entry, peak) + peak * (elapsedS - upS), speedMmPerS: peak };
  }
  const leftS = Math.max(0, upS + cruiseS + downS - elapsedS);
  return { distanceMm: length - (exit + (a * leftS) / 2) * leftS, speedMmPerS: exit + a * leftS };
}

function pointOnMove(
  motion: Motion,
  i: number,
  distanceMm: number,
): { xMm: number; yMm: number; zMm: number } {
  const from = endOfMove(motion, i - 1);
  const to = endOfMove(motion, i);
  const f = Math.min(1, distanceMm / motion.lengthMm[i]!);
  return {
    xMm: from.xMm + (to.xMm - from.xMm) * f,
    yMm: from.yMm + (to.yMm - from.yMm) * f,
    zMm: from.zMm + (to.zMm - from.zMm) * f,
  };
}

/** Where move i ends; the origin for i = -1. */
function endOfMove(motion: Motion, i: number): { xMm: number; yMm: number; zMm: number } {
  const { xMm, yMm, zMm } = motion.program.moves;
  return i < 0 ? { xMm: 0, yMm: 0, zMm: 0 } : { xMm: xMm[i]!, yMm: yMm[i]!, zMm: zMm[i]! };
}

/** The last index below `count` whose value is ≤ t in a non-decreasing array, or -1. */
const lastAtOrBefore = (values: Float64Array, count: number, t: number): number =>
  bisectRight(values, t, 0, count) - 1;
