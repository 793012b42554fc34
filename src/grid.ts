/**
 * The one grid convention, written once.
 *
 *   y ▲
 *     │  row ny-1   data[(ny-1)*nx + 0] … data[(ny-1)*nx + nx-1]
 *     │   …
 *     │  row 0      data[0]             … data[nx-1]
 *     └───────────────────────────────────────▶ x
 *  (x0Mm, y0Mm) is the lower left corner of cell (0, 0).
 *
 * Cell (i, j) spans x0 + i·h … x0 + (i+1)·h and y0 + j·h … y0 + (j+1)·h with h = cellMm, and holds the mean
 * of its quantity over that square. Row 0 is the lowest y; pictures flip y once, when they are painted.
 */
export interface GridFrame {
  readonly nx: number;
  readonly ny: number;
  readonly x0Mm: number;
  readonly y0Mm: number;
  readonly cellMm: number;
}

/** Whether two frames have the same cells. */
export const isSameFrame = (a: GridFrame, b: GridFrame): boolean =>
  a.nx === b.nx && a.ny === b.ny && a.x0Mm === b.x0Mm && a.y0Mm === b.y0Mm && a.cellMm === b.cellMm;

/** A frame with one value per cell: `data[j * nx + i]`, length nx·ny, in `unit`. */
export interface Grid extends GridFrame {
  readonly unit: string;
  readonly data: Float32Array;
}

/** An axis-aligned rectangle in mm. Empty when min > max (see {@link EMPTY_BOUNDS}). */
export interface Bounds {
  readonly minXMm: number;
  readonly minYMm: number;
  readonly maxXMm: number;
  readonly maxYMm: number;
}

export const EMPTY_BOUNDS: Bounds = {
  minXMm: Infinity,
  minYMm: Infinity,
  maxXMm: -Infinity,
  maxYMm: -Infinity,
};

export const isEmptyBounds = (b: Bounds): boolean => !(b.minXMm <= b.maxXMm && b.minYMm <= b.maxYMm);

/** Bounds that are still growing; begun as a copy of {@link EMPTY_BOUNDS}. */
export type GrowingBounds = { -readonly [K in keyof Bounds]: Bounds[K] };

/** Lets bounds grow so that they hold a point, mm. */
export function reach(b: GrowingBounds, xMm: number, yMm: number): void {
  if (xMm < b.minXMm) b.minXMm = xMm;
  if (xMm > b.maxXMm) b.maxXMm = xMm;
  if (yMm < b.minYMm) b.minYMm = yMm;
  if (yMm > b.maxYMm) b.maxYMm = yMm;
}

/** Whether two have some area in common. */
export const overlaps = (a: Bounds, b: Bounds): boolean =>
  a.minXMm < b.maxXMm && b.minXMm < a.maxXMm && a.minYMm < b.maxYMm && b.minYMm < a.maxYMm;

/** What two have in common; empty where they do not meet. */
export const meetOf = (a: Bounds, b: Bounds): Bounds => ({
  minXMm: Math.max(a.minXMm, b.minXMm),
  minYMm: Math.max(a.minYMm, b.minYMm),
  maxXMm: Math.min(a.maxXMm, b.maxXMm),
  maxYMm: Math.min(a.maxYMm, b.maxYMm),
});

/** 0 of what is empty. */
export const areaMm2 = ({ minXMm, minYMm, maxXMm, maxYMm }: Bounds): number =>
  Math.max(0, maxXMm - minXMm) * Math.max(0, maxYMm - minYMm);

/** The rectangle grown by `marginMm` on all four sides. */
export const grownBounds = (b: Bounds, marginMm: number): Bounds => ({
  minXMm: b.minXMm - marginMm,
  minYMm: b.minYMm - marginMm,
  maxXMm: b.maxXMm + marginMm,
  maxYMm: b.maxYMm + marginMm,
});

/** What a frame's cells cover. */
export const frameBounds = ({ x0Mm, y0Mm, nx, ny, cellMm }: GridFrame): Bounds => ({
  minXMm: x0Mm,
  minYMm: y0Mm,
  maxXMm: x0Mm + nx * cellMm,
  maxYMm: y0Mm + ny * cellMm,
});

/** The middle of the rectangle, mm. */
export const middleOf = (b: Bounds): [xMm: number, yMm: number] => [
  (b.minXMm + b.maxXMm) / 2,
  (b.minYMm + b.maxYMm) / 2,
];

/** The corners, the lower left first, then anticlockwise. */
export const cornersOfBounds = ({ minXMm, minYMm, maxXMm, maxYMm }: Bounds): [xMm: number, yMm: number][] => [
  [minXMm, minYMm],
  [maxXMm, minYMm],
  [maxXMm, maxYMm],
  [minXMm, maxYMm],
];

/** Whether a point lies in the rectangle, or no farther than `slackMm` beside it. */
export const holdsPoint = (b: Bounds, xMm: number, yMm: number, slackMm = 0): boolean =>
  xMm >= b.minXMm - slackMm &&
  xMm <= b.maxXMm + slackMm &&
  yMm >= b.minYMm - slackMm &&
  yMm <= b.maxYMm + slackMm;

/**
 * The frame of square cells that covers `bounds` from its lower left corner. A size that is a whole number
 * of cells to within a millionth of a cell gives exactly that number.
 */
export function frameOver(bounds: Bounds, cellMm: number): GridFrame {
  if (!(cellMm > 0)) throw new RangeError(`invalid cellMm: ${cellMm}; expected > 0`);
  const cells = (sizeMm: number) => Math.max(1, Math.ceil(sizeMm / cellMm - 1e-6));
  return {
    nx: cells(bounds.maxXMm - bounds.minXMm),
    ny: cells(bounds.maxYMm - bounds.minYMm),
    x0Mm: bounds.minXMm,
    y0Mm: bounds.minYMm,
    cellMm,
  };
}

/** The cell in which a place along an axis lies, in cells from the frame's edge, or the one nearest to it. */
const cellAlong = (at: number, cells: number): number => Math.min(cells - 1, Math.max(0, Math.floor(at)));

/** A part of a frame whose cells are its own. */
export interface FrameWindow {
  readonly frame: GridFrame;
  /** Its lower left cell in the whole frame. */
  readonly i0: number;
  readonly j0: number;
}

/** The part of a frame that lies within bounds, in whole cells; at least one, the nearest, where none does. */
export function windowWithin(whole: GridFrame, bounds: Bounds): FrameWindow {
  const { nx, ny, x0Mm, y0Mm, cellMm } = whole;
  const cell = (mm: number, cells: number) => cellAlong(mm / cellMm, cells);
  const isEmpty = isEmptyBounds(bounds);
  const span = (fromMm: number, toMm: number, cells: number): [first: number, count: number] =>
    isEmpty ? [0, 1] : [cell(fromMm, cells), cell(toMm, cells) - cell(fromMm, cells) + 1];
  const [i0, width] = span(bounds.minXMm - x0Mm, bounds.maxXMm - x0Mm, nx);
  const [j0, height] = span(bounds.minYMm - y0Mm, bounds.maxYMm - y0Mm, ny);
  const frame = { nx: width, ny: height, x0Mm: x0Mm + i0 * cellMm, y0Mm: y0Mm + j0 * cellMm, cellMm };
  return { frame, i0, j0 };
}

/** The index into `data` of the cell that holds the point, given in mm; -1 outside the frame. */
export function cellAt(f: GridFrame, xMm: number, yMm: number): number {
  const i = Math.floor((xMm - f.x0Mm) / f.cellMm);
  const j = Math.floor((yMm - f.y0Mm) / f.cellMm);
  return i >= 0 && i < f.nx && j >= 0 && j < f.ny ? j * f.nx + i : -1;
}

/** The index of the cell that holds the point, or of the one nearest to it. */
export function nearestCell({ nx, ny, x0Mm, y0Mm, cellMm }: GridFrame, xMm: number, yMm: number): number {
  return cellAlong((yMm - y0Mm) / cellMm, ny) * nx + cellAlong((xMm - x0Mm) / cellMm, nx);
}

/** The value of the cell that holds the point, given in mm; 0 outside the grid. */
export function cellValueAt(grid: Grid, xMm: number, yMm: number): number {
  const cell = cellAt(grid, xMm, yMm);
  return cell < 0 ? 0 : grid.data[cell]!;
}

/** The middle of a cell, mm. */
export const middleOfCell = (
  { nx, x0Mm, y0Mm, cellMm }: GridFrame,
  cell: number,
): [xMm: number, yMm: number] => [
  x0Mm + ((cell % nx) + 0.5) * cellMm,
  y0Mm + (Math.floor(cell / nx) + 0.5) * cellMm,
];

/** Calls back for every cell between the ends of a straight stretch, a corner it cuts off included; not for their own. */
export function cellsAlong(
  { nx, ny, x0Mm, y0Mm, cellMm }: GridFrame,
  fromX: number,
  fromY: number,
  toX: number,
  toY: number,
  visit: (cell: number) => void,
): void {
  const x = (fromX - x0Mm) / cellMm; // in cells from the grid's edge
  const y = (fromY - y0Mm) / cellMm;
  const dx = (toX - fromX) / cellMm;
  const dy = (toY - fromY) / cellMm;
  const lastI = Math.floor(x + dx);
  const lastJ = Math.floor(y + dy);
  const stepI = dx > 0 ? 1 : -1;
  const stepJ = dy > 0 ? 1 : -1;
  let i = Math.floor(x);
  let j = Math.floor(y);
  // Which part of the way leads to the next edge on either axis, and how far edges lie apart.
  let partI = dx === 0 ? Infinity : (i + (dx > 0 ? 1 : 0) - x) / dx;
  let partJ = dy === 0 ? Infinity : (j + (dy > 0 ? 1 : 0) - y) / dy;
  for (let left = Math.abs(lastI - i) + Math.abs(lastJ - j) - 1; left > 0; left--) {
    if (partI < partJ) {
      i += stepI;
      partI += 1 / Math.abs(dx);
    } else {
      j += stepJ;
      partJ += 1 / Math.abs(dy);
    }
    if (i >= 0 && i < nx && j >= 0 && j < ny) visit(j * nx + i);
  }
}

/** Σ data × cell², added up in double precision: for a dose grid in J/mm², the energy on the grid in J. */
export function integrate(grid: Grid): number {
  const { data, cellMm } = grid;
  let sum = 0;
  for (let k = 0; k < data.length; k++) sum += data[k]!;
  return sum * cellMm * cellMm;
}
