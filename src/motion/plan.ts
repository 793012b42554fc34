import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
import { type Limits, moveLimits } from './limits.ts';
import { openLink } from './link.ts';
import type { Motion } from './motion.ts';
import { collectRests } from './rests.ts';
import { moveDurationS, peakSpeed } from './trapezoid.ts';

/**
 * Plans the speeds of a whole program (limits, corners, look-ahead, stops, link) and puts it on the clock.
 * New arrays, owned by the caller: mm, mm/s, mm/s² and s, one entry a move.
 *
 * A move's exit speed is the fastest from which the head can still come to rest at the end of the last
 * move known when it begins: v_exit² = min over the corners ahead of (corner² + 2·Σa·L up to it), the end
 * of the known moves counting as a corner of speed 0. Source: v² = v0² + 2·a·s backwards from each corner.
 *
 * With a `link`, only moves that have arrived when a move begins are known, and a move that has not arrived
 * when the one before it ends is waited for at rest.
 */
export function planMotion(program: Program, machine: Machine): Motion {
  const { moves, stops } = program;
  const count = moves.count;
  const limits = moveLimits(moves, machine);
  for (let k = 0; k < stops.count; k++) {
    if (stops.beforeMove[k]! < count) limits.cornerSquared[stops.beforeMove[k]!] = 0;
  }
  const { lengthMm, accelMmPerS2, nominalMmPerS } = limits;
  const entryMmPerS = new Float64Array(count + 1);
  const peakMmPerS = new Float64Array(count);
  const startS = new Float64Array(count + 1);
  const endS = machine.link ? new Float64Array(count) : null;
  const link = endS ? openLink(program, machine, endS) : null;
  const rests = collectRests(program);
  const slots = machine.lookahead_moves ?? count;
  const wholeBound = link === null && slots >= count ? wholeProgramBound(limits, count) : null;

  let timeS = 0;
  for (let i = 0; i < count; i++) {
    timeS = rests.programmed(i, timeS);
    let knownEnd = Math.min(count, i + slots); // moves before this one are known when move i begins
    if (link) {
      if (link.taken <= i) {
        timeS = rests.starved(i, timeS, link.arrivalS());
        link.take();
      }
      while (link.taken < knownEnd && link.arrivalS() <= timeS) link.take();
      knownEnd = link.taken;
    }
    startS[i] = timeS;
    const bound = wholeBound ? wholeBound[i]! : exitBound(limits, i, knownEnd);
    const length = lengthMm[i]!;
    const accel = accelMmPerS2[i]!;
    const entry = entryMmPerS[i]!;
    const exit = Math.sqrt(Math.min(bound, entry * entry + 2 * accel * length));
    const peak = Math.max(entry, exit, peakSpeed(length, accel, entry, exit, nominalMmPerS[i]!));
    entryMmPerS[i + 1] = exit;
    peakMmPerS[i] = peak;
    timeS += moveDurationS(length, accel, entry, peak, exit);
    if (endS) endS[i] = timeS;
  }
  startS[count] = timeS;
  timeS = rests.programmed(count, timeS);
  return {
    program,
    lengthMm,
    accelMmPerS2,
    entryMmPerS,
    peakMmPerS,
    startS,
    rests: rests.finish(),
    durationS: timeS,
  };
}

/** Square of the bound on every exit speed when all moves are known from the start: one backward pass. */
function wholeProgramBound(limits: Limits, count: number): Float64Array {
  const { lengthMm, accelMmPerS2, cornerSquared } = limits;
  const bound = new Float64Array(count);
  for (let i = count - 2; i >= 0; i--) {
    bound[i] = Math.min(cornerSquared[i + 1]!, bound[i + 1]! + 2 * accelMmPerS2[i + 1]! * lengthMm[i + 1]!);
  }
  return bound;
}

/**
 * Square of the bound on the exit speed of move i when moves before `end` are known: scans the corners ahead
 * until the braking distance gathered so far exceeds the best bound, after which nothing further away can
 * matter. For short moves at speed that is far less than the window.
 */
function exitBound(limits: Limits, i: number, end: number): number {
  const { lengthMm, accelMmPerS2, cornerSquared } = limits;
  let gathered = 0;
  let best = Infinity;
  for (let k = i + 1; k < end; k++) {
    const here = cornerSquared[k]! + gathered;
    if (here < best) best = here;
    gathered += 2 * accelMmPerS2[k]! * lengthMm[k]!;
    if (gathered >= best) return best;
  }
  return Math.min(best, gathered);
}
