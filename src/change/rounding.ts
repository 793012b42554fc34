/**
 * How finely changed numbers are written. A what-if uses the rounded numbers too, so that the written job
 * reads back as exactly what was forecast.
 */

/**
 * A changed S, rounded to a power of ten between 10⁻⁶ and 10⁻⁵ of full scale: finer than any controller
 * tells apart, and no longer than it must be. S above 0 stays above 0.
 */
export function roundS(s: number, sMax: number): number {
  const decimals = 5 - Math.floor(Math.log10(sMax));
  const step = 10 ** -decimals;
  return s > 0 ? Math.max(Number(s.toFixed(clampDecimals(decimals))), step) : 0;
}

/** A place that is made, mm: to a micrometre, finer than any hobby machine steps. */
export const roundMm = (mm: number): number => Math.round(mm * 1000) / 1000 + 0;

const clampDecimals = (decimals: number): number => Math.min(12, Math.max(0, decimals));
