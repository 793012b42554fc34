import { measureHatch } from '../findings/evidence/row-lines.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import { ON_LINE_MM } from '../program/runs.ts';

/**
 * A raster row as the head burns it: one way along one line, from its first burning move to its last; the
 * beam may be off in between. Two passes along the same line, there and back, are two rows.
 */
export interface Row {
  readonly first: number;
  readonly last: number;
  /** The way it is burned, a unit vector. */
  readonly ux: number;
  readonly uy: number;
}

export interface Point {
  readonly xMm: number;
  readonly yMm: number;
}

/** Where a move starts; the origin for the first. */
export const startOf = (moves: Moves, k: number): Point => endOf(moves, k - 1);
export const endOf = (moves: Moves, k: number): Point =>
  k < 0 ? { xMm: 0, yMm: 0 } : { xMm: moves.xMm[k]!, yMm: moves.yMm[k]! };

/** A beam-off feed move: one that could be a run-up or a run-out. */
export const isDarkFeed = (moves: Moves, k: number): boolean =>
  moves.rapid[k] === 0 && !burnsAtFeed(moves, k);

/** Parallel as far as three decimals can tell. */
const PARALLEL = 0.02;
const ENDS_OFF_MM = 0.003;
/** The sine between rows of one direction at most, however short. */
const ONE_WAY = 0.1;

/**
 * The rows of an operation of rows, in order, in whatever directions. What burns between two rows without being one (a step
 * to the next row that was burned as well) belongs to none.
 */
export function rowsOf(program: Program, operation: Operation): Row[] {
  const { moves } = program;
  const runs = straightRuns(moves, operation.firstMove, operation.lastMove);
  const lengthOf = ({ first, last }: Row) => distance(startOf(moves, first), endOf(moves, last));
  const longest = runs.reduce((most, row) => (lengthOf(row) > lengthOf(most) ? row : most));
  const isAlong = (row: Row, way: Way) =>
    offBy(row, way) <= Math.min(ONE_WAY, PARALLEL + ENDS_OFF_MM / lengthOf(row));
  const hatch = measureHatch(program, operation);
  const ways: readonly Way[] = hatch.length > 1 ? [longest, ...hatch] : [longest];
  return runs.filter((row, k) => {
    if (isAlong(row, longest)) return true;
    return ways.some((way) => isAlong(row, way)) && !isStep(runs, k, lengthOf);
  });
}

/** Whether a run leads without a gap from one row to the next beside it, both longer than itself. */
function isStep(runs: readonly Row[], k: number, lengthOf: (row: Row) => number): boolean {
  const [before, row, after] = [runs[k - 1], runs[k]!, runs[k + 1]];
  if (before?.last !== row.first - 1 || after?.first !== row.last + 1) return false;
  const shorter = Math.min(lengthOf(before), lengthOf(after));
  return areOneWay(before, after) && !areOneWay(before, row) && lengthOf(row) < shorter;
}

type Way = Pick<Row, 'ux' | 'uy'>;

const offBy = (a: Way, b: Way): number => Math.abs(a.ux * b.uy - a.uy * b.ux);

/** Whether two rows run along one direction, to or fro. */
export const areOneWay = (a: Way, b: Way): boolean => offBy(a, b) <= ONE_WAY;

/** Cuts burning into runs that go one way along one line. O(moves). */
function straightRuns(moves: Moves, firstMove: number, lastMove: number): Row[] {
  const { xMm, yMm } = moves;
  const runs: Row[] = [];
  let first = -1;
  let last = -1;
  let x0 = 0;
  let y0 = 0;
  let x1 = 0;
  let y1 = 0;
  const close = () => {
    const length = Math.sqrt((x1 - x0) ** 2 + (y1 - y0) ** 2);
    if (first >= 0 && length > 0) runs.push({ first, last, ux: (x1 - x0) / length, uy: (y1 - y0) / length });
    first = -1;
  };
  for (let k = firstMove; k <= lastMove; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    const fromX = k > 0 ? xMm[k - 1]! : 0;
    const fromY = k > 0 ? yMm[k - 1]! : 0;
    const toX = xMm[k]!;
    const toY = yMm[k]!;
    if (first >= 0) {
      const length = Math.sqrt((x1 - x0) ** 2 + (y1 - y0) ** 2);
      const ux = (x1 - x0) / length;
      const uy = (y1 - y0) / length;
      const off = Math.max(
        Math.abs(ux * (toY - y0) - uy * (toX - x0)),
        Math.abs(ux * (fromY - y0) - uy * (fromX - x0)),
      );
      const goesOn = ux * (fromX - x1) + uy * (fromY - y1) >= -ON_LINE_MM;
      const onward = ux * (toX - fromX) + uy * (toY - fromY) > 0;
      if (off > ON_LINE_MM || !goesOn || !onward) close();
    }
    if (first < 0) {
      first = k;
      x0 = fromX;
      y0 = fromY;
    }
    last = k;
    x1 = toX;
    y1 = toY;
  }
  close();
  return runs;
}

/** How far a beam-off feed move runs straight on in the direction (ux, uy), mm; 0 where it does not. */
export function straightOnMm(moves: Moves, k: number, ux: number, uy: number): number {
  const from = startOf(moves, k);
  const to = endOf(moves, k);
  const along = ux * (to.xMm - from.xMm) + uy * (to.yMm - from.yMm);
  const across = ux * (to.yMm - from.yMm) - uy * (to.xMm - from.xMm);
  return along > 0 && Math.abs(across) <= ENDS_OFF_MM + PARALLEL * along ? along : 0;
}

/** The overscan that every row of an operation has at both ends, mm; 0 when some row has none. */
export function overscanOf(moves: Moves, rows: readonly Row[]): number {
  let least = Infinity;
  for (const [k, row] of rows.entries()) {
    const runUp = row.first - 1;
    const runOut = row.last + 1;
    const hasRunUp = runUp >= 0 && isDarkFeed(moves, runUp);
    const hasRunOut = runOut < moves.count && isDarkFeed(moves, runOut);
    // The way up to the first row and away from the last may be anything.
    if (k > 0) least = Math.min(least, hasRunUp ? straightOnMm(moves, runUp, row.ux, row.uy) : 0);
    if (k < rows.length - 1) {
      least = Math.min(least, hasRunOut ? straightOnMm(moves, runOut, row.ux, row.uy) : 0);
    }
  }
  return Number.isFinite(least) ? least : 0;
}

const distance = (a: Point, b: Point): number => Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm);
