import type { Settings } from './piece.ts';
import type { PictureSettings } from './sign.ts';

/**
 * The settings the demo's jobs are written with, and why.
 *
 * Engraving. A raster's mean dose is P / (v · row spacing). Around 0.6 J/mm² engraves pale wood brown to
 * dark and, at 2.2 to 2.9 J per mm³ removed, not a third of a millimetre deep. On the bench gantry 60 % of
 * 5 W at 50 mm/s and 0.1 mm gives 0.6 J/mm²; on the workshop gantry so does 35 % of 12 W at 100 mm/s and
 * 0.07 mm. Row spacing stays near half the spot's width across the rows, so that rows run together.
 *
 * Overscan. To turn, the head needs v² / 2a: 50² / 1000 = 2.5 mm on the bench gantry, 100² / 6000 = 1.7 mm
 * on the workshop gantry.
 *
 * Scoring. 40 % of 5 W at 20 mm/s, or 25 % of 12 W at 30 mm/s, is 0.1 J/mm: a clear thin line.
 *
 * Cutting. Removing a kerf as wide as the spot (0.15 mm) through 4 mm costs 2.2 to 2.9 J/mm³ × 0.15 mm ×
 * 4 mm = 1.3 to 1.7 J/mm if no energy is lost; in a deep narrow kerf most of it is. Common practice (no
 * source): a 10 W head at 300 mm/min goes through 4 mm poplar in three passes or a few more, 3 × 2 J/mm = 6 J/mm.
 * So the bench gantry cuts at 240 mm/min, 1.25 J/mm a pass, five times: 6.25 J/mm; the workshop gantry at
 * 360 mm/min, 2 J/mm a pass, three times: 6 J/mm. The first try's two passes at 900 mm/min bring
 * 0.67 J/mm, half of what a kerf without any losses would take: it cannot come free.
 */

/** The bench gantry, as a beginner sets it up. */
export const FIRST_TRY: Settings = {
  power: 'constant',
  engrave: { s: 600, feedMmPerMin: 3000, rowSpacingMm: 0.1, overscanMm: 0 },
  score: { s: 400, feedMmPerMin: 1200, passes: 1 },
  cut: { s: 1000, feedMmPerMin: 900, passes: 2 },
};

/** The bench gantry, set up well. */
export const WITH_CARE: Settings = {
  power: 'proportional',
  engrave: { s: 600, feedMmPerMin: 3000, rowSpacingMm: 0.1, overscanMm: 3 },
  score: { s: 400, feedMmPerMin: 1200, passes: 1 },
  cut: { s: 1000, feedMmPerMin: 240, passes: 5 },
};

/** The workshop gantry. */
export const WORKSHOP: Settings = {
  power: 'proportional',
  engrave: { s: 350, feedMmPerMin: 6000, rowSpacingMm: 0.07, overscanMm: 2 },
  score: { s: 250, feedMmPerMin: 1800, passes: 1 },
  cut: { s: 1000, feedMmPerMin: 360, passes: 3 },
};

/** The sign's shaded leaf, on the workshop gantry: 0.2 to 1.0 J/mm². */
export const PICTURE: PictureSettings = {
  rowSpacingMm: WORKSHOP.engrave.rowSpacingMm,
  pixelMm: 0.14,
  sLightest: 140,
  sDarkest: 600,
  sStep: 12,
};
