import { signal } from '@preact/signals';
import {
  type Choices,
  type MachineFromListing,
  machineFromListing,
  type PartialMachine,
} from '../../src/machine/listing.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { isGiven, readPartial, toldProfile } from '../../src/machine/told.ts';
import { addMachine, comesWith, fileOf, shelved, USUAL_POWER_W } from './shelf.ts';
import { setMachine, setup } from './store.ts';

/** What a controller's settings listing said, as last read: its text, the choices made in reading it, and each line. */
export interface Listed {
  readonly text: string;
  readonly choices: Choices;
  readonly told: MachineFromListing['told'];
  readonly unused: MachineFromListing['unused'];
}
export const listed = signal<Listed | null>(null);

/** What a machine of one's own is called until it is given a name. */
const OWN_NAME = 'my machine';

/** The profile of a machine with what was told of it. */
export const ownProfile = (machine: Machine): PartialMachine =>
  toldProfile(machine, fileOf(machine), shelved(machine));

/**
 * The machine that a listing tells of, laid on the shelf: what was told of one's own machine before stays, where the
 * listing does not say otherwise. The machines that come with Charcast are left as they are.
 * @throws {InputError} at a setting that cannot be, or where there is none.
 */
export function listedMachine(text: string, choices: Choices = {}): Machine {
  const now = setup.peek()?.machine;
  const isOwn = now !== undefined && !comesWith.has(now.name) && isGiven(fileOf(now), 'name');
  const known: PartialMachine = isOwn ? ownProfile(now) : { name: OWN_NAME };
  const powerW = known.laser?.optical_power_w ?? now?.laser.optical_power_w ?? USUAL_POWER_W;
  const base = { ...known, laser: { ...known.laser, optical_power_w: powerW } };
  const { profile, told, unused } = machineFromListing(text, base, choices);
  const { optical_power_w: _, ...laser } = profile.laser;
  // A listing cannot tell the watts: they are told only where a person did.
  const file = known.laser?.optical_power_w === undefined ? { ...profile, laser } : profile;
  const machine = readPartial(profile, powerW);
  addMachine(machine, file);
  listed.value = { text, choices, told, unused };
  return machine;
}

/** Lays the machine of a listing on the bench. */
export const layListed = (text: string, choices: Choices = {}): void =>
  setMachine(listedMachine(text, choices));

/** Gives the machine on the bench another name; what was told of it goes with it. */
export function renameMachine(name: string): void {
  const machine = setup.peek()?.machine;
  if (!machine || name === '' || name === machine.name) return;
  const next = { ...machine, name };
  addMachine(next, { ...ownProfile(machine), name });
  setMachine(next);
}
