import { bisectRight } from 'd3-array';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { type HeadState, headAt } from '../motion/timeline.ts';
import { msToS } from '../units.ts';
import { moveCommandW, restCommandW } from './command.ts';
import { walkLagging } from './lagging.ts';
import type { BeamVisitor } from './visitor.ts';

/** Head and beam at a moment. */
export interface Moment extends HeadState {
  /** What the program asks of the beam now, W. */
  readonly commandedW: number;
  /** What leaves the lens now, W. */
  readonly emittedW: number;
}

/** The whole job in time: answers any moment in O(log moves). */
export interface Timeline {
  readonly durationS: number;
  at(tS: number): Moment;
  /** What leaves the lens then, W, for who asks for that alone; at a time within the job. */
  emittedW(tS: number): number;
}

/**
 * Where the head is, how fast, and what the beam does, at any time. Under a lag the emitted power is worked
 * out once along the whole job and read between its steps; without one nothing is kept.
 * @returns answers for any time, s, in mm, mm/s and W; before the beginning and after the end those of the ends.
 */
export function timelineOf(motion: Motion, machine: Machine): Timeline {
  const { rise_time_ms, beam_delay_ms } = machine.laser;
  const delayS = msToS(beam_delay_ms);
  const commanded = (tS: number): number =>
    tS < 0 || tS > motion.durationS ? 0 : commandOf(headAt(motion, tS), motion, machine);
  const emittedW = rise_time_ms > 0 ? laggingPower(motion, machine) : (tS: number) => commanded(tS - delayS);
  return {
    durationS: motion.durationS,
    at(tS) {
      const head = headAt(motion, tS);
      const commandedW = commandOf(head, motion, machine);
      return { ...head, commandedW, emittedW: emittedW(head.tS) };
    },
    emittedW,
  };
}

/** Commanded watts for the head's state. */
function commandOf(head: HeadState, motion: Motion, machine: Machine): number {
  const law = powerLaw(machine.laser);
  if (head.rest >= 0) return restCommandW(head.rest, motion, machine, law);
  return head.move < motion.program.moves.count
    ? moveCommandW(head.move, head.speedMmPerS, motion, machine, law)
    : 0;
}

const IGNORE: BeamVisitor = { stroke() {}, rest() {} };

/** Emitted power under a lag as a function of time: samples at the walk's steps, straight lines between. */
function laggingPower(motion: Motion, machine: Machine): (tS: number) => number {
  const times: number[] = [];
  const powers: number[] = [];
  const stepMm = Math.min(...machine.spot.width_mm) / 4;
  walkLagging(motion, machine, stepMm, IGNORE, (tS, powerW) => {
    times.push(tS);
    powers.push(powerW);
  });
  return (tS) => {
    const k = bisectRight(times, tS) - 1;
    if (k < 0) return 0;
    if (k === times.length - 1) return powers[k]!;
    const part = (tS - times[k]!) / (times[k + 1]! - times[k]!);
    return powers[k]! + (powers[k + 1]! - powers[k]!) * part;
  };
}
