import { describe, expect, test } from 'vitest';
import { surfaceWidthMm } from '../../src/burn/beam-on-wood.ts';
import { depthOf } from '../../src/burn/depth.ts';
import { linePeakDoseJPerMm2, rasterDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import {
  powerFor,
  REGIONS,
  type Region,
  speedPower,
  topSpeedMmPerS,
  type Use,
  type Work,
  wattsAt,
} from '../../src/burn/speed-power.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { machineWith } from '../support/machines.ts';
import { anyWood, between, fc, wood } from './anything.ts';

const anyUse = fc.oneof(
  fc.constant<Use>({ kind: 'line' }),
  between(0.04, 0.3).map((rowSpacingMm): Use => ({ kind: 'rows', rowSpacingMm })),
);
const anyWork = fc
  .record({
    name: anyWood,
    use: anyUse,
    passes: fc.integer({ min: 1, max: 8 }),
    thicknessMm: fc.oneof(fc.constant(null), between(0.05, 12)),
    widths: fc.tuple(between(0.05, 0.4), between(0.05, 0.4)),
    wavelength_nm: fc.constantFrom(450, 1064, 10600),
    rayleigh_mm: fc.oneof(fc.constant(null), between(0.5, 8)),
  })
  .map(
    ({ name, use, passes, thicknessMm, widths, wavelength_nm, rayleigh_mm }): Work => ({
      machine: machineWith({ laser: { wavelength_nm }, spot: { width_mm: widths, rayleigh_mm } }),
      material: wood(name),
      thicknessMm,
      use,
      passes,
    }),
  );
const anyWatts = between(0.2, 30);
const order = (region: Region): number => REGIONS.indexOf(region);

describe('speed and power', () => {
  test('an outcome is what the closed forms say of its dose and dwell', () => {
    fc.assert(
      fc.property(anyWork, anyWatts, between(0.5, 400), (work, watts, speed) => {
        const { material, use, passes, machine, thicknessMm } = work;
        const { beam, outcome } = speedPower(work);
        const made = outcome(speed, watts);
        const once =
          use.kind === 'rows'
            ? rasterDoseJPerMm2(watts, speed, use.rowSpacingMm)
            : linePeakDoseJPerMm2(watts, speed, Math.max(...machine.spot.width_mm));
        expect(made.doseJPerMm2 / (passes * once)).toBeCloseTo(1, 9);
        expect(made.dwellS).toBeCloseTo(surfaceWidthMm(beam) / speed, 12);
        expect(made.tone).toBeCloseTo(
          toneOf(passes * once, made.dwellS, material, machine.laser.wavelength_nm),
          9,
        );
        const depth = depthOf(passes * once, made.dwellS, material, beam);
        expect(made.depthMm).toBeCloseTo(Math.min(depth, thicknessMm ?? depth), 6);
      }),
      { numRuns: 60 },
    );
  });

  test('a region begins exactly at its speed: just slower it is there, just faster it is not', () => {
    fc.assert(
      fc.property(anyWork, anyWatts, fc.constantFrom(...REGIONS.slice(1)), (work, watts, region) => {
        const { fastest, outcome } = speedPower(work);
        const speed = fastest(region, watts);
        if (region === 'cut' && work.thicknessMm === null) {
          expect(speed).toBe(0);
          return;
        }
        expect(order(outcome(speed * 0.9999, watts).region)).toBeGreaterThanOrEqual(order(region));
        expect(order(outcome(speed * 1.0001, watts).region)).toBeLessThan(order(region));
      }),
      { numRuns: 150 },
    );
  });

  test('the power a region needs at a speed is the inverse of the speed it has at a power', () => {
    fc.assert(
      fc.property(anyWork, anyWatts, fc.constantFrom(...REGIONS.slice(1)), (work, watts, region) => {
        const answers = speedPower(work);
        const speed = answers.fastest(region, watts);
        if (speed > 0) expect(answers.wattsFor(region, speed) / watts).toBeCloseTo(1, 6);
      }),
      { numRuns: 60 },
    );
    const { wattsForTone, speedForTone, wattsFor } = speedPower({
      machine: machineWith(),
      material: wood('spruce'),
      thicknessMm: null,
      use: { kind: 'line' },
      passes: 1,
    });
    expect(wattsForTone(0.6, speedForTone(0.6, 4))).toBeCloseTo(4, 9);
    expect(wattsFor('no mark', 30)).toBe(0);
    expect(wattsFor('cut', 30)).toBe(Infinity);
  });

  test('more power, more passes and nearer rows never make less of it; more speed never more', () => {
    fc.assert(
      fc.property(anyWork, anyWatts, between(0.5, 400), between(1, 3), (work, watts, speed, more) => {
        const at = (w: Work, v: number, p: number) => order(speedPower(w).outcome(v, p).region);
        const here = at(work, speed, watts);
        expect(at(work, speed, watts * more)).toBeGreaterThanOrEqual(here);
        expect(at(work, speed * more, watts)).toBeLessThanOrEqual(here);
        expect(at({ ...work, passes: work.passes + 1 }, speed, watts)).toBeGreaterThanOrEqual(here);
        if (work.use.kind === 'rows') {
          const use: Use = { kind: 'rows', rowSpacingMm: work.use.rowSpacingMm / more };
          expect(at({ ...work, use }, speed, watts)).toBeGreaterThanOrEqual(here);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('equal dose is power over speed, exactly', () => {
    fc.assert(
      fc.property(anyWork, anyWatts, between(0.05, 60), between(0.1, 9), (work, watts, dose, times) => {
        const { speedForDose, outcome } = speedPower(work);
        const speed = speedForDose(dose, watts);
        expect(outcome(speed, watts).doseJPerMm2 / dose).toBeCloseTo(1, 12);
        expect(speedForDose(dose, watts * times) / speed / times).toBeCloseTo(1, 12);
      }),
    );
  });
});

describe('the laser', () => {
  test('gives its watts by threshold and level, and the share that gives them back', () => {
    // P = P_full · (duty − threshold)/(1 − threshold): the slope-efficiency line of a diode (src/laser/power.ts).
    const { laser } = machineWith({ laser: { optical_power_w: 10, threshold_fraction: 0.2 } });
    expect(wattsAt(laser, 0.2)).toBe(0);
    expect(wattsAt(laser, 0.6)).toBeCloseTo(5, 12);
    expect(powerFor(laser, 5)).toBeCloseTo(0.6, 12);
    fc.assert(
      fc.property(between(0.21, 1), (power) => {
        expect(powerFor(laser, wattsAt(laser, power))).toBeCloseTo(power, 12);
      }),
    );
    const coarse = machineWith({ laser: { optical_power_w: 10, power_levels: 4 } }).laser;
    expect([0.12, 0.13, 0.37, 0.38].map((power) => wattsAt(coarse, power))).toEqual([0, 2.5, 2.5, 5]);
  });

  test('rows reach the speed of x, lines what both axes reach', () => {
    const machine = machineWith({ max_speed_mm_s: [200, 120, 10] });
    expect(topSpeedMmPerS({ machine, use: { kind: 'rows', rowSpacingMm: 0.1 } })).toBe(200);
    expect(topSpeedMmPerS({ machine, use: { kind: 'line' } })).toBe(120);
  });
});
