import { catalogue, type DemoEntry, type DemoJobName, type DemoMachineName } from './catalogue.ts';
import benchGantry from './machines/bench-gantry.json';
import workshopGantry from './machines/workshop-gantry.json';

/**
 * The demo as data, for Node and for the browser: jobs with their boards, and machine profiles. The G-code is
 * fetched when it is asked for, so that a page does not load jobs nobody opens.
 */

export interface DemoJob extends DemoEntry {
  /** The job's G-code. */
  readonly readText: () => Promise<string>;
}

const texts: Record<DemoJobName, () => Promise<{ default: string }>> = {
  marker: () => import('./jobs/marker.nc?raw'),
  'marker-careful': () => import('./jobs/marker-careful.nc?raw'),
  'marker-set': () => import('./jobs/marker-set.nc?raw'),
  sign: () => import('./jobs/sign.nc?raw'),
};

/** The demo's jobs; the first is the one to begin with. */
export const demoJobs: readonly DemoJob[] = catalogue.map((entry) => ({
  ...entry,
  readText: async () => (await texts[entry.name]()).default,
}));

/** The profiles as in their files; `readMachine` checks them and fills in the defaults. */
export const demoMachines: Readonly<Record<DemoMachineName, unknown>> = {
  'bench-gantry': benchGantry,
  'workshop-gantry': workshopGantry,
};
