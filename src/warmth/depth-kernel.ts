import { octaveTable } from '../burn/octave-table.ts';
import { lately } from '../lately.ts';

/**
 * What a sheet of heat has become in depth. Light that is absorbed as e^(−z/δ)/δ leaves its heat so; after a time
 * the heat has gone deeper, and what a later firing finds is the mean over the skin that absorbs *it*, weighted
 * in the same way. Conduction factors into plane and depth, so this one function of age is all of depth.
 *
 * Insulated half-space, u = √(αt)/δ: K = [(½ − u²)·e^(u²)·erfc(u) + u/√π]/δ, derived from the cosine transform of
 * the profile, 1/(1 + k²δ²): K = (2/π)·∫ e^(−αk²t)/(1 + k²δ²)² dk. It runs from 1/(2δ) to that of a sheet on the
 * surface, 1/√(παt) (Carslaw & Jaeger, *Conduction of Heat in Solids*, 2nd ed., ch. X; value from memory).
 */

/** The board, as heat sees it. */
export interface HeatInDepth {
  readonly diffusivityMm2PerS: number;
  /** 1/e depth of the light, mm. */
  readonly depthMm: number;
  /** Thickness of the board, mm, whose back is taken as insulated; null: without end. */
  readonly thicknessMm: number | null;
}

/** Kelvin × heat per volume that 1 J/mm² leaves in the skin after `ageS`: 1/mm, falling with age. */
export function skinShare({ diffusivityMm2PerS, depthMm, thicknessMm }: HeatInDepth, ageS: number): number {
  const spread = diffusivityMm2PerS * Math.max(0, ageS);
  const halfSpace = ofHalfSpace(Math.sqrt(spread) / depthMm) / depthMm;
  return thicknessMm === null ? halfSpace : halfSpace * ofPlate(spread / (thicknessMm * thicknessMm));
}

/** {@link skinShare} as an octave table over the age in s (`burn/octave-table.ts`). */
export const skinTable = (heat: HeatInDepth): Float32Array =>
  tableLately(
    [heat.diffusivityMm2PerS, heat.depthMm, heat.thicknessMm],
    () => octaveTable((ageS) => skinShare(heat, ageS)).values,
  );

const tableLately = lately<Float32Array>(16);

/** From here on the two large terms of K cancel beyond what is left, and its series for late times is exact enough. */
const LATE = 8;

function ofHalfSpace(u: number): number {
  if (u < LATE) return (0.5 - u * u) * scaledErfc(u) + u / Math.sqrt(Math.PI);
  const y = 1 / (2 * u * u);
  return (1 - 2 * y + 9 * y * y - 60 * y * y * y) / (u * Math.sqrt(Math.PI));
}

/**
 * How much more a plate keeps than a half-space, with Fo = αt/D²: its images at 2D, 4D, …, which add up to
 * 1 + 2·Σ e^(−m²/Fo). Seen from the skin the images are as far as from the surface: off by (δ/D)².
 */
function ofPlate(fourier: number): number {
  if (fourier > 1) return Math.sqrt(Math.PI * fourier) * (1 + 2 * Math.exp(-Math.PI * Math.PI * fourier));
  let sum = 0;
  for (let m = 1; m <= 6; m++) sum += Math.exp((-m * m) / fourier);
  return 1 + 2 * sum;
}

/** e^(u²)·erfc(u), u ≥ 0: erf's power series, and from 1.5 on Laplace's continued fraction (any handbook). */
function scaledErfc(u: number): number {
  if (u > 1.5) {
    let tail = u;
    for (let k = 60; k >= 1; k--) tail = u + k / 2 / tail;
    return 1 / (tail * Math.sqrt(Math.PI));
  }
  let term = u;
  let sum = u;
  for (let n = 1; n < 30; n++) {
    term *= (-u * u) / n;
    sum += term / (2 * n + 1);
  }
  return Math.exp(u * u) * (1 - (2 / Math.sqrt(Math.PI)) * sum);
}
