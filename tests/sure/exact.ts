import type { Material } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { type Machine, readMachine } from '../../src/machine/profile.ts';
import { bench } from '../findings/pairs.ts';

/** A wood of which every number is known exactly, but for what is told. */
export function exactWood(plusMinus: Partial<Record<keyof Material, number>> = {}): Material {
  const wood = structuredClone(shippedMaterials['poplar plywood']!) as Material;
  const silence = (value: unknown): void => {
    if (Array.isArray(value)) for (const each of value) silence(each);
    else if (value !== null && typeof value === 'object') {
      if ('plus_minus' in value) value.plus_minus = 0;
      for (const each of Object.values(value)) silence(each);
    }
  };
  silence(wood);
  for (const [name, sigma] of Object.entries(plusMinus)) {
    (wood[name as 'removal_j_mm3'] as { plus_minus: number }).plus_minus = sigma;
  }
  return wood;
}

/** The bench of the pairs, its power and spot known to these per cents. */
export const benchKnownTo = (powerPercent: number, spotPercent: number): Machine =>
  readMachine({
    ...bench({ spot: { rayleigh_mm: 2.5 } }),
    plus_minus: { optical_power_percent: powerPercent, spot_width_percent: spotPercent },
  });

/** A board of 4 mm. @param plusMinusMm of its thickness. */
export const boardKnownTo = (plusMinusMm: number | null) => ({
  widthMm: 80,
  heightMm: 60,
  thicknessMm: 4,
  thicknessPlusMinusMm: plusMinusMm,
  xMm: 0,
  yMm: 0,
});

/** A standard normal number by Box and Muller's formula, which shares nothing with the code under test. */
export const boxMuller = (u: number, v: number): number =>
  Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * v);

/** A lognormal multiple with the relative standard uncertainty `relative`, by a standard normal number. */
export const multiple = (relative: number, z: number): number =>
  Math.exp(Math.sqrt(Math.log(1 + relative * relative)) * z);

/** The numbers of a wood that decide in its own light, so that its depth of absorption plays hardly a part. */
export const DECIDING = [
  'removal_j_mm3',
  'full_char_j_mm2',
  'first_mark_j_mm2',
  'wall_loss',
  'moisture_percent',
  'density_kg_m3',
  'char_rise_k',
  'firing_cost',
  'heat_kept',
  'heat_kept_most_j_mm2',
  'warmth_scale_k',
] as const;

/** A wood as its profile says it could be. @param z a standard normal number for each of {@link DECIDING} and absorptance. */
export function woodLike(wood: Material, z: readonly number[]): Material {
  const drawn = structuredClone(wood) as Material;
  const put = (of: { value: number; plus_minus: number | null }, at: number) => {
    of.value *= multiple((of.plus_minus ?? 0) / of.value, z[at]!);
  };
  DECIDING.forEach((name, k) => {
    put(drawn[name], k);
  });
  drawn.heat_kept.value = Math.min(1, drawn.heat_kept.value);
  const row = drawn.absorption.find(({ wavelength_nm }) => wavelength_nm === 450)!;
  put(row.absorptance, DECIDING.length);
  row.absorptance.value = Math.min(1, row.absorptance.value);
  drawn.first_mark_j_mm2.value = Math.min(drawn.first_mark_j_mm2.value, 0.98 * drawn.full_char_j_mm2.value);
  return drawn;
}
