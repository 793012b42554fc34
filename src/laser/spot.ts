import type { Spot } from '../machine/profile.ts';

/**
 * How much wider the spot is at height z than in focus: w(z)/w0 = √(1 + ((z − z_focus)/z_R)²), the
 * Gaussian-beam law (ISO 11146-1; z_R = π·w0²/(M²·λ)). 1 when the profile gives no Rayleigh length.
 */
export function defocus(spot: Spot, zMm: number): number {
  if (spot.rayleigh_mm === null) return 1;
  const off = (zMm - spot.focus_z_mm) / spot.rayleigh_mm;
  return Math.sqrt(1 + off * off);
}

/** The one number that stands for the spot's size where direction does not matter: √(width_x · width_y), mm. */
export const meanWidthMm = (spot: Spot): number => Math.sqrt(spot.width_mm[0] * spot.width_mm[1]);
