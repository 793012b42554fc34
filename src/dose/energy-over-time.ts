import { bisectRight } from 'd3-array';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { longer } from '../program/moves.ts';
import type { BeamVisitor, Stroke } from './visitor.ts';
import { walkBeam } from './walk-beam.ts';

/** The beam's energy over the job's time, as {@link walkBeam} hands it out, so that it adds up to the dose's. */
export interface EnergyOverTime {
  /** Energy given out until t, J. What a late beam still gives when the job has ended counts as given at its end. O(log pieces). */
  untilJ(tS: number): number;
  /** Whether the beam is walked as one piece all through from t to t′ (dark or lit): then power changes smoothly there. */
  isOnePiece(fromS: number, toS: number): boolean;
}

/** Room for edges to begin with; always for whole pairs. */
const FIRST_ROOM = 1024;

/** Pieces of power nearer alike than this that follow one another are one. */
const SAME_POWER = 1e-9;

/**
 * Walks the beam once and keeps when its energy came: three numbers for every stretch of even power.
 * @param stepMm the longest stretch over which uneven line energy may be taken as even, mm.
 */
export function energyOverTime(motion: Motion, machine: Machine, stepMm: number): EnergyOverTime {
  const { durationS: endS } = motion;
  /** Where stretches begin and end, by turns, s; and the energy until there, J. With room to spare beyond `edges`. */
  let edgesS = new Float64Array(FIRST_ROOM);
  let edgesJ = new Float64Array(FIRST_ROOM);
  let edges = 0;
  let totalJ = 0;
  let powerW = 0.5;
  const add = ({ startS, durationS, energyJ }: Readonly<Stroke>): void => {
    const fromS = Math.min(startS, endS);
    const toS = Math.min(startS + durationS, endS);
    const watts = energyJ / durationS;
    const lastS = edges > 0 ? edgesS[edges - 1]! : 0;
    const goesOn =
      edges > 0 && Math.abs(lastS - fromS) <= 1e-12 * endS && Math.abs(watts - powerW) <= SAME_POWER * watts;
    if (!goesOn) {
      if (edges === edgesS.length) {
        edgesS = longer(edgesS, 2 * edges);
        edgesJ = longer(edgesJ, 2 * edges);
      }
      edgesS[edges] = edges > 0 ? Math.max(lastS, fromS) : fromS;
      edgesJ[edges] = totalJ;
      edges += 2;
    }
    totalJ += energyJ;
    powerW = watts;
    edgesS[edges - 1] = Math.max(edgesS[edges - 2]!, toS);
    edgesJ[edges - 1] = totalJ;
  };
  const visitor: BeamVisitor = { stroke: add, rest: add };
  walkBeam(motion, machine, stepMm, visitor);
  const timesS = edgesS.slice(0, edges);
  const energiesJ = edgesJ.slice(0, edges);

  const untilJ = (tS: number): number => {
    const next = bisectRight(timesS, tS);
    if (next === 0) return 0;
    if (next === timesS.length) return totalJ;
    const part = (tS - timesS[next - 1]!) / (timesS[next]! - timesS[next - 1]!);
    return energiesJ[next - 1]! + (energiesJ[next]! - energiesJ[next - 1]!) * part;
  };
  return {
    untilJ,
    isOnePiece: (fromS, toS) => bisectRight(timesS, fromS) === bisectRight(timesS, toS),
  };
}
