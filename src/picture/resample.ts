import { bisectLeft } from 'd3-array';
import type { GridFrame } from '../grid.ts';
import type { View } from './view.ts';

/**
 * How cells larger than two pixels are joined, neither below 0 nor above the greatest cell:
 * `straight`: by straight lines from middle to middle, so that every cell's middle keeps its value;
 * `soft`: by the quadratic B-spline, which has no creases but rounds off what is one cell wide.
 */
export type Join = 'straight' | 'soft';

/**
 * Brings a grid to the pixels of a view, y flipped once here. Cells smaller than two pixels are averaged by
 * area, where they are smaller than a pixel after they have been evened over a pixel's width: of rows about as far apart
 * as pixels the mean over a pixel alone leaves so much that they beat into bands that are not there. Larger ones are
 * joined. Both keep the total: Σ value × area is the same before and after, as far as
 * the view covers the grid. What the grid does not cover is 0.
 *
 * One pass over the rows in sight, in order; memory beside the result: one row.
 *
 * @param values one number per cell of `frame`, in the grid's order; none may be NaN.
 * @param by what stands for the values 0 … 1, in even steps from 0 for 0: what is averaged where these are not what adds up.
 * @param result zeros, as many as pixels, that become the result; left out: a new array.
 * @returns heightPx × widthPx, row 0 at the *top*.
 */
export function resample(
  values: Float32Array | Uint8Array,
  frame: GridFrame,
  view: View,
  join: Join = 'straight',
  by: Float32Array | null = null,
  result: Float32Array = new Float32Array(view.widthPx * view.heightPx),
): Float32Array {
  const { widthPx, heightPx, pxPerMm } = view;
  const pxPerCell = frame.cellMm * pxPerMm;
  const across = reaches(frame.nx, (view.leftMm - frame.x0Mm) / frame.cellMm, pxPerCell, widthPx, join);
  const up = reaches(frame.ny, (view.bottomMm - frame.y0Mm) / frame.cellMm, pxPerCell, heightPx, join);
  const line = new Float32Array(widthPx);
  const row = by && new Float32Array(frame.nx);
  let lowest = 0;
  for (let j = up.firstCell; j < up.endCell; j++) {
    const rowStart = j * frame.nx;
    const held = heldOf(values, rowStart, frame.nx);
    if (held.start === held.end) continue;
    const pixels = pixelsThatReach(across, held);
    if (row) {
      lookUp(values, rowStart, by, row);
      averageRow(row, 0, across, line, pixels);
    } else averageRow(values, rowStart, across, line, pixels);
    while (lowest < heightPx && up.first[lowest]! + up.taps <= j) lowest++;
    for (let rise = lowest; rise < heightPx && up.first[rise]! <= j; rise++) {
      const weight = up.weights[rise * up.taps + j - up.first[rise]!]!;
      if (weight !== 0) addRow(result, (heightPx - 1 - rise) * widthPx, line, weight, pixels);
    }
  }
  return result;
}

/**
 * For each pixel along one axis the cells it reaches: `taps` of them from `first`, with `weights`.
 * `first` never falls, and no reach leaves the grid.
 */
interface Reaches {
  readonly taps: number;
  readonly first: Int32Array;
  readonly weights: Float32Array;
  readonly firstCell: number;
  readonly endCell: number;
}

function reaches(cells: number, startCell: number, pxPerCell: number, pixels: number, join: Join): Reaches {
  const magnified = pxPerCell >= 2;
  const step = 1 / pxPerCell;
  // Half the width over which cells are evened.
  const half = pxPerCell < SHRUNK ? step / 2 : 0;
  const isWhole = half === 0 && isWholeUpTo(startCell, 1) && isWholeUpTo(step, pixels);
  const span = magnified ? 3 : Math.ceil(step + 2 * half - 1e-9) + (isWhole ? 0 : 1);
  const taps = Math.min(cells, span);
  const first = new Int32Array(pixels);
  const weights = new Float32Array(pixels * taps);
  let firstCell = cells;
  let endCell = 0;
  for (let p = 0; p < pixels; p++) {
    const from = snapped(startCell + p * step);
    const to = snapped(startCell + (p + 1) * step);
    const middle = (from + to) / 2;
    const wished = magnified ? Math.floor(middle) - 1 : Math.floor(snapped(from - half));
    first[p] = Math.min(Math.max(wished, 0), cells - taps);
    const covered = (Math.min(to, cells) - Math.max(from, 0)) * pxPerCell;
    if (covered <= 0) continue;
    const [low, high] = [Math.max(from, 0), Math.min(to, cells)];
    for (let cell = wished; cell < wished + span; cell++) {
      const inside = mirrored(cell, cells);
      if (!magnified && half === 0 && inside !== cell) continue;
      const share = magnified
        ? covered * joint(cell + 0.5 - middle, join)
        : half === 0
          ? Math.max(0, Math.min(cell + 1, to) - Math.max(cell, from)) * pxPerCell
          : pxPerCell * pxPerCell * (evened(cell + 1, low, high, half) - evened(cell, low, high, half));
      // Past the rim both go on with what lies before it.
      const at = magnified ? Math.min(Math.max(cell, 0), cells - 1) : inside;
      if (at >= first[p]! && at < first[p]! + taps) weights[p * taps + at - first[p]!]! += share;
    }
    firstCell = Math.min(firstCell, first[p]!);
    endCell = Math.max(endCell, first[p]! + taps);
  }
  return { taps, first, weights, firstCell, endCell };
}

/** Whether so many times a number of cells lie on cells' edges but for rounding. */
const isWholeUpTo = (cells: number, times: number): boolean =>
  times * Math.abs(cells - Math.round(cells)) < SNAP / 2;

/** Where pixels hold more than a cell, which they do for sure from here on. */
const SHRUNK = 0.9;

/** What a value at every place up to u gives an area from a to b, once it has been evened over ±half. */
function evened(u: number, a: number, b: number, half: number): number {
  const rise = (t: number): number => (t > 0 ? (t * t) / 2 : 0);
  return rise(u - a + half) - rise(u - a - half) - rise(u - b + half) + rise(u - b - half);
}

/** The cell that stands for one beyond the rim, as in a mirror there. */
function mirrored(cell: number, cells: number): number {
  const at = ((cell % (2 * cells)) + 2 * cells) % (2 * cells);
  return at < cells ? at : 2 * cells - 1 - at;
}

/** A pixel's edge that lies on a cell's edge but for rounding is put on it, lest it reach one cell too far. */
const SNAP = 1e-6;
const snapped = (cell: number): number =>
  Math.abs(cell - Math.round(cell)) < SNAP ? Math.round(cell) : cell;

/** How much of a cell's value counts at a distance of t cells from its middle; the shifts sum to 1. */
function joint(t: number, join: Join): number {
  const d = Math.abs(t);
  if (join === 'straight') return Math.max(0, 1 - d);
  if (d >= 1.5) return 0;
  return d < 0.5 ? 0.75 - d * d : (1.5 - d) ** 2 / 2;
}

/** Part of a row, the end not with it. */
interface Span {
  readonly start: number;
  readonly end: number;
}

/** From the first cell of a row that is not 0 to the last: most rows of most jobs are bare, and most others at their ends. */
function heldOf(values: Float32Array | Uint8Array, rowStart: number, length: number): Span {
  let start = 0;
  while (start < length && values[rowStart + start] === 0) start++;
  let end = length;
  while (end > start && values[rowStart + end - 1] === 0) end--;
  return { start, end };
}

/** The pixels whose cells hold some of these. */
const pixelsThatReach = ({ taps, first }: Reaches, { start, end }: Span): Span => ({
  start: bisectLeft(first, start - taps + 1),
  end: bisectLeft(first, end),
});

/** The nearest of a table's values, from 0 to 1 in even steps, for each of a row. */
function lookUp(
  values: Float32Array | Uint8Array,
  rowStart: number,
  table: Float32Array,
  row: Float32Array,
): void {
  const top = table.length - 1;
  for (let i = 0; i < row.length; i++) {
    const value = values[rowStart + i]!;
    row[i] = table[value < 1 ? (value * top + 0.5) | 0 : top]!;
  }
}

function averageRow(
  values: Float32Array | Uint8Array,
  rowStart: number,
  { taps, first, weights }: Reaches,
  line: Float32Array,
  { start, end }: Span,
): void {
  for (let p = start, w = start * taps; p < end; p++) {
    let k = rowStart + first[p]!;
    let sum = 0;
    for (const last = w + taps; w < last; w++) sum += weights[w]! * values[k++]!;
    line[p] = sum;
  }
}

function addRow(
  result: Float32Array,
  rowStart: number,
  line: Float32Array,
  weight: number,
  { start, end }: Span,
): void {
  for (let p = start, k = rowStart + start; p < end; p++, k++) result[k]! += weight * line[p]!;
}
