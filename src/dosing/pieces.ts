import type { Motion } from '../motion/motion.ts';
import { moveDurationS, rampMm } from '../motion/trapezoid.ts';

/** How finely moves are cut where the head speeds up or slows. */
export interface Fineness {
  /** Within a piece the speed is at most this part above or below the piece's mean. */
  readonly within: number;
  /** No piece is shorter, mm: what is much shorter than the spot is averaged by the spot itself. */
  readonly shortestMm: number;
}

/**
 * Where a move is cut so that each piece can have a power of its own: the ramps into pieces over which the speed stays
 * within a part of its mean, as few as do; the cruise stays whole, with what of the ramps differs little from it.
 *
 * On a ramp v² = v0² + 2·a·s, so a piece from v to q·v, q = (1 − w)/(1 + w), is v²·(1 − q²)/(2a) long.
 * @param fullMmPerS the speed that the move was meant to have.
 * @returns the cuts from the move's start on, as parts of its length; none where it stays whole.
 */
export function cutsOfMove(motion: Motion, k: number, fullMmPerS: number, fineness: Fineness): number[] {
  const length = motion.lengthMm[k]!;
  const accel = motion.accelMmPerS2[k]!;
  const peak = motion.peakMmPerS[k]!;
  const upMm = rampMm(accel, motion.entryMmPerS[k]!, peak);
  const downMm = rampMm(accel, motion.entryMmPerS[k + 1]!, peak);
  const up = rampCuts(accel, motion.entryMmPerS[k]!, peak, fullMmPerS, fineness);
  const down = rampCuts(accel, motion.entryMmPerS[k + 1]!, peak, fullMmPerS, fineness);
  const cuts: number[] = [];
  const cut = (atMm: number) => {
    const before = cuts.at(-1) ?? 0;
    if (atMm - before >= fineness.shortestMm && length - atMm >= fineness.shortestMm) cuts.push(atMm);
  };
  for (let j = up.length - 1; j >= 0; j--) cut(upMm - up[j]!);
  for (const fromTopMm of down) cut(length - downMm + fromTopMm);
  return cuts.map((atMm) => atMm / length);
}

/** Cuts of a ramp, mm from its fast end, nearest first. */
function rampCuts(
  accel: number,
  slow: number,
  peak: number,
  full: number,
  { within, shortestMm }: Fineness,
): number[] {
  const ratio = (1 - within) / (1 + within);
  const lengthMm = rampMm(accel, slow, peak);
  const cuts: number[] = [];
  // The piece at full speed reaches down to where the dose has grown by `within`.
  let speed = peak >= full * (1 - within) ? full / (1 + within) : peak * ratio;
  while (speed > slow) {
    const atMm = (peak * peak - speed * speed) / (2 * accel);
    const least = (cuts.at(-1) ?? 0) + shortestMm;
    const cutMm = Math.max(atMm, least);
    if (lengthMm - cutMm < shortestMm) break;
    if (cutMm > 0) cuts.push(cutMm);
    speed = ratio * Math.sqrt(Math.max(0, peak * peak - 2 * accel * cutMm));
  }
  return cuts;
}

/** The mean speed, mm/s, of a move as it is planned. */
export function meanSpeedMmPerS(motion: Motion, k: number): number {
  const { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS } = motion;
  return (
    lengthMm[k]! /
    moveDurationS(lengthMm[k]!, accelMmPerS2[k]!, entryMmPerS[k]!, peakMmPerS[k]!, entryMmPerS[k + 1]!)
  );
}
