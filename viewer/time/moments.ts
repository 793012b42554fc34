import { depositStepMm } from '../../src/dose/deposit.ts';
import { type EnergyOverTime, energyOverTime } from '../../src/dose/energy-over-time.ts';
import { type Moment, timelineOf } from '../../src/dose/moment.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Motion } from '../../src/motion/motion.ts';
import { headAt } from '../../src/motion/timeline.ts';
import { msToS } from '../../src/units.ts';

export type { Moment } from '../../src/dose/moment.ts';

export interface Moments {
  readonly durationS: number;
  at(tS: number): Moment;
  /** How fast the head is then, mm/s: all that a curve of speed asks, and quicker told. */
  speedAt(tS: number): number;
  /** What leaves the lens then, W, likewise; at a time within the job. */
  emittedW(tS: number): number;
  /** Head and beam as the eye sees them over a stretch of time: the mean of place, speed and power. */
  over(fromS: number, toS: number): Moment;
  /** The beam's energy over time; worked out when first asked for. */
  energy(): EnergyOverTime;
}

/** Equal parts of the lag's memory that are asked for the command of their time. */
const LAG_NODES = 12;
/** Energy over time is asked by the pixel: ramps need not be cut as finely for it as for the grid. */
const COARSER = 4;
/** A frame of fast playback is told by so many moments. */
const SMOOTHING = 24;

/**
 * Any moment of a job, cheaply: nothing is worked out ahead, so a job of a million moves is ready at once.
 * Under a lag τ the emitted power is the mean of past commands weighted e^(−u/τ), taken at the middles of
 * parts of equal weight, u = −τ·ln(1 − (k + ½)/n).
 */
export function momentsOf(motion: Motion, machine: Machine): Moments {
  const tauS = msToS(machine.laser.rise_time_ms);
  const prompt = timelineOf(motion, { ...machine, laser: { ...machine.laser, rise_time_ms: 0 } });
  const lateW = (tS: number): number => {
    let sum = 0;
    for (let k = 0; k < LAG_NODES; k++) {
      const ago = -tauS * Math.log(1 - (k + 0.5) / LAG_NODES);
      if (tS - ago >= 0) sum += prompt.emittedW(tS - ago);
    }
    return sum / LAG_NODES;
  };
  const emittedW = tauS > 0 ? lateW : prompt.emittedW;
  // A longer job's clock may run on past this one's end: then the beam is off and the head stands.
  const promptAt = (tS: number): Moment => {
    const moment = prompt.at(tS);
    return tS > motion.durationS ? { ...moment, speedMmPerS: 0, commandedW: 0, emittedW: 0 } : moment;
  };
  const at = (tS: number): Moment => {
    const moment = promptAt(tS);
    return tauS > 0 && tS <= motion.durationS ? { ...moment, emittedW: lateW(moment.tS) } : moment;
  };
  let energy: EnergyOverTime | null = null;
  return {
    durationS: motion.durationS,
    at,
    speedAt: (tS) => (tS > motion.durationS ? 0 : headAt(motion, tS).speedMmPerS),
    emittedW,
    energy() {
      energy ??= energyOverTime(motion, machine, COARSER * depositStepMm(machine.spot));
      return energy;
    },
    over(fromS, toS) {
      const last = at(toS);
      const head = { x: 0, y: 0, z: 0, speed: 0, command: 0, power: 0 };
      for (let k = 0; k < SMOOTHING; k++) {
        const m = promptAt(fromS + ((toS - fromS) * (k + 0.5)) / SMOOTHING);
        head.x += m.xMm;
        head.y += m.yMm;
        head.z += m.zMm;
        head.speed += m.speedMmPerS;
        head.command += m.commandedW;
        head.power += m.emittedW;
      }
      return {
        ...last,
        xMm: head.x / SMOOTHING,
        yMm: head.y / SMOOTHING,
        zMm: head.z / SMOOTHING,
        speedMmPerS: head.speed / SMOOTHING,
        commandedW: head.command / SMOOTHING,
        emittedW: head.power / SMOOTHING,
      };
    },
  };
}
