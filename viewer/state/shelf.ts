import { computed, signal } from '@preact/signals';
import type { Material } from '../../src/burn/material.ts';
import { readMaterial } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { demoJobs, demoMachines } from '../../src/demo/index.ts';
import { InputError } from '../../src/errors.ts';
import { ASSUMED_MACHINE } from '../../src/machine/assumed.ts';
import type { PartialMachine } from '../../src/machine/listing.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import { isTold, readPartial } from '../../src/machine/told.ts';
import type { Setup } from '../worker/messages.ts';
import { recall, remember } from './memory.ts';
import { trouble } from './trouble.ts';

/** The machines and woods at hand: those that come with Charcast, those dropped in, and those kept here. */
export const machines = signal<ReadonlyMap<string, Machine>>(new Map());
export const woods = signal<ReadonlyMap<string, Material>>(new Map(Object.entries(shippedMaterials)));
/** By a machine's name, what was told of it: its profile as it stands in its file. */
const files = new Map<string, unknown>();
export const fileOf = ({ name }: Machine): unknown => files.get(name) ?? {};

export function addMachine(machine: Machine, file: unknown = machine): void {
  files.set(machine.name, file);
  machines.value = new Map(machines.value).set(machine.name, machine);
}
/** The machine as the shelf has it: what it was before it was changed on the bench. */
export const shelved = (machine: Machine): Machine => machines.value.get(machine.name) ?? machine;

export const isFieldTold = (machine: Machine, field: string): boolean =>
  isTold(machine, fileOf(machine), shelved(machine), field);

export const addWood = (wood: Material): void => {
  woods.value = new Map(woods.value).set(wood.name, wood);
};
for (const [name, profile] of Object.entries(demoMachines)) addMachine(readMachine(profile, name), profile);
files.set(ASSUMED_MACHINE.name, {});
/** The names of the machines that come with Charcast. */
export const comesWith: ReadonlySet<string> = new Set(machines.peek().keys());

/** What a person put on the shelf of this browser, under its name: there at every visit, until it is taken off. */
interface Kept {
  readonly machines: readonly PartialMachine[];
  readonly woods: readonly Material[];
}
const keptNow = signal<Kept>({ machines: [], woods: [] });
export const keptMachines = computed(() => keptNow.value.machines.map(({ name }) => name!));
export const keptWoods = computed(() => keptNow.value.woods.map(({ name }) => name));

/** A power to begin with where none was told, W: an everyday one. */
export const USUAL_POWER_W = 5;

/** Lays on the shelf what was kept there. What cannot be read any more is left out. */
export function openShelf(): void {
  const kept = recall('shelf') as Partial<Kept> | null;
  const read = <T, R>(all: readonly T[] | undefined, one: (each: T) => R): R[] =>
    (Array.isArray(all) ? all : []).flatMap((each) => {
      try {
        return [one(each)];
      } catch {
        return [];
      }
    });
  keptNow.value = {
    machines: read(kept?.machines, (file) => {
      addMachine(readPartial(file, USUAL_POWER_W), file);
      return file;
    }),
    woods: read(kept?.woods, (wood) => {
      const checked = readMaterial(wood);
      addWood(checked);
      return checked;
    }),
  };
}

const NOT_KEPT = {
  what: 'Not kept',
  sentence: 'This browser keeps nothing for this page from visit to visit; save it as a file instead.',
};
function keepShelf(next: Kept): boolean {
  keptNow.value = next;
  const isKept = remember('shelf', next);
  if (!isKept) trouble.value = NOT_KEPT;
  return isKept;
}
const without = <T extends { readonly name?: string | undefined }>(all: readonly T[], name: string): T[] =>
  all.filter((each) => each.name !== name);

/** Puts a machine on the shelf, in place of one of the same name. @returns whether it stays there. */
export function keepMachineOnShelf(machine: Machine, file: PartialMachine): boolean {
  addMachine(machine, file);
  const { machines, woods } = keptNow.peek();
  return keepShelf({ machines: [...without(machines, machine.name), file], woods });
}
export function keepWoodOnShelf(wood: Material): boolean {
  addWood(wood);
  const { machines, woods } = keptNow.peek();
  return keepShelf({ machines, woods: [...without(woods, wood.name), wood] });
}
/** Takes what has this name off the shelf; what lies on the bench stays there. */
export function takeOffShelf(name: string): void {
  const { machines, woods } = keptNow.peek();
  keepShelf({ machines: without(machines, name), woods: without(woods, name) });
}

/** A dropped JSON file is a machine when it speaks of a laser, else a wood. */
export function readProfile(
  text: string,
  source: string,
): { machine: Machine; file: unknown } | { wood: Material } {
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw new InputError(`found text that is not JSON (${(error as Error).message}); expected a profile`, {
      source,
    });
  }
  const isMachine = typeof value === 'object' && value !== null && ('laser' in value || 'spot' in value);
  return isMachine
    ? { machine: readMachine(value, source), file: value }
    : { wood: readMaterial(value, source) };
}

export const DEMO_TITLES: readonly (readonly [string, string])[] = demoJobs.map((job) => [
  job.name,
  job.title,
]);

/** Whether a job goes by the title of a piece of the demo. */
export const isDemo = (title: string): boolean => DEMO_TITLES.some(([, words]) => words === title);

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
