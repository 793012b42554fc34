import { bisectRight } from 'd3-array';
import { greatestOf, leastOf } from '../../src/lists.ts';
import type { Motion } from '../../src/motion/motion.ts';
import { moveTimeS } from '../../src/motion/timeline.ts';
import type { Moments } from './moments.ts';

/** Curves over a window of time: one number per point, at the middle of its share of the window. */
interface Envelope {
  readonly tS: Float64Array;
  readonly lowMmPerS: Float64Array;
  readonly highMmPerS: Float64Array;
  /** Mean emitted power: times its share of the window, the energy that came in it, W. */
  readonly powerW: Float64Array;
}

/**
 * Speed (least and greatest) and power (mean) over a window. Power is gathered from the beam's own walk, so that what
 * lies under the curve is the energy that the dose has, whatever the zoom. Speed is asked exactly where points are
 * finer than moves; where many moves fall on one point, their peaks are gathered, so that none is lost between two pixels.
 */
export function envelopeOf(
  motion: Motion,
  moments: Moments,
  fromS: number,
  toS: number,
  points: number,
): Envelope {
  const stepS = (toS - fromS) / points;
  const tS = Float64Array.from({ length: points }, (_, k) => fromS + (k + 0.5) * stepS);
  const speeds = { lowMmPerS: new Float64Array(points), highMmPerS: new Float64Array(points) };
  const first = firstMoveAfter(motion, fromS);
  const last = firstMoveAfter(motion, toS);
  if (last - first < 2 * points) askSpeeds(speeds, moments, fromS, stepS);
  else gatherSpeeds(speeds, motion, Math.max(0, first - 1), last, fromS, stepS);
  return { tS, ...speeds, powerW: powers(moments, fromS, stepS, points) };
}

type Speeds = Pick<Envelope, 'lowMmPerS' | 'highMmPerS'>;

function askSpeeds({ lowMmPerS, highMmPerS }: Speeds, moments: Moments, fromS: number, stepS: number): void {
  for (let k = 0; k < lowMmPerS.length; k++) {
    const asked = [0.17, 0.5, 0.83].map((part) => moments.speedAt(fromS + (k + part) * stepS));
    lowMmPerS[k] = leastOf(asked);
    highMmPerS[k] = greatestOf(asked);
  }
}

function gatherSpeeds(
  { lowMmPerS, highMmPerS }: Speeds,
  motion: Motion,
  first: number,
  last: number,
  fromS: number,
  stepS: number,
): void {
  const points = lowMmPerS.length;
  lowMmPerS.fill(Infinity);
  for (let i = first; i < Math.min(last, motion.program.moves.count); i++) {
    const start = motion.startS[i]!;
    const end = start + moveTimeS(motion, i);
    const from = Math.max(0, Math.floor((start - fromS) / stepS));
    const to = Math.min(points - 1, Math.floor((end - fromS) / stepS));
    const low = Math.min(motion.entryMmPerS[i]!, motion.entryMmPerS[i + 1]!);
    for (let k = from; k <= to; k++) {
      highMmPerS[k] = Math.max(highMmPerS[k]!, motion.peakMmPerS[i]!);
      lowMmPerS[k] = Math.min(lowMmPerS[k]!, low);
    }
  }
  for (let k = 0; k < points; k++) if (lowMmPerS[k] === Infinity) lowMmPerS[k] = 0;
}

/** Mean power of each point. Within one piece of the walk, whose power is its mean, the moment's own is asked. */
function powers(moments: Moments, fromS: number, stepS: number, points: number): Float64Array {
  const { untilJ, isOnePiece } = moments.energy();
  const powerW = new Float64Array(points);
  let beforeJ = untilJ(fromS);
  for (let k = 0; k < points; k++) {
    const endS = fromS + (k + 1) * stepS;
    const endJ = untilJ(endS);
    const meanW = (endJ - beforeJ) / stepS;
    powerW[k] = meanW > 0 && isOnePiece(endS - stepS, endS) ? moments.emittedW(endS - stepS / 2) : meanW;
    beforeJ = endJ;
  }
  return powerW;
}

/** The first move that begins after t. */
const firstMoveAfter = ({ startS, program }: Motion, t: number): number =>
  bisectRight(startS, t, 0, program.moves.count);
