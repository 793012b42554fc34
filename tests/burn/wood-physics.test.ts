import { describe, expect, test } from 'vitest';
import {
  conductivityWPerMK,
  diffusivityMm2PerS,
  dryHeatCapacityKjPerKgK,
  effusivity,
  halfSpaceDoseJPerMm2,
  heatCapacityKjPerKgK,
  specificGravity,
} from '../../src/burn/wood-physics.ts';
import { inDepthRiseK, movingBeamRiseK, restingBeamRiseK } from './conduction.ts';

// Glass & Zelinka, Wood Handbook FPL-GTR-190 (2010), ch. 4, p. 4-11: the equations' own values.
describe('handbook equations', () => {
  test.each([
    [280, 1.1859, 1.346, 1.5375],
    [300, 1.2632, 1.4432, 1.6632],
    [320, 1.3405, 1.5405, 1.7889],
    [340, 1.4179, 1.6377, 1.9146],
    [360, 1.4952, 1.735, 2.0403],
  ])('heat capacity at %d K: dry, 5 %% and 12 %% moisture', (kelvin, dry, five, twelve) => {
    expect(dryHeatCapacityKjPerKgK(kelvin)).toBeCloseTo(dry, 4);
    expect(heatCapacityKjPerKgK(kelvin, 0)).toBeCloseTo(dry, 4);
    expect(heatCapacityKjPerKgK(kelvin, 5)).toBeCloseTo(five, 4);
    expect(heatCapacityKjPerKgK(kelvin, 12)).toBeCloseTo(twelve, 4);
  });

  test('conductivity at G 0.54 basic, 10 % moisture, as another implementation of Eq. 4-15 has it', () => {
    // G_x = G_b/(1 − S_x): the wood has shrunk by S_x = S_0·(30 − x)/30, S_0 = 12.3 %.
    const shrunk = (0.123 * (30 - 10)) / 30;
    expect(conductivityWPerMK(0.54 / (1 - shrunk), 10)).toBeCloseTo(0.1567, 4);
  });

  test.each([
    ['white spruce', 0.37, 0.0905, 0.1085],
    ['basswood', 0.38, 0.0924, 0.1109],
    ['yellow-poplar', 0.46, 0.1079, 0.1304],
    ['sugar maple', 0.66, 0.1467, 0.1789],
    ['American beech', 0.68, 0.1506, 0.1838],
    ['sweet birch', 0.71, 0.1565, 0.1911],
  ])(
    'conductivity of %s, dry and at 12 %% (gravities: values from memory of Table 4-7)',
    (_, gravity, dry, twelve) => {
      expect(conductivityWPerMK(gravity, 0)).toBeCloseTo(dry, 4);
      expect(conductivityWPerMK(gravity, 12)).toBeCloseTo(twelve, 4);
    },
  );

  test('density and gravity of white ash: 0.605 at 12 % is 678 kg/m³', () => {
    expect(specificGravity(677.6, 12)).toBeCloseTo(0.605, 4);
  });

  test.each([
    [414, 272, 0.159],
    [448, 292, 0.157],
    [515, 332, 0.154],
    [739, 467, 0.147],
    [762, 480, 0.147],
  ])('effusivity and diffusivity at %d kg/m³, 12 %% (computed from the equations)', (density, e, alpha) => {
    expect(effusivity(density, 12)).toBeCloseTo(e, -0.5);
    expect(diffusivityMm2PerS(density, 12)).toBeCloseTo(alpha, 2.7);
  });
});

describe('conduction', () => {
  test('opaque half-space: white spruce under 25 kW/m² warms by 280 K in 7.29 s', () => {
    expect(halfSpaceDoseJPerMm2(280, 7.29, 272)).toBeCloseTo(0.025 * 7.29, 3);
  });

  test('light absorbed over 0.1 mm: 112.48 K (finite differences: 112.50 K)', () => {
    expect(inDepthRiseK(400_000, 0.16, 0.16 / (700 * 1500), 1e-4, 0.05)).toBeCloseTo(112.48, 1);
  });

  test.each([
    [1e-4, 941.94],
    [1e-3, 2628.98],
    [1e-2, 4887.59],
    [1e6, 6649.04],
  ])('a resting beam of 0.1 W after %d s: %d K', (t, kelvin) => {
    expect(restingBeamRiseK(0.1, 0.12, 1.6e-7, 5e-5, t) / kelvin).toBeCloseTo(1, 4);
  });

  test('the same beam moving at 50 mm/s: 2232.07 K, as a superposition of point sources gives', () => {
    expect(movingBeamRiseK(0.1, 0.12, 1.6e-7, 5e-5, 0.05) / 2232.07).toBeCloseTo(1, 4);
  });

  test('dose = layer + conduction·√t follows light absorbed in depth within 15 % from 0.1 ms to 10 s', () => {
    // The form of the model's dwell law, against the exact surface rise with absorption depth 0.15 mm.
    const [k, alpha, depthM, riseK] = [0.12, 1.55e-7, 1.5e-4, 300];
    const e = k / Math.sqrt(alpha);
    for (let t = 1e-4; t <= 10; t *= 1.5) {
      const exact = (riseK / inDepthRiseK(1, k, alpha, depthM, t)) * t * 1e-6;
      const law = (k / alpha) * riseK * depthM * 1e-6 + halfSpaceDoseJPerMm2(riseK, t, e);
      expect(law / exact).toBeGreaterThan(0.99);
      expect(law / exact).toBeLessThan(1.15);
    }
  });
});
