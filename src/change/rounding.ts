import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../units.ts';

/**
 * How finely changed numbers are written. A what-if uses the rounded numbers too, so that the written job
 * reads back as exactly what was forecast.
 */

/**
 * Into how many grains a unit of S is divided: a power of ten, so that a grain is between 10⁻⁶ and 10⁻⁵ of
 * full scale: finer than any controller tells apart, and no longer to write than it must be.
 */
export const grainsPerS = (sMax: number): number => 10 ** (5 - Math.floor(Math.log10(sMax)));

/** A changed S in whole grains; above 0 it stays above 0. */
export const roundS = (s: number, grains: number): number =>
  s > 0 ? Math.max(1, Math.round(s * grains)) / grains : 0;

/**
 * A changed feed as the job's unit can say it. One wished for in mm/min has no end of digits in inches: five that
 * count are closer than any machine keeps its speed.
 */
export const roundFeed = (mmPerS: number, mmPerUnit: number): number =>
  mmPerUnit === 1
    ? mmPerS
    : mmPerMinToMmPerS(Number((mmPerSToMmPerMin(mmPerS) / mmPerUnit).toPrecision(5)) * mmPerUnit);

/** A place that is made, mm: to a micrometre, finer than any hobby machine steps. */
export const roundMm = (mm: number): number => Math.round(mm * 1000) / 1000 + 0;
