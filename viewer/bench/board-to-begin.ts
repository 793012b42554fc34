import type { Stock } from '../../src/board.ts';
import { type Bounds, isEmptyBounds } from '../../src/grid.ts';

/** Wood left around the burn on a board whose size is not known yet. */
const SPARE_MM = 10;
const USUAL_THICKNESS_MM = 4;
/** Where nothing burns, any size will do. */
const USUAL_BOARD: Stock = { widthMm: 200, heightMm: 100, thicknessMm: USUAL_THICKNESS_MM, xMm: 0, yMm: 0 };

/**
 * A board to begin with, to be measured and changed: the burn's bounds and a margin, in whole millimetres. Its corner
 * is not moved past the origin where the burn is not, for there most lay their boards.
 */
export function boardToBegin(burn: Bounds | null): Stock {
  if (!burn || isEmptyBounds(burn)) return USUAL_BOARD;
  const [xMm, yMm] = [corner(burn.minXMm), corner(burn.minYMm)];
  return {
    widthMm: Math.ceil(burn.maxXMm + SPARE_MM) - xMm,
    heightMm: Math.ceil(burn.maxYMm + SPARE_MM) - yMm,
    thicknessMm: USUAL_THICKNESS_MM,
    xMm,
    yMm,
  };
}

const corner = (least: number): number => {
  const outside = Math.floor(least - SPARE_MM);
  return least >= 0 ? Math.max(0, outside) : outside;
};
