import type { Material } from '../burn/material.ts';
import { absorptionAt } from '../burn/need.ts';
import { diffusivityMm2PerS, volumetricHeatJPerM3K } from '../burn/wood-physics.ts';
import type { HeatInDepth } from './depth-kernel.ts';
import type { Keeping } from './kept.ts';

/** What warmth must know of the wood. */
export interface HeatOfWood extends HeatInDepth {
  /** Heat per volume and kelvin, J/(mm³·K). */
  readonly volumetricJPerMm3K: number;
  readonly keeping: Keeping;
}

/** @param thicknessMm of the board; null: not known, taken as without end. */
export function heatOfWood(material: Material, wavelengthNm: number, thicknessMm: number | null): HeatOfWood {
  const density = material.density_kg_m3.value;
  const moisture = material.moisture_percent.value;
  return {
    diffusivityMm2PerS: diffusivityMm2PerS(density, moisture),
    volumetricJPerMm3K: volumetricHeatJPerM3K(density, moisture) * 1e-9,
    depthMm: absorptionAt(material, wavelengthNm).depthMm,
    thicknessMm,
    keeping: { share: material.heat_kept.value, mostJPerMm2: material.heat_kept_most_j_mm2.value },
  };
}
