/**
 * Conversions and physical constants. Inside Charcast everything is mm, s, W, J and rad; other units are
 * turned into these where they enter (a G-code word, a profile, an option) and back where they leave
 * (a report, a label), by the functions here and nowhere else.
 */

export const MM_PER_INCH = 25.4;
const SECONDS_PER_MINUTE = 60;
export const NM_PER_MM = 1e6;

export const mmPerMinToMmPerS = (mmPerMin: number): number => mmPerMin / SECONDS_PER_MINUTE;
export const mmPerSToMmPerMin = (mmPerS: number): number => mmPerS * SECONDS_PER_MINUTE;
export const degToRad = (deg: number): number => (deg * Math.PI) / 180;
export const msToS = (ms: number): number => ms / 1000;

/**
 * The standard deviation of a Gaussian spot from its width: a width here is D4σ, which for a Gaussian is
 * the 1/e² diameter (ISO 11146-1; S. Prahl, "ISO 11146 Beam Size Definitions").
 */
export const sigmaFromWidthMm = (widthMm: number): number => widthMm / 4;
