import { expect, test } from 'vitest';
import { readMachine } from '../../src/machine/profile.ts';
import { isGiven, isTold, readPartial, toldProfile } from '../../src/machine/told.ts';

const file = { name: 'mine', laser: { optical_power_w: 8 }, spot: { width_mm: [0.1, 0.2] } };
const before = readMachine(file);

test('what stands in the file is given, what is filled in is not', () => {
  expect(isGiven(file, 'laser.optical_power_w')).toBe(true);
  expect(isGiven(file, 'laser.wavelength_nm')).toBe(false);
  expect(isGiven(file, 'laser.optical_power_w.deeper')).toBe(false);
  expect(isGiven(null, 'laser')).toBe(false);
});

test('what is changed is told from then on', () => {
  const now = { ...before, laser: { ...before.laser, wavelength_nm: 455 } };
  expect(isTold(now, file, before, 'laser.wavelength_nm')).toBe(true);
  expect(isTold(now, file, before, 'laser.s_max')).toBe(false);
});

test('the profile kept has what was told and nothing else, and reads as the same machine', () => {
  const now = {
    ...before,
    acceleration_mm_s2: [700, 600, 50] as [number, number, number],
    laser: { ...before.laser, wavelength_nm: 455 },
  };
  const kept = toldProfile(now, file, before);
  expect(kept).toEqual({
    name: 'mine',
    acceleration_mm_s2: [700, 600, 50],
    laser: { optical_power_w: 8, wavelength_nm: 455 },
    spot: { width_mm: [0.1, 0.2] },
  });
  expect(readMachine(kept)).toEqual(now);
});

test('a profile without watts reads with usual ones, which it does not have', () => {
  const partial = { name: 'unknown light' };
  const machine = readPartial(partial, 5);
  expect(machine.laser.optical_power_w).toBe(5);
  expect(toldProfile(machine, partial, machine)).toEqual(partial);
});
