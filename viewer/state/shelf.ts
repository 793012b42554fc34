import { signal } from '@preact/signals';
import type { Material } from '../../src/burn/material.ts';
import { readMaterial } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoJobs, demoMachines } from '../../src/demo/index.ts';
import { InputError } from '../../src/errors.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import type { Setup } from '../worker/messages.ts';

/** The machines and woods at hand: those that come with Charcast, and those dropped in. */
export const machines = signal<ReadonlyMap<string, Machine>>(
  new Map(
    Object.entries(demoMachines)
      .map(([name, profile]) => [name, readMachine(profile, name)])
      .map(([, machine]) => [(machine as Machine).name, machine as Machine]),
  ),
);
export const woods = signal<ReadonlyMap<string, Material>>(new Map(Object.entries(shippedMaterials)));

export const addMachine = (machine: Machine): void => {
  machines.value = new Map(machines.value).set(machine.name, machine);
};
export const addWood = (wood: Material): void => {
  woods.value = new Map(woods.value).set(wood.name, wood);
};

/** A dropped JSON file is a machine when it speaks of a laser, else a wood. */
export function readProfile(text: string, source: string): { machine: Machine } | { wood: Material } {
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw new InputError(`found text that is not JSON (${(error as Error).message}); expected a profile`, {
      source,
    });
  }
  const isMachine = typeof value === 'object' && value !== null && ('laser' in value || 'spot' in value);
  return isMachine ? { machine: readMachine(value, source) } : { wood: readMaterial(value, source) };
}

export const DEMO_TITLES: readonly (readonly [string, string])[] = demoJobs.map((job) => [
  job.name,
  job.title,
]);

/** A piece of the demo, ready for the bench. */
export async function demoSetup(name: string): Promise<{ setup: Setup; title: string; about: string }> {
  const job = demoJobs.find((each) => each.name === name) ?? demoJobs[0]!;
  return {
    setup: {
      job: { name: `${job.name}.nc`, text: await job.readText() },
      machine: readMachine(demoMachines[job.machine], job.machine),
      material: shippedMaterials[job.material]!,
      stock: job.stock,
      changes: [],
      cellMm: null,
    },
    title: job.title,
    about: job.about,
  };
}
