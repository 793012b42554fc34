import type { PartialMachine } from './listing.ts';
import { type Machine, readMachine } from './profile.ts';

/** What of a machine was told, and what is only taken for want of it. */

/**
 * Whether a file has a field, as `laser.wavelength_nm`.
 * @param file parsed JSON of any shape.
 */
export function isGiven(file: unknown, field: string): boolean {
  let at = file;
  for (const key of field.split('.')) {
    if (typeof at !== 'object' || at === null || !Object.hasOwn(at, key)) return false;
    at = (at as Record<string, unknown>)[key];
  }
  return at !== undefined;
}

const valueAt = (machine: unknown, field: string): string | undefined =>
  JSON.stringify(
    field.split('.').reduce<unknown>((at, key) => (at as Record<string, unknown> | null)?.[key], machine),
  );

/**
 * Whether a field of a machine was told: it stands in its file, or it has been changed since.
 * @param file the profile as it stands in its file, as far as it is known
 * @param before the machine as that file was read
 */
export const isTold = (machine: Machine, file: unknown, before: Machine, field: string): boolean =>
  isGiven(file, field) || valueAt(machine, field) !== valueAt(before, field);

/** Held as a whole: their fields mean nothing one by one. */
const WHOLE = [
  'name',
  'notes',
  'work_area_mm',
  'max_speed_mm_s',
  'acceleration_mm_s2',
  'cornering',
  'lookahead_moves',
  'arc_tolerance_mm',
  'dwell_unit',
  'link',
] as const;
const IN_PARTS = ['laser', 'spot', 'plus_minus'] as const;

/** The profile of a machine with what was told of it and nothing else, to be kept in a file. */
export function toldProfile(machine: Machine, file: unknown, before: Machine): PartialMachine {
  const told = (field: string) => isTold(machine, file, before, field);
  const kept: Record<string, unknown> = {};
  for (const key of WHOLE) if (told(key)) kept[key] = machine[key];
  for (const key of IN_PARTS) {
    const parts = Object.entries(machine[key]).filter(([part]) => told(`${key}.${part}`));
    if (parts.length > 0) kept[key] = Object.fromEntries(parts);
  }
  return kept as PartialMachine;
}

/** A machine of a profile whose optical power may not be known: then a usual one is taken. */
export const readPartial = (profile: PartialMachine, usualPowerW: number): Machine =>
  readMachine({ ...profile, laser: { optical_power_w: usualPowerW, ...profile.laser } });
