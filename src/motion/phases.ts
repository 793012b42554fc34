import type { Motion } from './motion.ts';
import { cruiseMm, rampMm } from './trapezoid.ts';

/**
 * The job as a sequence of phases of constant acceleration: rests, and each move's ramp up, cruise and ramp
 * down. A cursor holds the phase it is on in its own fields and steps from one to the next, so that a walk
 * of millions of phases allocates nothing.
 */
export interface PhaseCursor {
  readonly motion: Motion;
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
  /** The move whose phases are being given out, which of them is next, and the next rest. */
  given: number;
  part: number;
  rest: number;
}

/** Parts of a move, in order. */
const RAMP_UP = 0;
const CRUISE = 1;
const RAMP_DOWN = 2;
const DONE = 3;

/** A cursor before the first phase, which {@link toNextPhase} reaches. */
export function phasesOf(motion: Motion): PhaseCursor {
  // Fractions to start with, so that the engine keeps these fields as doubles.
  const cursor: PhaseCursor = {
    motion,
    alive: true,
    startS: 0.5,
    endS: 0.5,
    v0: 0.5,
    v1: 0.5,
    x: 0.5,
    y: 0.5,
    z: 0.5,
    ux: 0.5,
    uy: 0.5,
    uz: 0.5,
    lengthMm: 0.5,
    move: -1,
    lastMove: -1,
    given: -1,
    part: DONE,
    rest: 0,
  };
  cursor.endS = cursor.x = cursor.y = cursor.z = 0;
  standStill(cursor);
  return cursor;
}

function standStill(cursor: PhaseCursor): void {
  cursor.ux = cursor.uy = cursor.uz = cursor.lengthMm = cursor.v0 = cursor.v1 = 0;
}

/** Steps on; returns `alive`. */
export function toNextPhase(cursor: PhaseCursor): boolean {
  const { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS } = cursor.motion;
  cursor.x += cursor.ux * cursor.lengthMm;
  cursor.y += cursor.uy * cursor.lengthMm;
  cursor.z += cursor.uz * cursor.lengthMm;
  cursor.startS = cursor.endS;
  for (;;) {
    if (cursor.part === DONE) {
      if (toRest(cursor)) return true;
      if (!toNextMove(cursor)) return false;
    }
    const move = cursor.given;
    const accel = accelMmPerS2[move]!;
    const entry = entryMmPerS[move]!;
    const peak = peakMmPerS[move]!;
    const exit = entryMmPerS[move + 1]!;
    const upMm = rampMm(accel, entry, peak);
    const downMm = rampMm(accel, exit, peak);
    const here = cursor.part++;
    const phaseMm =
      here === RAMP_UP ? upMm : here === CRUISE ? cruiseMm(lengthMm[move]!, upMm, downMm) : downMm;
    if (!(phaseMm > 0)) {
      cursor.lengthMm = 0;
      continue;
    }
    cursor.lengthMm = phaseMm;
    cursor.v0 = here === RAMP_UP ? entry : peak;
    cursor.v1 = here === RAMP_DOWN ? exit : peak;
    cursor.endS = cursor.startS + (2 * phaseMm) / (cursor.v0 + cursor.v1);
    return true;
  }
}

/** To the rest that follows the move whose phases have been given out; false where there is none. */
function toRest(cursor: PhaseCursor): boolean {
  const { given, rest, motion } = cursor;
  const { rests } = motion;
  const { xMm, yMm, zMm } = motion.program.moves;
  if (given >= 0) {
    // Take the end from the program, so that rounding does not add up.
    cursor.x = xMm[given]!;
    cursor.y = yMm[given]!;
    cursor.z = zMm[given]!;
  }
  standStill(cursor);
  if (!(rest < rests.count && rests.beforeMove[rest] === given + 1)) return false;
  cursor.move = -1 - rest;
  cursor.lastMove = given;
  cursor.startS = rests.startS[rest]!;
  cursor.endS = cursor.startS + rests.durationS[rest]!;
  cursor.rest++;
  return true;
}

/** To the beginning of the next move; false where there is none. */
function toNextMove(cursor: PhaseCursor): boolean {
  const { startS, lengthMm, program } = cursor.motion;
  const { count, xMm, yMm, zMm } = program.moves;
  const move = cursor.given + 1;
  if (move >= count) {
    cursor.alive = false;
    return false;
  }
  cursor.given = move;
  cursor.part = RAMP_UP;
  cursor.move = move;
  cursor.lastMove = move;
  cursor.startS = startS[move]!;
  cursor.ux = (xMm[move]! - cursor.x) / lengthMm[move]!;
  cursor.uy = (yMm[move]! - cursor.y) / lengthMm[move]!;
  cursor.uz = (zMm[move]! - cursor.z) / lengthMm[move]!;
  return true;
}
