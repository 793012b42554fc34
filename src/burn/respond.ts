/**
 * The wood's answer in single numbers: everything a chart, a suggestion, a fit or a finding asks, in one
 * import. `burn-dose.ts` gives the same answers for whole grids; MODEL.md says what they rest on.
 */
export { type BeamOnWood, rayleighMm, surfaceWidthMm, widening } from './beam.ts';
export { colourDifference, labOf, toneOfLightness } from './colour.ts';
export {
  type DepthLaw,
  depthLaw,
  depthOf,
  doseForDepth,
  MAX_DEPTH_MM,
  removalBeginsJPerMm2,
  removalJPerMm3,
} from './depth.ts';
export {
  bandMeanDoseJPerMm2,
  linePeakDoseJPerMm2,
  lineWidthMm,
  PEAK_OVER_BAND_MEAN,
  rasterDoseJPerMm2,
} from './line-dose.ts';
export { dwellExponent, dwellNotice, MEASURED_DWELL_S, type Need, needAt, needOf } from './need.ts';
export {
  areaDoseTimesSpeed,
  cutSpeedMmPerS,
  lineDoseTimesSpeed,
  passesToCut,
  speedForDepthMmPerS,
  speedForToneMmPerS,
} from './settings.ts';
export {
  CHAR_BEGINS_TONE,
  doseForTone,
  FULL_CHAR_TONE,
  TONE_REGIONS,
  type ToneRegion,
  toneOf,
  toneRegion,
} from './tone.ts';
