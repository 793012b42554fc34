import type { GridFrame } from '../grid.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { depositStepMm, startDeposit } from './deposit.ts';
import type { Dose } from './dose.ts';
import { startTally, type Tally } from './tally.ts';
import { walkBeam } from './walk-beam.ts';

/** Where a job's energy landed, and what each operation gave. */
export interface Landing extends Pick<Tally, 'energyJ' | 'beamOnS'> {
  readonly dose: Dose;
}

/** Lets all energy of a motion fall on a grid. */
export function landOn(frame: GridFrame, motion: Motion, machine: Machine): Landing {
  const { moves, operations } = motion.program;
  const { add, energyJ, beamOnS } = startTally(moves, operations.length);
  const deposit = startDeposit(machine.spot, frame, { add, energyJ, beamOnS });
  walkBeam(motion, machine, depositStepMm(machine.spot, frame.cellMm), deposit);
  return { dose: deposit.finish(), energyJ, beamOnS };
}
