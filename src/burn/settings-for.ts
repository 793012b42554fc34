import { mmPerSToMmPerMin } from '../units.ts';
import { type BeamOnWood, surfaceWidthMm, widening } from './beam-on-wood.ts';
import { type DepthLaw, depthLaw, doseForDepth, excessForDepth, removalBeginsJPerMm2 } from './depth.ts';
import { firedNeed } from './firing.ts';
import { PEAK_OVER_BAND_MEAN } from './line-dose.ts';
import type { Material } from './material.ts';
import { needOf } from './need.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone } from './tone.ts';

/**
 * From what is wanted of the wood back to settings. Both a line and a filled area get a dose k/v at speed v
 * (k: {@link lineDoseTimesSpeed}, {@link areaDoseTimesSpeed}), with dwell width/v, so every answer is the
 * root of one quadratic in 1/√v.
 */

/** No slower speed is advised or shown, mm/s. */
export const SLOWEST_MM_PER_S = 0.5;
export const SLOWEST_WORDS = `${mmPerSToMmPerMin(SLOWEST_MM_PER_S)} mm/min`;
/** Why. It holds of all passes together too: each goes over walls that the others have charred. */
export const CHARS_MORE = 'wood chars and flares more than it is cut';

/** Peak dose on a line times speed, W/mm, across the spot's wider axis: the direction that burns least. */
export const lineDoseTimesSpeed = (
  powerW: number,
  beam: BeamOnWood,
  acrossMm: number = Math.max(...beam.spot.width_mm) * widening(beam, 0),
): number => (PEAK_OVER_BAND_MEAN[beam.spot.shape] * powerW) / acrossMm;

/** Mean dose of a filled area times speed, W/mm. */
export const areaDoseTimesSpeed = (powerW: number, rowSpacingMm: number): number => powerW / rowSpacingMm;

/** The fastest speed, mm/s, at which `doseTimesSpeed` (W/mm) still gives the tone. */
export function speedForToneMmPerS(
  tone: number,
  doseTimesSpeed: number,
  material: Material,
  beam: BeamOnWood,
): number {
  const plain = plainDoseForTone(tone, material);
  const need = needOf(material, beam.wavelengthNm);
  return speedFor(doseTimesSpeed, plain * need.byDepth, plain * need.bySqrtS, surfaceWidthMm(beam));
}

/**
 * The fastest speed, mm/s, at which `doseTimesSpeed` reaches `depthMm`; 0 beyond what a beam reaches.
 * @param times how many times the need of one cool firing (`firing.ts`).
 */
export function speedForDepthMmPerS(
  depthMm: number,
  doseTimesSpeed: number,
  material: Material,
  beam: BeamOnWood,
  { law = depthLaw(material, beam), times = 1 }: { law?: DepthLaw; times?: number } = {},
): number {
  const plain = times * plainDoseForTone(CHAR_BEGINS_TONE, material);
  const need = needOf(material, beam.wavelengthNm);
  const steady = plain * need.byDepth + excessForDepth(law, depthMm);
  return speedFor(doseTimesSpeed, steady, plain * need.bySqrtS, surfaceWidthMm(beam));
}

/** The fastest speed, mm/s, at which `passes` lines, each on wood that is cool again, cut through stock of `thicknessMm`. */
export const cutSpeedMmPerS = (
  powerW: number,
  thicknessMm: number,
  material: Material,
  beam: BeamOnWood,
  passes = 1,
): number =>
  speedForDepthMmPerS(thicknessMm, passes * lineDoseTimesSpeed(powerW, beam), material, beam, {
    times: firedNeed(passes, 0, material),
  });

/**
 * How many passes cut through, each leaving the local dose `doseJPerMm2` on wood that is cool again; at least 1, ∞ when
 * no number does. Each further pass pays its `firing_cost` before it goes deeper.
 */
export function passesToCut(
  doseJPerMm2: number,
  dwellS: number,
  thicknessMm: number,
  material: Material,
  beam: BeamOnWood,
): number {
  const once = doseForDepth(thicknessMm, dwellS, material, beam);
  const again = material.firing_cost.value * removalBeginsJPerMm2(material, beam.wavelengthNm, dwellS);
  const passes = doseJPerMm2 > again ? (once - again) / (doseJPerMm2 - again) : Infinity;
  return passes < Infinity ? Math.max(1, Math.ceil(passes - 1e-9)) : Infinity;
}

/** The root v of k/v = steady + perSqrtS·√(width/v): with y = 1/√v, k·y² − perSqrtS·√width·y − steady = 0. */
function speedFor(doseTimesSpeed: number, steady: number, perSqrtS: number, widthMm: number): number {
  if (!(doseTimesSpeed > 0) || steady === Infinity) return 0;
  const linear = perSqrtS * Math.sqrt(widthMm);
  const y = (linear + Math.sqrt(linear * linear + 4 * doseTimesSpeed * steady)) / (2 * doseTimesSpeed);
  return 1 / (y * y);
}
