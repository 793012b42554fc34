import { type Stock, stockBounds } from '../board.ts';
import { type Bounds, type GridFrame, grownBounds, overlaps } from '../grid.ts';
import { greatestOf, leastOf } from '../lists.ts';
import type { BurnsInSight } from './away.ts';

/** A rectangle with a side shorter than this is a strip, mm (a judgement, no source). */
const LEAST_SIDE_MM = 15;

/** A rectangle of cells: its first column and row, and how many. */
export interface CellRectangle {
  readonly i: number;
  readonly j: number;
  readonly columns: number;
  readonly rows: number;
}

/**
 * The rectangle with the most cells of which all are set; null: none is. Row by row the columns are bars as high as
 * cells are set beneath one another, and the largest rectangle under bars is found with a stack of rising ones. O(cells).
 */
export function largestRectangle(isSet: Uint8Array, nx: number, ny: number): CellRectangle | null {
  const heights = new Int32Array(nx + 1);
  const stack = new Int32Array(nx + 1);
  let best: CellRectangle | null = null;
  let most = 0;
  for (let j = 0; j < ny; j++) {
    let top = 0;
    for (let i = 0; i <= nx; i++) {
      if (i < nx) heights[i] = isSet[j * nx + i] === 1 ? heights[i]! + 1 : 0;
      const height = i < nx ? heights[i]! : 0;
      while (top > 0 && heights[stack[top - 1]!]! >= height) {
        const rows = heights[stack[--top]!]!;
        const from = top > 0 ? stack[top - 1]! + 1 : 0;
        const cells = rows * (i - from);
        if (cells <= most) continue;
        most = cells;
        best = { i: from, j: j - rows + 1, columns: i - from, rows };
      }
      stack[top++] = i;
    }
  }
  return best;
}

export function rectangleOf(cells: CellRectangle | null, { x0Mm, y0Mm, cellMm }: GridFrame): Bounds | null {
  if (!cells) return null;
  return {
    minXMm: x0Mm + cells.i * cellMm,
    minYMm: y0Mm + cells.j * cellMm,
    maxXMm: x0Mm + (cells.i + cells.columns) * cellMm,
    maxYMm: y0Mm + (cells.j + cells.rows) * cellMm,
  };
}

export const worthKeeping = (rectangle: Bounds | null): Bounds | null =>
  rectangle &&
  Math.min(rectangle.maxXMm - rectangle.minXMm, rectangle.maxYMm - rectangle.minYMm) >= LEAST_SIDE_MM - 1e-9
    ? rectangle
    : null;

/** Cells are told small: their rectangle has room for so many more on each side at the most. */
const MORE_CELLS = 2;

/**
 * A rectangle of cells with its sides moved out to where wood ends or something burns or is to be kept off; each of these
 * is a square about its place, which is more than it takes. Within an own outline it stays as it is.
 */
export function grownToBurns(
  cells: Bounds | null,
  stock: Stock,
  { cellMm }: GridFrame,
  { pieces, reachMm }: Pick<BurnsInSight, 'pieces'> & { readonly reachMm: number },
): Bounds | null {
  if (!cells || stock.outline) return cells;
  const board = stockBounds(stock);
  const mostMm = MORE_CELLS * cellMm;
  const around = grownBounds(cells, mostMm);
  const squares: Bounds[] = [];
  const add = (xMm: number, yMm: number, half: number): void => {
    const square = { minXMm: xMm - half, minYMm: yMm - half, maxXMm: xMm + half, maxYMm: yMm + half };
    if (overlaps(square, around)) squares.push(square);
  };
  for (let k = 0; k < pieces.length; k += 2) add(pieces[k]!, pieces[k + 1]!, reachMm);
  for (const { xMm, yMm, radiusMm } of stock.avoid ?? []) add(xMm, yMm, radiusMm);
  const { minXMm, minYMm, maxXMm, maxYMm } = cells;
  const besideX = squares.filter((each) => each.minYMm < maxYMm && each.maxYMm > minYMm);
  const [fromX, toX] = movedOut(
    [minXMm, maxXMm],
    besideX.map((each) => [each.minXMm, each.maxXMm]),
    [board.minXMm, board.maxXMm],
    mostMm,
  );
  const besideY = squares.filter((each) => each.minXMm < toX && each.maxXMm > fromX);
  const [fromY, toY] = movedOut(
    [minYMm, maxYMm],
    besideY.map((each) => [each.minYMm, each.maxYMm]),
    [board.minYMm, board.maxYMm],
    mostMm,
  );
  return { minXMm: fromX, minYMm: fromY, maxXMm: toX, maxYMm: toY };
}

type Span = readonly [fromMm: number, toMm: number];

/** Both ends of a side moved out to what lies nearest beyond them, to the wood's ends, or by the most. */
function movedOut([from, to]: Span, others: readonly Span[], [woodFrom, woodTo]: Span, mostMm: number): Span {
  const middle = (from + to) / 2;
  const below = others.filter(([, end]) => end < middle).map(([, end]) => end);
  const above = others.filter(([begin]) => begin > middle).map(([begin]) => begin);
  return [
    Math.min(from, greatestOf([woodFrom, from - mostMm, ...below])),
    Math.max(to, leastOf([woodTo, to + mostMm, ...above])),
  ];
}
