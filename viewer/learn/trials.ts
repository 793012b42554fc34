import { mmPerMinToMmPerS } from '../../src/units.ts';
import { boardOf, GANTRY, type Trial, viewOf } from './gantry.ts';
import { label, lines, type Mode, patch, patches, sprig } from './jobs.ts';

/** What each experiment burns, from the numbers in its sentence. */

export interface CornerSettings {
  readonly speedMmPerMin: number;
  readonly accelerationMmPerS2: number;
  readonly mode: Mode;
}
const LABEL = boardOf(38, 18);
export const cornerTrial = ({ speedMmPerMin, accelerationMmPerS2: a, mode }: CornerSettings): Trial => ({
  text: label(400, speedMmPerMin, mode),
  machine: { ...GANTRY, acceleration_mm_s2: [a, a, 50] },
  stock: LABEL,
  cellMm: 0.05,
  figure: viewOf(LABEL, 1140),
});

export interface RowEndSettings {
  readonly speedMmPerMin: number;
  readonly overscanMm: number;
  readonly mode: Mode;
}
const LEAF = boardOf(20, 13.4);
export const rowEndTrial = ({ speedMmPerMin, overscanMm, mode }: RowEndSettings): Trial => ({
  text: sprig(600, speedMmPerMin, mode, overscanMm),
  machine: GANTRY,
  stock: LEAF,
  cellMm: 0.06,
  figure: viewOf(LEAF, 1000),
});

export interface TradeOffSettings {
  readonly speedMmPerMin: number;
  readonly percent: number;
}
export const TRADE_OFF_ROWS_MM = 0.1;
const PATCH = boardOf(14, 10);
export const tradeOffTrial = ({ speedMmPerMin, percent }: TradeOffSettings): Trial => ({
  text: patch(10, 6, percent * 10, speedMmPerMin, TRADE_OFF_ROWS_MM),
  machine: GANTRY,
  stock: PATCH,
  cellMm: 0.06,
  figure: viewOf(PATCH, 700),
});

export interface RowSpacingSettings {
  readonly spacingMm: number;
  readonly spotMm: number;
}
/** The filled patch reaches from y 2 to 4.4 mm. */
export const PATCH_FROM_MM = 2;
export const PATCH_TALL_MM = 2.4;
export const rowSpacingTrial = ({ spacingMm, spotMm }: RowSpacingSettings): Trial => ({
  text: patch(8, PATCH_TALL_MM, 800, 2000, spacingMm),
  machine: { ...GANTRY, spot: { ...GANTRY.spot, width_mm: [0.12, spotMm] } },
  stock: boardOf(10, 6),
  cellMm: 0.02,
  figure: { ...viewOf(boardOf(5, 3.4), 760), leftMm: 2.6, bottomMm: 1.3 },
});

export interface SmallFillSettings {
  /** Side of the small square. */
  readonly sizeMm: number;
  /** Its power, as a part of that of the long rows, %. */
  readonly percent: number;
}
/** The small square lies left of a strip as high as it, whose rows are so long. */
export const LONG_ROW_MM = 40;
export const SMALL_LEFT_MM = 2;
export const LONG_LEFT_MM = 13;
export const SMALL_FILL_SPEED_MM_PER_MIN = 3000;
const STRIP = boardOf(55, 12);
export const smallFillTrial = ({ sizeMm, percent }: SmallFillSettings): Trial => ({
  text: patches(
    { widthMm: sizeMm, s: 5 * percent, leftMm: SMALL_LEFT_MM },
    { widthMm: LONG_ROW_MM, s: 500, leftMm: LONG_LEFT_MM },
    { heightMm: sizeMm, speedMmPerMin: SMALL_FILL_SPEED_MM_PER_MIN, rowSpacingMm: 0.1 },
  ),
  machine: GANTRY,
  stock: STRIP,
  cellMm: 0.05,
  figure: viewOf(STRIP, 1100),
});

export interface FocusSettings {
  readonly offMm: number;
  readonly percent: number;
}
export const focusTrial = ({ offMm, percent }: FocusSettings): Trial => ({
  text: lines(percent * 10, 25, 1, [3, 5, 7]),
  machine: { ...GANTRY, spot: { ...GANTRY.spot, focus_z_mm: offMm } },
  stock: boardOf(16, 10),
  cellMm: 0.03,
  figure: { ...viewOf(boardOf(10, 6.8), 760), leftMm: 6, bottomMm: 1.6 },
});

export interface CutSettings {
  readonly passes: number;
  readonly thicknessMm: number;
  readonly speedMmPerMin: number;
}
export const cutTrial = ({ passes, thicknessMm, speedMmPerMin }: CutSettings): Trial => ({
  text: lines(1000, mmPerMinToMmPerS(speedMmPerMin), passes, [3]),
  machine: GANTRY,
  stock: boardOf(16, 6, thicknessMm),
  cellMm: 0.03,
  figure: { ...viewOf(boardOf(10, 6.8), 760), leftMm: 6, bottomMm: -0.4 },
});
