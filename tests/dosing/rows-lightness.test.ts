import { describe, expect, test } from 'vitest';
import { labOf } from '../../src/burn/colour.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { toneOfPlainDose } from '../../src/burn/tone.ts';
import { rowsLightness } from '../../src/dosing/rows-lightness.ts';
import { machineWith } from '../support/machines.ts';

/** The mean lightness of even rows, against a plain sum over the Gaussians that they are (derived here). */

const poplar = shippedMaterials['poplar plywood']!;
const { spot } = machineWith({ spot: { width_mm: [0.08, 0.12] } });
const SIGMA_MM = 0.12 / 4;

/** Mean L* of rows along x, so far apart, with a plain mean dose. */
function meanL(spacingMm: number, plainJPerMm2: number): number {
  const places = 400;
  let sum = 0;
  for (let k = 0; k < places; k++) {
    const y = ((k + 0.5) / places) * spacingMm;
    let dose = 0;
    for (let row = -20; row <= 20; row++)
      dose += Math.exp(-((y - row * spacingMm) ** 2) / (2 * SIGMA_MM ** 2));
    dose *= (plainJPerMm2 * spacingMm) / (SIGMA_MM * Math.sqrt(2 * Math.PI));
    sum += labOf(toneOfPlainDose(dose, poplar), poplar)[0];
  }
  return sum / places;
}

describe.each([0.05, 0.1, 0.16, 0.3])('rows %f mm apart', (spacingMm) => {
  const { plainForL, tells, bareL } = rowsLightness(spot, { ux: 1, uy: 0, spacingMm }, 0, poplar);

  test('have the dose that their lightness tells', () => {
    let told = 0;
    for (const plain of [0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6]) {
      const l = meanL(spacingMm, plain);
      if (!tells(l)) continue;
      told++;
      expect(plainForL(l) / plain).toBeCloseTo(1, 1.7);
    }
    expect(told).toBeGreaterThan(2);
  });

  test('are bare with the least of all doses, and as dark as they become with a finite one', () => {
    expect(bareL).toBeCloseTo(labOf(0, poplar)[0], 1);
    expect(tells(bareL)).toBe(false);
    expect(plainForL(bareL + 1)).toBeLessThan(plainForL(bareL - 5));
    expect(tells(0)).toBe(false);
    expect(plainForL(0)).toBeGreaterThan(plainForL(bareL - 20));
    expect(plainForL(0)).toBeLessThanOrEqual(8 * poplar.full_char_j_mm2.value * (1 + 1e-9));
  });
});
