import type { Motion } from './motion.ts';
import { cruiseMm, rampMm } from './trapezoid.ts';

/**
 * The job as a sequence of phases of constant acceleration: rests, and each move's ramp up, cruise and ramp
 * down. A cursor holds the phase it is on in its own fields and steps from one to the next, so that a walk
 * of millions of phases allocates nothing.
 */
export interface PhaseCursor {
  /** False once the last phase has been passed; the other fields then describe the end of the job. */
  alive: boolean;
  startS: number;
  endS: number;
  /** Speed at the phase's start and end, mm/s; it changes evenly in between. */
  v0: number;
  v1: number;
  /** Where the phase begins, and its direction (zero at rest). */
  x: number;
  y: number;
  z: number;
  ux: number;
  uy: number;
  uz: number;
  lengthMm: number;
  /** The move under way (or -1 − the rest's index). */
  move: number;
  /** The move that led here (-1: none yet). */
  lastMove: number;
  /** Steps on; returns `alive`. */
  next(): boolean;
}

/** A cursor before the first phase: call `next` to reach it. */
export function phasesOf(motion: Motion): PhaseCursor {
  const { moves } = motion.program;
  const { rests, lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS } = motion;
  let move = -1; // the move whose phases are being given out
  let part = 3; // 0 ramp up, 1 cruise, 2 ramp down, 3 done
  let rest = 0;

  return {
    alive: true,
    startS: 0,
    endS: 0,
    v0: 0,
    v1: 0,
    x: 0,
    y: 0,
    z: 0,
    ux: 0,
    uy: 0,
    uz: 0,
    lengthMm: 0,
    move: -1,
    lastMove: -1,
    next() {
      this.x += this.ux * this.lengthMm;
      this.y += this.uy * this.lengthMm;
      this.z += this.uz * this.lengthMm;
      this.startS = this.endS;
      for (;;) {
        if (part === 3) {
          if (move >= 0) {
            // Take the end from the program, so that rounding does not add up.
            this.x = moves.xMm[move]!;
            this.y = moves.yMm[move]!;
            this.z = moves.zMm[move]!;
          }
          this.ux = this.uy = this.uz = this.lengthMm = this.v0 = this.v1 = 0;
          if (rest < rests.count && rests.beforeMove[rest] === move + 1) {
            this.move = -1 - rest;
            this.lastMove = move;
            this.startS = rests.startS[rest]!;
            this.endS = this.startS + rests.durationS[rest]!;
            rest++;
            return true;
          }
          move++;
          if (move >= moves.count) {
            move = moves.count - 1;
            this.alive = false;
            return false;
          }
          part = 0;
          this.move = move;
          this.lastMove = move;
          this.startS = motion.startS[move]!;
          this.ux = (moves.xMm[move]! - this.x) / lengthMm[move]!;
          this.uy = (moves.yMm[move]! - this.y) / lengthMm[move]!;
          this.uz = (moves.zMm[move]! - this.z) / lengthMm[move]!;
        }
        const accel = accelMmPerS2[move]!;
        const entry = entryMmPerS[move]!;
        const peak = peakMmPerS[move]!;
        const exit = entryMmPerS[move + 1]!;
        const upMm = rampMm(accel, entry, peak);
        const downMm = rampMm(accel, exit, peak);
        const here = part++;
        this.lengthMm = here === 0 ? upMm : here === 1 ? cruiseMm(lengthMm[move]!, upMm, downMm) : downMm;
        if (!(this.lengthMm > 0)) {
          this.lengthMm = 0;
          continue;
        }
        this.v0 = here === 0 ? entry : peak;
        this.v1 = here === 2 ? exit : peak;
        this.endS = this.startS + (2 * this.lengthMm) / (this.v0 + this.v1);
        return true;
      }
    },
  };
}
