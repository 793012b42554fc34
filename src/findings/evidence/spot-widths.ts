import { defocus } from '../../laser/spot.ts';
import type { Spot } from '../../machine/profile.ts';

/** How long a point lies under the spot, s: its mean width over the speed. */
export const dwellUnderSpotS = (spot: Spot, speedMmPerS: number, zMm = 0): number =>
  (Math.sqrt(spot.width_mm[0] * spot.width_mm[1]) * defocus(spot, zMm)) / speedMmPerS;

/** Dose at the middle of the resting spot per energy, 1/mm²: 2/(π·w₁·w₂) for a Gaussian of 1/e² radii w. */
export function peakPerMm2(spot: Spot, zMm = 0): number {
  const box = spot.width_mm[0] * spot.width_mm[1] * defocus(spot, zMm) ** 2;
  if (spot.shape === 'uniform-rectangle') return 1 / box;
  return (spot.shape === 'gaussian' ? 8 : 4) / (Math.PI * box);
}
