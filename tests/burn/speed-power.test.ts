import { describe, expect, test } from 'vitest';
import { surfaceWidthMm } from '../../src/burn/beam-on-wood.ts';
import { depthOf } from '../../src/burn/depth.ts';
import { linePeakDoseJPerMm2, rasterDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import {
  powerFor,
  REGIONS,
  type Region,
  speedPower,
  toneFrom,
  topSpeedMmPerS,
  type Use,
  type Work,
  wattsAt,
} from '../../src/burn/speed-power.ts';
import { plainDoseForTone, toneOf } from '../../src/burn/tone.ts';
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
/** What an area of rows gets across them, at places a fine step apart: Gaussians added up; null for lines. */
function acrossOf({ machine: { spot } }: Work, spacingMm: number): readonly number[] | null {
  const widthMm = spot.width_mm[1];
  if (spacingMm > 5 * widthMm) return null;
  const steps = Math.ceil((12 * spacingMm) / widthMm);
  const doses = Array.from({ length: steps }, (_, k) => {
    const y = (((k + 0.5) / steps) * spacingMm) / 2;
    const rows = Array.from({ length: 201 }, (_, row) => y - (row - 100) * spacingMm);
    return rows.reduce((sum, off) => sum + Math.exp((-8 * off * off) / widthMm ** 2), 0);
  });
  const mean = doses.reduce((sum, dose) => sum + dose, 0) / steps;
  return doses.map((dose) => dose / mean);
}
const order = (region: Region): number => REGIONS.indexOf(region);

describe('speed and power', () => {
  test('an outcome is what the closed forms say of its dose and dwell', () => {
    fc.assert(
      fc.property(anyWork, anyWatts, between(0.5, 400), (work, watts, speed) => {
        const { material, use, passes, machine, thicknessMm } = work;
        const { beam, outcome } = speedPower(work);
        const made = outcome(speed, watts);
        const across = use.kind === 'rows' ? acrossOf(work, use.rowSpacingMm) : null;
        // Rows more than five spots apart are lines, and run along x.
        const widthMm = use.kind === 'rows' ? machine.spot.width_mm[1] : Math.max(...machine.spot.width_mm);
        const once =
          use.kind === 'rows' && across !== null
            ? rasterDoseJPerMm2(watts, speed, use.rowSpacingMm)
            : linePeakDoseJPerMm2(watts, speed, widthMm);
        expect(made.doseJPerMm2 / (passes * once)).toBeCloseTo(1, 9);
        expect(made.dwellS).toBeCloseTo(surfaceWidthMm(beam) / speed, 12);
        const places = across ?? [1];
        const toneAt = (times: number) =>
          toneOf(times * passes * once, made.dwellS, material, machine.laser.wavelength_nm);
        const tone = places.reduce((sum, times) => sum + toneAt(times), 0) / places.length;
        expect(made.tone).toBeCloseTo(tone, 9);
        const depth = depthOf(Math.max(...places) * passes * once, made.dwellS, material, beam);
        expect(made.depthMm).toBeCloseTo(Math.min(depth, thicknessMm ?? depth), 6);
      }),
      { numRuns: 60 },
    );
  });

  test('a region begins exactly at its speed: just slower it is there, just faster it is not', () => {
    fc.assert(
      fc.property(anyWork, anyWatts, fc.constantFrom(...REGIONS.slice(1)), (work, watts, region) => {
        const { fastest, outcome, speedForDose } = speedPower(work);
        const speed = fastest(region, watts);
        if (region === 'cut' && work.thicknessMm === null) {
          expect(speed).toBe(0);
          return;
        }
        // Where the wood between rows stays bare, its area is not so dark with 300 times the dose an even one takes.
        if (speed === 0 && region !== 'cut') {
          const apart = work.use.kind === 'rows' && work.use.rowSpacingMm / work.machine.spot.width_mm[1];
          expect(apart).toBeGreaterThan(1.5);
          const even = plainDoseForTone(toneFrom(region), work.material);
          const slow = speedForDose(300 * even, watts);
          expect(order(outcome(slow, watts).region)).toBeLessThan(order(region));
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
