import type { GridFrame } from '../grid.ts';
import { defocus } from '../laser/spot.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { depositStepMm, startDeposit } from './deposit.ts';
import type { Dose } from './dose.ts';
import { burnHeights } from './heights.ts';
import { JUDGED_EVERY_MM, type LinePlaces, linePlaces } from './line-places.ts';
import { doseAtPoints, type PointDose, startPointDeposit } from './point-dose.ts';
import { startTally, type Tally } from './tally.ts';
import { type BeamVisitor, type Stroke, toAll } from './visitor.ts';
import { walkBeam } from './walk-beam.ts';

/** Where a job's energy landed, and what each operation gave. */
export interface Landing extends Pick<Tally, 'energyJ' | 'beamOnS'> {
  readonly dose: Dose;
  readonly lines: LineDose;
}

/** What falls on the places along a job's lines. */
export interface LineDose {
  readonly places: LinePlaces;
  readonly dose: PointDose;
  /** How many times the need of one cool firing each place has, where warmth is followed; left out: once. */
  readonly needTimes?: Float64Array;
  /** … and as how many equal firings what landed there counts. */
  readonly firings?: Float64Array;
}

/** The whole job, where the motion to land is a part of it. */
interface Whole {
  /** Least and greatest height at which it burns, mm. */
  readonly heights: readonly [leastMm: number, mostMm: number];
  readonly places: LinePlaces;
}

/** A whole job's heights and places, for cells of this size. */
export function wholeOf(motion: Motion, machine: Machine, cellMm: number): Whole {
  const { spot } = machine;
  const heights = burnHeights(motion, machine);
  const nearestMm = Math.min(heights[1], Math.max(heights[0], spot.focus_z_mm));
  const widthMm = Math.min(...spot.width_mm) * defocus(spot, nearestMm);
  return { heights, places: linePlaces(motion.program, widthMm, cellMm) };
}

/**
 * The longest stretch over which a job's uneven line energy may be averaged, mm: one with lines is walked as finely as
 * they are judged, whatever part of it lands, so that parts add up.
 */
export function landingStepMm(
  { program: { operations } }: Motion,
  { spot }: Machine,
  cellMm: number,
): number {
  const hasLines = operations.some(({ kind }) => kind === 'outline');
  return depositStepMm(spot, hasLines ? Math.min(cellMm, JUDGED_EVERY_MM) : cellMm);
}

/** What falls on places along lines without a grid, walked as finely as they are judged. */
export const doseAlong = (
  { heights, places }: Whole,
  motion: Motion,
  machine: Machine,
  cellMm: number,
): PointDose => doseAtPoints(places, motion, machine, heights, Math.min(cellMm, JUDGED_EVERY_MM));

/**
 * Lets all energy of a motion fall on a grid, and on the places along its lines.
 * @param also told of the same walk, whose steps are then as fine as the grid needs.
 */
export function landOn(
  frame: GridFrame,
  motion: Motion,
  machine: Machine,
  whole: Whole = wholeOf(motion, machine, frame.cellMm),
  also: BeamVisitor | null = null,
): Landing {
  const { heights, places } = whole;
  const { spot } = machine;
  const [lowestMm, highestMm] = heights;
  const { moves, operations } = motion.program;
  const { add, energyJ, beamOnS } = startTally(moves, operations.length);
  const deposit = startDeposit(spot, frame, { add, energyJ, beamOnS });
  const above = highestMm > lowestMm ? startDeposit(spot, frame) : null;
  const points = places.count > 0 ? startPointDeposit(places, spot, heights) : null;
  const visitors = [
    deposit,
    ...(above ? [timesHeight(above, lowestMm)] : []),
    ...(points ? [points] : []),
    ...(also ? [also] : []),
  ];
  walkBeam(motion, machine, landingStepMm(motion, machine, frame.cellMm), toAll(visitors));

  const { grid, doseLnDwell, energyJ: landedJ, outsideJ } = deposit.finish();
  const doseAbove = above?.finish().grid.data ?? null;
  return {
    // Written out, not spread: what is compiled for such a dose would else be thrown away once the last of them is.
    dose: { grid, doseLnDwell, energyJ: landedJ, outsideJ, height: { lowestMm, highestMm, doseAbove } },
    lines: { places, dose: (points ?? startPointDeposit(places, spot, heights)).finish() },
    energyJ,
    beamOnS,
  };
}

/** Doses add up, and so does dose × height: the visitor gets every piece's energy times its height. */
function timesHeight(visitor: BeamVisitor, lowestMm: number): BeamVisitor {
  const scaled = (stroke: Readonly<Stroke>): Stroke => ({
    ...stroke,
    energyJ: stroke.energyJ * Math.max(0, stroke.z - lowestMm),
  });
  return {
    stroke: (stroke) => visitor.stroke(scaled(stroke)),
    rest: (stroke) => visitor.rest(scaled(stroke)),
  };
}
