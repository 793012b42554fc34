import { demoMachines } from '../../src/demo/index.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';

/** The demo's gantries, checked: 5 W and soft, 12 W and stiff; both with an oblong spot. */
export const benchGantry: Machine = readMachine(demoMachines['bench-gantry']);
export const workshopGantry: Machine = readMachine(demoMachines['workshop-gantry']);
