import type { GridFrame } from '../grid.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { type Deposit, depositStepMm, startDeposit } from './deposit.ts';
import { type Dose, oneHeight } from './dose.ts';
import { burnHeights } from './heights.ts';
import { startTally, type Tally } from './tally.ts';
import type { BeamVisitor } from './visitor.ts';
import { walkBeam } from './walk-beam.ts';

/** Where a job's energy landed, and what each operation gave. */
export interface Landing extends Pick<Tally, 'energyJ' | 'beamOnS'> {
  readonly dose: Dose;
}

/**
 * Lets all energy of a motion fall on a grid.
 * @param heights least and greatest height of the whole job's burning, where the motion is a part of it.
 */
export function landOn(
  frame: GridFrame,
  motion: Motion,
  machine: Machine,
  heights: readonly [leastMm: number, mostMm: number] = burnHeights(motion, machine),
): Landing {
  const { moves, operations } = motion.program;
  const { add, energyJ, beamOnS } = startTally(moves, operations.length);
  const deposit = startDeposit(machine.spot, frame, { add, energyJ, beamOnS });
  const stepMm = depositStepMm(machine.spot, frame.cellMm);
  const [lowestMm, highestMm] = heights;
  if (highestMm === lowestMm) {
    walkBeam(motion, machine, stepMm, deposit);
    return { dose: { ...deposit.finish(), height: oneHeight(lowestMm) }, energyJ, beamOnS };
  }
  const above = startDeposit(machine.spot, frame);
  walkBeam(motion, machine, stepMm, withHeights(deposit, above, lowestMm));
  const doseAbove = above.finish().grid.data;
  const dose = { ...deposit.finish(), height: { lowestMm, highestMm, doseAbove } };
  return { dose, energyJ, beamOnS };
}

/** Doses add up, and so does dose × height: the second deposit gets every piece's energy times its height. */
function withHeights(deposit: Deposit, above: Deposit, lowestMm: number): BeamVisitor {
  return {
    stroke(stroke) {
      deposit.stroke(stroke);
      above.stroke({ ...stroke, energyJ: stroke.energyJ * Math.max(0, stroke.z - lowestMm) });
    },
    rest(stroke) {
      deposit.rest(stroke);
      above.rest({ ...stroke, energyJ: stroke.energyJ * Math.max(0, stroke.z - lowestMm) });
    },
  };
}
