import { powerLaw } from '../../src/laser/power.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Motion } from '../../src/motion/motion.ts';
import { moveTimeS } from '../../src/motion/timeline.ts';
import { POWER_OFF, POWER_PROPORTIONAL } from '../../src/program/program.ts';
import type { Moments } from './moments.ts';

/** Curves over a window of time: one number per point, at the middle of its share of the window. */
interface Envelope {
  readonly tS: Float64Array;
  readonly lowMmPerS: Float64Array;
  readonly highMmPerS: Float64Array;
  /** Mean emitted power. */
  readonly powerW: Float64Array;
}

/**
 * Speed (least and greatest) and power (mean) over a window. Where points are finer than moves each is asked
 * exactly; where many moves fall on one point, their peaks and energies are gathered, so that no move is
 * lost between two pixels.
 */
export function envelopeOf(
  motion: Motion,
  machine: Machine,
  moments: Moments,
  fromS: number,
  toS: number,
  points: number,
): Envelope {
  const tS = new Float64Array(points);
  const lowMmPerS = new Float64Array(points);
  const highMmPerS = new Float64Array(points);
  const powerW = new Float64Array(points);
  const stepS = (toS - fromS) / points;
  for (let k = 0; k < points; k++) tS[k] = fromS + (k + 0.5) * stepS;
  const first = firstMoveAfter(motion, fromS);
  const last = firstMoveAfter(motion, toS);
  if (last - first < 2 * points) {
    for (let k = 0; k < points; k++) {
      let low = Infinity;
      let high = 0;
      let power = 0;
      for (const part of [0.17, 0.5, 0.83]) {
        const m = moments.at(fromS + (k + part) * stepS);
        low = Math.min(low, m.speedMmPerS);
        high = Math.max(high, m.speedMmPerS);
        power += m.emittedW / 3;
      }
      lowMmPerS[k] = low;
      highMmPerS[k] = high;
      powerW[k] = power;
    }
    return { tS, lowMmPerS, highMmPerS, powerW };
  }
  const { moves } = motion.program;
  const law = powerLaw(machine.laser);
  lowMmPerS.fill(Infinity);
  for (let i = Math.max(0, first - 1); i < Math.min(last, moves.count); i++) {
    const start = motion.startS[i]!;
    const end = start + moveTimeS(motion, i);
    const from = Math.max(0, Math.floor((start - fromS) / stepS));
    const to = Math.min(points - 1, Math.floor((end - fromS) / stepS));
    const burning = moves.powerMode[i] !== POWER_OFF && moves.s[i]! > 0 && moves.rapid[i] === 0;
    const mean = motion.lengthMm[i]! / Math.max(1e-12, end - start);
    const ratio = moves.powerMode[i] === POWER_PROPORTIONAL ? Math.min(1, mean / moves.feedMmPerS[i]!) : 1;
    const watts = burning ? law.watts(moves.s[i]!, ratio) : 0;
    const low = Math.min(motion.entryMmPerS[i]!, motion.entryMmPerS[i + 1]!);
    for (let k = from; k <= to; k++) {
      highMmPerS[k] = Math.max(highMmPerS[k]!, motion.peakMmPerS[i]!);
      lowMmPerS[k] = Math.min(lowMmPerS[k]!, low);
      const overlap = Math.min(end, fromS + (k + 1) * stepS) - Math.max(start, fromS + k * stepS);
      powerW[k]! += (watts * Math.max(0, overlap)) / stepS;
    }
  }
  for (let k = 0; k < points; k++) if (lowMmPerS[k] === Infinity) lowMmPerS[k] = 0;
  return { tS, lowMmPerS, highMmPerS, powerW };
}

/** The first move that begins after t. */
function firstMoveAfter({ startS, program }: Motion, t: number): number {
  let low = 0;
  let high = program.moves.count;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (startS[middle]! <= t) low = middle + 1;
    else high = middle;
  }
  return low;
}
