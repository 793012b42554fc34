import { type Spot, type Stock, stockBounds } from '../board.ts';
import { eachBurnPlace } from '../findings/evidence/burn-places.ts';
import { clearanceOn } from '../findings/evidence/on-board.ts';
import { type AtEdge, atEdge, NEAR_MM } from '../findings/near-edge.ts';
import type { Forecast } from '../forecast.ts';
import { type Bounds, type GridFrame, grownBounds, isEmptyBounds, middleOfCell } from '../grid.ts';
import { leastOf } from '../lists.ts';
import { grown } from '../nearby.ts';
import { depthInside } from '../polygon.ts';
import { numberWords } from '../words.ts';
import { flood } from './flood.ts';

/** What a job leaves of its board for the next piece. */
export interface LeftOver {
  /** Wood that nothing is burned on, that no burn goes round, and that is no marked place, mm². */
  readonly areaMm2: number;
  /** The largest rectangle along x and y of it; null: none that is worth keeping. */
  readonly rectangle: Bounds | null;
  /** How far the burn keeps from the board's edge, mm; less than 0 where it leaves it; null: nothing burns. */
  readonly clearanceMm: number | null;
  /** What that means for the burn; null: nothing burns. */
  readonly atEdge: AtEdge | null;
}

/** The board is looked at in cells of this, mm, or in so many of them. */
const CELL_MM = 0.5;
const MOST_CELLS = 120_000;
/** A rectangle with a side shorter than this is a strip, mm; less area than this is none, mm² (judgements, no source). */
const LEAST_SIDE_MM = 15;
const LEAST_MM2 = 100;

/** Report, summary and page ask for the same. */
const known = new WeakMap<Forecast, LeftOver | null>();

/**
 * What is left over: the wood outside of all that burns, {@link NEAR_MM} away from it. What is told in cells is told
 * small rather than large.
 * @returns null where the board is not known, or all that burns lies beside it.
 */
export function leftOver(forecast: Forecast): LeftOver | null {
  const told = known.get(forecast);
  if (told !== undefined) return told;
  const { stock, burnBounds } = forecast;
  const isBeside = stock && !isEmptyBounds(burnBounds) && !overlaps(burnBounds, stockBounds(stock));
  const left = stock && !isBeside ? leftOn(forecast, stock) : null;
  known.set(forecast, left);
  return left;
}

const overlaps = (a: Bounds, b: Bounds): boolean =>
  a.minXMm < b.maxXMm && b.minXMm < a.maxXMm && a.minYMm < b.maxYMm && b.minYMm < a.maxYMm;

function leftOn(forecast: Forecast, stock: Stock): LeftOver {
  const frame = framedWithin(stockBounds(stock));
  const taken = takenCells(forecast, frame);
  const { isFree, isWhole } = woodCells(stock, frame, taken);
  const area = isFree.reduce((sum, free) => sum + free, 0) * frame.cellMm ** 2;
  const clearance = clearanceOn(forecast, stock);
  return {
    areaMm2: area,
    rectangle: worthKeeping(
      grownToBurns(rectangleOf(largestRectangle(isWhole, frame.nx, frame.ny), frame), forecast, stock, frame),
    ),
    clearanceMm: clearance?.leastMm ?? null,
    atEdge: clearance && atEdge(clearance.leastMm, forecast.machine, stock),
  };
}

/** Whole cells only: none reaches beyond the board. */
function framedWithin({ minXMm, minYMm, maxXMm, maxYMm }: Bounds): GridFrame {
  const [width, height] = [maxXMm - minXMm, maxYMm - minYMm];
  const nx = Math.ceil(width / Math.max(CELL_MM, Math.sqrt((width * height) / MOST_CELLS)));
  const cellMm = width / nx;
  return { x0Mm: minXMm, y0Mm: minYMm, cellMm, nx, ny: Math.max(1, Math.floor(height / cellMm + 1e-9)) };
}

/** 1 where something is burned or near, or where burns go round: no way leads from there to beside the board. */
function takenCells(forecast: Forecast, frame: GridFrame): Uint8Array {
  const { x0Mm, y0Mm, cellMm } = frame;
  // A rim of cells around the board, so that all that lies outside of the burns hangs together.
  const [nx, ny] = [frame.nx + 2, frame.ny + 2];
  const marked = new Uint8Array(nx * ny);
  eachBurnPlace(forecast, (xMm, yMm) => {
    const [i, j] = [Math.floor((xMm - x0Mm) / cellMm) + 1, Math.floor((yMm - y0Mm) / cellMm) + 1];
    if (i >= 0 && i < nx && j >= 0 && j < ny) marked[j * nx + i] = 1;
  });
  const reachMm = reachOf(forecast);
  const near = grown(marked, { nx, ny }, Math.ceil(reachMm / cellMm));
  for (let i = 0; i < nx; i++) near[i] = near[(ny - 1) * nx + i] = 0;
  for (let j = 0; j < ny; j++) near[j * nx] = near[j * nx + nx - 1] = 0;
  const { label } = flood(near, nx, ny);
  return Uint8Array.from({ length: frame.nx * frame.ny }, (_, k) => {
    const at = (Math.floor(k / frame.nx) + 1) * nx + (k % frame.nx) + 1;
    return label[at] === label[0] ? 0 : 1;
  });
}

/** How far what burns reaches, and the distance that is kept from it, mm. */
const reachOf = ({ machine }: Forecast): number => NEAR_MM + Math.max(...machine.spot.width_mm) / 2;

/** Per cell: free wood by its middle, and free wood to its corners. */
function woodCells(stock: Stock, frame: GridFrame, taken: Uint8Array) {
  const half = (frame.cellMm * Math.SQRT2) / 2;
  const spots: readonly Spot[] = stock.avoid ?? [];
  const isFree = new Uint8Array(taken.length);
  const isWhole = new Uint8Array(taken.length);
  for (let k = 0; k < taken.length; k++) {
    if (taken[k] === 1) continue;
    const [x, y] = middleOfCell(frame, k);
    const depth = stock.outline ? depthInside(stock.outline, x, y) : half;
    const off = spots.reduce(
      (least, { xMm, yMm, radiusMm }) => Math.min(least, Math.hypot(x - xMm, y - yMm) - radiusMm),
      Infinity,
    );
    if (depth >= 0 && off >= 0) isFree[k] = 1;
    if (depth >= half && off >= half) isWhole[k] = 1;
  }
  return { isFree, isWhole };
}

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

function rectangleOf(cells: CellRectangle | null, { x0Mm, y0Mm, cellMm }: GridFrame): Bounds | null {
  if (!cells) return null;
  return {
    minXMm: x0Mm + cells.i * cellMm,
    minYMm: y0Mm + cells.j * cellMm,
    maxXMm: x0Mm + (cells.i + cells.columns) * cellMm,
    maxYMm: y0Mm + (cells.j + cells.rows) * cellMm,
  };
}

const worthKeeping = (rectangle: Bounds | null): Bounds | null =>
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
function grownToBurns(
  cells: Bounds | null,
  forecast: Forecast,
  stock: Stock,
  { cellMm }: GridFrame,
): Bounds | null {
  if (!cells || stock.outline) return cells;
  const board = stockBounds(stock);
  const mostMm = MORE_CELLS * cellMm;
  const reachMm = reachOf(forecast);
  const around = grownBounds(cells, mostMm);
  const squares: Bounds[] = [];
  const add = (xMm: number, yMm: number, half: number): void => {
    const square = { minXMm: xMm - half, minYMm: yMm - half, maxXMm: xMm + half, maxYMm: yMm + half };
    if (overlaps(square, around)) squares.push(square);
  };
  eachBurnPlace(forecast, (xMm, yMm) => add(xMm, yMm, reachMm));
  for (const { xMm, yMm, radiusMm } of stock.avoid ?? []) add(xMm, yMm, radiusMm);
  let { minXMm, minYMm, maxXMm, maxYMm } = cells;
  const besideX = squares.filter((each) => each.minYMm < maxYMm && each.maxYMm > minYMm);
  const middleX = (minXMm + maxXMm) / 2;
  const [right, left] = [
    besideX.filter((each) => each.minXMm > middleX),
    besideX.filter((each) => each.maxXMm < middleX),
  ];
  const farther = (at: number, limits: readonly number[]) => Math.max(at, leastOf([...limits, at + mostMm]));
  maxXMm = farther(maxXMm, [board.maxXMm, ...right.map((each) => each.minXMm)]);
  minXMm = -farther(-minXMm, [-board.minXMm, ...left.map((each) => -each.maxXMm)]);
  const besideY = squares.filter((each) => each.minXMm < maxXMm && each.maxXMm > minXMm);
  const middleY = (minYMm + maxYMm) / 2;
  const [above, below] = [
    besideY.filter((each) => each.minYMm > middleY),
    besideY.filter((each) => each.maxYMm < middleY),
  ];
  maxYMm = farther(maxYMm, [board.maxYMm, ...above.map((each) => each.minYMm)]);
  minYMm = -farther(-minYMm, [-board.minYMm, ...below.map((each) => -each.maxYMm)]);
  return { minXMm, minYMm, maxXMm, maxYMm };
}

/** How far the burn keeps from the edge. */
function edgeWords({ clearanceMm, atEdge: at }: LeftOver): string {
  if (clearanceMm === null) return '';
  const mm = `${numberWords(Math.abs(clearanceMm), 2)} mm`;
  if (at === 'beyond') return `The burn reaches ${mm} beyond the board’s edge. `;
  return at === 'on' ? 'The burn lies on the board’s edge. ' : `The burn keeps ${mm} from the board’s edge. `;
}

/** What is said of it, in one sentence. */
export function leftOverSentence(left: LeftOver): string {
  const { areaMm2, rectangle } = left;
  const keeps = edgeWords(left);
  if (areaMm2 < LEAST_MM2) return `${keeps}Nothing of the board is left over for another piece.`;
  const area = `About ${numberWords(areaMm2 / 100, 2)} cm² of the board are left over`;
  if (!rectangle) return `${keeps}${area}, in no rectangle worth keeping.`;
  const { minXMm, minYMm, maxXMm, maxYMm } = rectangle;
  const [width, height] = [maxXMm - minXMm, maxYMm - minYMm].map((mm) => Math.floor(10 * mm + 1e-6) / 10);
  return `${keeps}${area}; the largest rectangle of that is ${width} × ${height} mm, from x ${numberWords(minXMm, 4)}, y ${numberWords(minYMm, 4)} mm, at least ${numberWords(NEAR_MM)} mm away from all that burns.`;
}
