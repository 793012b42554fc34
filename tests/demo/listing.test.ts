import { expect, test } from 'vitest';
import { listingOf } from '../../src/demo/listing.ts';
import { machineFromListing } from '../../src/machine/listing.ts';
import { readMachine } from '../../src/machine/profile.ts';
import { benchGantry } from '../support/demo-machines.ts';

test('the demo’s listing read back is the machine it was written from', () => {
  // The workshop gantry's corners go by a rule that this family of settings has no number for.
  for (const machine of [benchGantry, { ...benchGantry, arc_tolerance_mm: 0.005 }]) {
    const { profile, unused } = machineFromListing(listingOf(machine), { laser: { optical_power_w: 1 } });
    const { cornering, arc_tolerance_mm, max_speed_mm_s, acceleration_mm_s2, work_area_mm, laser } =
      readMachine(profile);
    expect({ cornering, arc_tolerance_mm, max_speed_mm_s, acceleration_mm_s2, work_area_mm }).toEqual({
      cornering: machine.cornering,
      arc_tolerance_mm: machine.arc_tolerance_mm,
      max_speed_mm_s: machine.max_speed_mm_s,
      acceleration_mm_s2: machine.acceleration_mm_s2,
      work_area_mm: machine.work_area_mm,
    });
    expect(laser.s_max).toBe(machine.laser.s_max);
    expect(unused).toEqual([]);
  }
});
