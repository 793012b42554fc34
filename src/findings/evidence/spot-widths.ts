import { defocus } from '../../laser/spot.ts';
import type { Spot } from '../../machine/profile.ts';
import { degToRad } from '../../units.ts';

/**
 * The spot's width along the direction (ux, uy), mm, with the head at height `zMm`: for a Gaussian the D4σ
 * width √(w₁²·cos² + w₂²·sin²); the same ellipse for a uniform one; for a rectangle its extent.
 */
export function widthAlongMm(spot: Spot, ux: number, uy: number, zMm = 0): number {
  const turn = degToRad(spot.rotation_deg);
  const first = spot.width_mm[0] * (ux * Math.cos(turn) + uy * Math.sin(turn));
  const second = spot.width_mm[1] * (uy * Math.cos(turn) - ux * Math.sin(turn));
  const width =
    spot.shape === 'uniform-rectangle'
      ? Math.abs(first) + Math.abs(second)
      : Math.sqrt(first * first + second * second);
  return width * defocus(spot, zMm);
}

/** The spot's width across the direction (ux, uy), mm. */
export const widthAcrossMm = (spot: Spot, ux: number, uy: number, zMm = 0): number =>
  widthAlongMm(spot, -uy, ux, zMm);

/** How long a point lies under the spot, s: its mean width over the speed. */
export const dwellUnderSpotS = (spot: Spot, speedMmPerS: number, zMm = 0): number =>
  (Math.sqrt(spot.width_mm[0] * spot.width_mm[1]) * defocus(spot, zMm)) / speedMmPerS;

/** Dose at the middle of the resting spot per energy, 1/mm²: 2/(π·w₁·w₂) for a Gaussian of 1/e² radii w. */
export function peakPerMm2(spot: Spot, zMm = 0): number {
  const box = spot.width_mm[0] * spot.width_mm[1] * defocus(spot, zMm) ** 2;
  if (spot.shape === 'uniform-rectangle') return 1 / box;
  return (spot.shape === 'gaussian' ? 8 : 4) / (Math.PI * box);
}
