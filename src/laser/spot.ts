import type { Spot } from '../machine/profile.ts';
import { degToRad, NM_PER_MM } from '../units.ts';

/**
 * How much wider a beam is `offMm` away from its focus than in it: √(1 + (off/z_R)²), the Gaussian-beam law
 * (ISO 11146-1; z_R = π·w0²/(M²·λ)).
 */
export function beamSpread(offMm: number, rayleighMm: number): number {
  const off = offMm / rayleighMm;
  return Math.sqrt(1 + off * off);
}

/**
 * How much wider the spot on the surface is with the head at height z than in focus. 1 when the profile gives no
 * Rayleigh length: then nobody knows, and every height counts as in focus.
 */
export const defocus = (spot: Pick<Spot, 'focus_z_mm' | 'rayleigh_mm'>, zMm: number): number =>
  spot.rayleigh_mm === null ? 1 : beamSpread(zMm - spot.focus_z_mm, spot.rayleigh_mm);

/** The one number that stands for the spot's size where direction does not matter: √(width_x · width_y), mm. */
export const meanWidthMm = (spot: Spot): number => Math.sqrt(spot.width_mm[0] * spot.width_mm[1]);

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

/** Area the widths enclose, in focus, mm². */
export function spotAreaMm2({ shape, width_mm }: Spot): number {
  const box = width_mm[0] * width_mm[1];
  return shape === 'uniform-rectangle' ? box : (Math.PI / 4) * box;
}

/**
 * Intensity at the middle of the spot, in focus, W/mm²: power over area, and twice that for a Gaussian
 * (I₀ = 2P/(π·w²) with w the 1/e² radius; any text on laser beams).
 */
export const peakIntensityWPerMm2 = (spot: Spot, powerW: number): number =>
  ((spot.shape === 'gaussian' ? 2 : 1) * powerW) / spotAreaMm2(spot);

/**
 * The beam quality M² that spot and Rayleigh length amount to: M² = π·w0²/(λ·z_R), at least 1 for any real beam
 * (ISO 11146-1). null when the profile gives no Rayleigh length.
 */
export function beamQuality(spot: Spot, wavelengthNm: number): number | null {
  if (spot.rayleigh_mm === null) return null;
  const w0 = meanWidthMm(spot) / 2;
  return (Math.PI * w0 * w0) / ((wavelengthNm / NM_PER_MM) * spot.rayleigh_mm);
}
