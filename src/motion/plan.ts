import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
import { type Limits, moveLimits } from './limits.ts';
import type { Motion, Rests } from './motion.ts';
import { moveDurationS, peakSpeed } from './trapezoid.ts';

/**
 * Plans the speeds of a whole program (`docs` in design: limits, corners, look-ahead, stops) and puts it on
 * the clock. New arrays, owned by the caller; O(moves) for any look-ahead.
 *
 * A move's exit speed is the fastest from which the head can still come to rest at the end of the last
 * move known when it begins: v_exit² = min over the corners ahead of (corner² + 2·Σa·L up to it), the end
 * of the known moves counting as a corner of speed 0. Source: v² = v0² + 2·a·s backwards from each corner.
 */
export function planMotion(program: Program, machine: Machine): Motion {
  const { moves, stops } = program;
  const count = moves.count;
  const limits = moveLimits(moves, machine);
  for (let k = 0; k < stops.count; k++) {
    if (stops.beforeMove[k]! < count) limits.cornerSquared[stops.beforeMove[k]!] = 0;
  }
  const exitBound =
    machine.lookahead_moves === null || machine.lookahead_moves >= count
      ? wholeProgramBound(limits, count)
      : windowBound(limits, count, machine.lookahead_moves);

  const { lengthMm, accelMmPerS2, nominalMmPerS } = limits;
  const entryMmPerS = new Float64Array(count + 1);
  const peakMmPerS = new Float64Array(count);
  const startS = new Float64Array(count + 1);
  const rests = restsOf(program);
  let timeS = 0;
  let rest = 0;
  for (let i = 0; i < count; i++) {
    for (; rest < rests.count && rests.beforeMove[rest] === i; rest++) {
      rests.startS[rest] = timeS;
      timeS += rests.durationS[rest]!;
    }
    startS[i] = timeS;
    const length = lengthMm[i]!;
    const accel = accelMmPerS2[i]!;
    const entry = entryMmPerS[i]!;
    const exit = Math.sqrt(Math.min(exitBound(i), entry * entry + 2 * accel * length));
    const peak = Math.max(entry, exit, peakSpeed(length, accel, entry, exit, nominalMmPerS[i]!));
    entryMmPerS[i + 1] = exit;
    peakMmPerS[i] = peak;
    timeS += moveDurationS(length, accel, entry, peak, exit);
  }
  startS[count] = timeS;
  for (; rest < rests.count; rest++) {
    rests.startS[rest] = timeS;
    timeS += rests.durationS[rest]!;
  }
  return { program, lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS, startS, rests, durationS: timeS };
}

/** All moves known from the start: one backward pass gives every bound. */
function wholeProgramBound(limits: Limits, count: number): (i: number) => number {
  const { lengthMm, accelMmPerS2, cornerSquared } = limits;
  const bound = new Float64Array(count);
  for (let i = count - 2; i >= 0; i--) {
    bound[i] = Math.min(cornerSquared[i + 1]!, bound[i + 1]! + 2 * accelMmPerS2[i + 1]! * lengthMm[i + 1]!);
  }
  return (i) => bound[i]!;
}

/**
 * A window of `known` moves: scan the corners ahead until the braking distance gathered so far already
 * exceeds the best bound, after which nothing further away can matter. For short moves at speed that is
 * far less than the window.
 */
function windowBound(limits: Limits, count: number, known: number): (i: number) => number {
  const { lengthMm, accelMmPerS2, cornerSquared } = limits;
  return (i) => {
    const end = Math.min(count, i + known);
    let gathered = 0;
    let best = Infinity;
    for (let k = i + 1; k < end; k++) {
      const here = cornerSquared[k]! + gathered;
      if (here < best) best = here;
      gathered += 2 * accelMmPerS2[k]! * lengthMm[k]!;
      if (gathered >= best) return best;
    }
    return Math.min(best, gathered);
  };
}

/** The stops that take time, as rests still to be put on the clock. */
function restsOf(program: Program): Rests {
  const { stops } = program;
  const kept: number[] = [];
  for (let k = 0; k < stops.count; k++) if (stops.dwellS[k]! > 0) kept.push(k);
  return {
    count: kept.length,
    beforeMove: Uint32Array.from(kept, (k) => stops.beforeMove[k]!),
    startS: new Float64Array(kept.length),
    durationS: Float64Array.from(kept, (k) => stops.dwellS[k]!),
    s: Float64Array.from(kept, (k) => stops.s[k]!),
    powerMode: Uint8Array.from(kept, (k) => stops.powerMode[k]!),
    rapid: Uint8Array.from(kept, (k) => stops.rapid[k]!),
    line: Uint32Array.from(kept, (k) => stops.line[k]!),
    starved: new Uint8Array(kept.length),
  };
}
