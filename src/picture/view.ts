import { type Bounds, type GridFrame, isEmptyBounds } from '../grid.ts';

/**
 * Which rectangle of the plane a raster shows and how finely. Pixel (column, row), row 0 at the top, spans
 * leftMm + column / pxPerMm … in x and bottomMm + (heightPx − 1 − row) / pxPerMm … in y.
 */
export interface View {
  readonly leftMm: number;
  readonly bottomMm: number;
  readonly pxPerMm: number;
  readonly widthPx: number;
  readonly heightPx: number;
}

/** How far from the wished size the long side may be for the sake of whole-pixel cells. */
const ALIGNED_FROM = 0.885;
const ALIGNED_TO = 1.225;
const MAX_LONG_SIDE_PX = 8192;

/**
 * The view of `bounds` whose long side is about `longSidePx`. Where a nearby size makes every cell a whole
 * number of pixels, or every pixel a whole number of cells, that size is taken and the view starts on a
 * cell's edge, so that nothing is smeared over two pixels; where pixels are larger than cells that is the one nearest to
 * the board's edge, else the board's edge moves by half a pixel at most.
 * @throws {RangeError} for empty bounds or a size that is not 16…8192 pixels.
 */
export function viewOver(bounds: Bounds, frame: GridFrame, longSidePx: number): View {
  if (!(longSidePx >= 16 && longSidePx <= MAX_LONG_SIDE_PX)) {
    throw new RangeError(`invalid longSidePx: ${longSidePx}; expected 16 … ${MAX_LONG_SIDE_PX}`);
  }
  const widthMm = bounds.maxXMm - bounds.minXMm;
  const heightMm = bounds.maxYMm - bounds.minYMm;
  const longMm = Math.max(widthMm, heightMm);
  if (isEmptyBounds(bounds) || !(longMm > 0) || !Number.isFinite(longMm)) {
    throw new RangeError(`invalid bounds: ${widthMm} × ${heightMm} mm; expected a board with a size`);
  }
  const aligned = alignedPxPerMm(longMm, frame.cellMm, longSidePx);
  const pxPerMm = aligned ?? longSidePx / longMm;
  const stepMm = Math.min(frame.cellMm, 1 / pxPerMm);
  const snapped = (mm: number, zeroMm: number): number =>
    aligned === null ? mm : zeroMm + Math.round((mm - zeroMm) / stepMm) * stepMm;
  return {
    leftMm: snapped(bounds.minXMm, frame.x0Mm),
    bottomMm: snapped(bounds.minYMm, frame.y0Mm),
    pxPerMm,
    widthPx: Math.max(1, Math.round(widthMm * pxPerMm)),
    heightPx: Math.max(1, Math.round(heightMm * pxPerMm)),
  };
}

/** @returns null where no nearby size is. */
function alignedPxPerMm(longMm: number, cellMm: number, longSidePx: number): number | null {
  const pxPerCell = (longSidePx / longMm) * cellMm;
  const whole = pxPerCell >= 1 ? [Math.floor(pxPerCell), Math.ceil(pxPerCell)] : [];
  const parts = pxPerCell < 1 ? [Math.ceil(1 / pxPerCell), Math.floor(1 / pxPerCell)].map((n) => 1 / n) : [];
  const near = [...whole, ...parts]
    .filter((n) => n >= pxPerCell * ALIGNED_FROM && n <= pxPerCell * ALIGNED_TO)
    .sort((a, b) => Math.abs(Math.log(a / pxPerCell)) - Math.abs(Math.log(b / pxPerCell)));
  return near.length > 0 ? near[0]! / cellMm : null;
}

/** Distance in pixels from the view's left edge to x, and from its top edge to y. Not rounded. */
export const xToPx = (view: View, xMm: number): number => (xMm - view.leftMm) * view.pxPerMm;
export const yToPx = (view: View, yMm: number): number =>
  view.heightPx - (yMm - view.bottomMm) * view.pxPerMm;
