import { describe, expect, test } from 'vitest';
import { powerLaw } from '../../src/laser/power.ts';
import { defocus } from '../../src/laser/spot.ts';
import { machineWith } from '../support/machines.ts';

const law = (
  laser: Parameters<typeof machineWith>[0] extends infer T
    ? T extends { laser?: infer L }
      ? L
      : never
    : never,
) => powerLaw(machineWith({ laser }).laser);

describe('S to watts', () => {
  test('E. Arieli, The Laser Adventure, 6.3: 80 mA, threshold 20 mA, 0.4 W/A give 24 mW; nothing below 20 mA', () => {
    // S stands for the drive current in mA; full duty is 80 mA, the threshold a quarter of it.
    const diode = law({ optical_power_w: 0.024, s_max: 80, threshold_fraction: 0.25 });
    expect(diode.watts(80, 1)).toBeCloseTo(0.024, 12);
    expect(diode.watts(50, 1)).toBeCloseTo(0.4 * 0.03, 12);
    expect(diode.watts(20, 1)).toBe(0);
    expect(diode.watts(5, 1)).toBe(0);
  });

  test('threshold 0.25: duty 0.25, 0.5, 0.75, 1 give 0, 1/3, 2/3, 1 of full power', () => {
    const diode = law({ optical_power_w: 3, threshold_fraction: 0.25 });
    for (const k of [0, 1, 2, 3]) expect(diode.watts(250 * (k + 1), 1)).toBeCloseTo(k, 12);
  });

  test('duty is clamped to 0 … 1', () => {
    expect(law({}).watts(5000, 1)).toBe(8);
    expect(law({}).watts(-3, 1)).toBe(0);
  });

  test('255 levels over S 0 … 1000: steps of 3.92 S, at most 255 distinct non-zero powers (8-bit PWM, public documentation)', () => {
    const stepped = law({ power_levels: 255 });
    const distinct = new Set(Array.from({ length: 10_001 }, (_, k) => stepped.watts(k / 10, 1)));
    expect(distinct.size).toBe(256);
    expect(stepped.watts(1.9, 1)).toBe(0);
    expect(stepped.watts(2.1, 1)).toBeCloseTo(8 / 255, 12);
    expect(stepped.watts(1000, 1)).toBe(8);
  });

  test('proportional power follows the speed ratio before quantising', () => {
    expect(law({}).watts(800, 0.25)).toBeCloseTo(8 * 0.2, 12);
    expect(law({ power_levels: 10 }).watts(800, 0.25)).toBeCloseTo(8 * 0.2, 12);
    expect(law({ power_levels: 10 }).watts(800, 0.29)).toBeCloseTo(8 * 0.2, 12);
  });
});

test('defocus: 1.118, 1.4142, 2.2361, 3.1623 at 0.5, 1, 2, 3 Rayleigh lengths (Gaussian-beam law)', () => {
  const { spot } = machineWith({ spot: { rayleigh_mm: 2, focus_z_mm: -1 } });
  expect(defocus(spot, 0)).toBeCloseTo(1.118, 3);
  expect(defocus(spot, 1)).toBeCloseTo(1.4142, 4);
  expect(defocus(spot, -5)).toBeCloseTo(2.2361, 4);
  expect(defocus(spot, 5)).toBeCloseTo(3.1623, 4);
  expect(defocus(machineWith().spot, 40)).toBe(1);
});
