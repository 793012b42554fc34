/**
 * Heat in wood, from handbook equations: what the response model needs to know of conduction, and nothing
 * else. SI inside the equations, as the handbook prints them; mm where a length leaves.
 *
 * Handbook: S. V. Glass, S. L. Zelinka, ch. 4 of *Wood Handbook*, USDA FPL-GTR-190 (2010), p. 4-11.
 */

/** Where the handbook gives conductivity, about 24 °C. */
const ROOM_K = 297;

/** Specific gravity at moisture content x %, on oven-dry mass, from density at x %: ρ = 1000·G_x·(1 + x/100). */
export const specificGravity = (densityKgPerM3: number, moisturePercent: number): number =>
  densityKgPerM3 / (1000 * (1 + moisturePercent / 100));

/**
 * Conductivity across the grain, W/(m·K): Eq. 4-15, k = G_x·(B + C·x) + A. Valid for G_x > 0.3, x < 25 %,
 * near 24 °C; real wood lies within 20 %. Along the grain it is 1.5 to 2.8 times as much.
 */
export const conductivityWPerMK = (gravity: number, moisturePercent: number): number =>
  gravity * (0.1941 + 0.004064 * moisturePercent) + 0.01864;

/** Heat capacity of oven-dry wood, kJ/(kg·K), at T kelvin: Eq. 4-16a. Valid from 7 to 147 °C. */
export const dryHeatCapacityKjPerKgK = (temperatureK: number): number => 0.1031 + 0.003867 * temperatureK;

/**
 * Heat capacity of wood at moisture content x %, kJ/(kg·K):
 * (c_dry + 4.18·x/100)/(1 + x/100) + x·(−0.06191 + 2.36e−4·T − 1.33e−4·x); the last term is the handbook's
 * for the energy of the wood–water bond (0 when dry).
 */
export function heatCapacityKjPerKgK(temperatureK: number, moisturePercent: number): number {
  const x = moisturePercent;
  const mixture = (dryHeatCapacityKjPerKgK(temperatureK) + (4.18 * x) / 100) / (1 + x / 100);
  return mixture + x * (-0.06191 + 2.36e-4 * temperatureK - 1.33e-4 * x);
}

/** Heat per volume and kelvin at room temperature, J/(m³·K). */
export const volumetricHeatJPerM3K = (densityKgPerM3: number, moisturePercent: number): number =>
  densityKgPerM3 * heatCapacityKjPerKgK(ROOM_K, moisturePercent) * 1000;

/** Diffusivity k/(ρ·c) across the grain at room temperature, mm²/s: 0.146 to 0.159 for all common woods. */
export function diffusivityMm2PerS(densityKgPerM3: number, moisturePercent: number): number {
  const k = conductivityWPerMK(specificGravity(densityKgPerM3, moisturePercent), moisturePercent);
  return (k / volumetricHeatJPerM3K(densityKgPerM3, moisturePercent)) * 1e6;
}

/** Effusivity √(k·ρ·c) across the grain at room temperature, W·s^½/(m²·K). */
export function effusivity(densityKgPerM3: number, moisturePercent: number): number {
  const k = conductivityWPerMK(specificGravity(densityKgPerM3, moisturePercent), moisturePercent);
  return Math.sqrt(k * volumetricHeatJPerM3K(densityKgPerM3, moisturePercent));
}

/**
 * The absorbed dose, J/mm², that brings the surface of an opaque half-space up by `riseK` within `timeS` of constant flux:
 * q·t = (√π/2)·e·ΔT·√t. Carslaw & Jaeger, *Conduction of Heat in Solids* (reference from memory).
 */
export const halfSpaceDoseJPerMm2 = (riseK: number, timeS: number, effusivity: number): number =>
  (Math.sqrt(Math.PI) / 2) * effusivity * riseK * Math.sqrt(timeS) * 1e-6;
