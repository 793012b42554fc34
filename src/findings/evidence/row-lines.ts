import { burnsAtFeed } from '../../program/beam-on.ts';
import type { Moves, Operation, Program } from '../../program/program.ts';

/** How the rows of a raster lie. */
export interface RowLines {
  /** Direction of the rows, a unit vector. */
  readonly ux: number;
  readonly uy: number;
  /** Typical distance between neighbours, mm; null when there are no neighbours. */
  readonly spacingMm: number | null;
  readonly count: number;
  /** The share of rows burned against the direction most of them are burned in, 0 … 0.5. */
  readonly againstShare: number;
  readonly longestMm: number;
}

/** Rows and moves looked at; a longer raster is like its beginning. */
const MOST_ROWS = 20_000;
const MOST_MOVES = 200_000;
/** Moves that tell the rows' direction, spread over the operation. */
const MOST_DIRECTIONS = 20_000;
/** Points nearer than this across the rows lie on one row: files carry three decimals. */
const SAME_ROW_MM = 0.004;
/** A piece that climbs more than this part of its length is a step between rows. */
const STEP_SLOPE = 0.05;
/** How many rows further on a row's neighbour is looked for, past rows beside it. */
const NEIGHBOURS = 16;

/**
 * Measures the rows of an operation, or null when it has none. Spacing is the median distance from a row to
 * the next one across that shares length with it, in whatever order they are burned.
 */
export function measureRows({ moves }: Program, operation: Operation): RowLines | null {
  const direction = rowDirection(moves, operation);
  if (!direction) return null;
  const [ux, uy] = direction;
  const { xMm, yMm } = moves;
  const across: number[] = [];
  const from: number[] = [];
  const to: number[] = [];
  let onward = 0;
  let sign = 0;
  const last = Math.min(operation.lastMove, operation.firstMove + MOST_MOVES);
  for (let i = operation.firstMove; i <= last && across.length <= MOST_ROWS; i++) {
    if (!burnsAtFeed(moves, i)) continue;
    const x0 = i > 0 ? xMm[i - 1]! : 0;
    const y0 = i > 0 ? yMm[i - 1]! : 0;
    const start = ux * x0 + uy * y0;
    const end = ux * xMm[i]! + uy * yMm[i]!;
    const c0 = ux * y0 - uy * x0;
    const c1 = ux * yMm[i]! - uy * xMm[i]!;
    if (Math.abs(c1 - c0) > SAME_ROW_MM + STEP_SLOPE * Math.abs(end - start) || start === end) continue;
    const k = across.length - 1;
    const direction = Math.sign(end - start);
    if (k >= 0 && direction === sign && Math.abs((c0 + c1) / 2 - across[k]!) <= SAME_ROW_MM) {
      if (start < from[k]!) from[k] = start;
      if (end < from[k]!) from[k] = end;
      if (start > to[k]!) to[k] = start;
      if (end > to[k]!) to[k] = end;
      continue;
    }
    sign = direction;
    if (direction > 0) onward++;
    across.push((c0 + c1) / 2);
    from.push(Math.min(start, end));
    to.push(Math.max(start, end));
  }
  if (across.length === 0) return null;
  let longestMm = 0;
  for (let k = 0; k < across.length; k++) longestMm = Math.max(longestMm, to[k]! - from[k]!);
  const onwardShare = onward / across.length;
  return {
    ux,
    uy,
    spacingMm: medianGap(across, from, to),
    count: across.length,
    againstShare: Math.min(onwardShare, 1 - onwardShare),
    longestMm,
  };
}

/** The direction most of the burned length runs in: the mean of doubled angles, as to and fro are one. */
function rowDirection(
  moves: Moves,
  { firstMove, lastMove }: Operation,
): readonly [ux: number, uy: number] | null {
  const { xMm, yMm } = moves;
  let cos2 = 0;
  let sin2 = 0;
  const stride = Math.max(1, Math.floor((lastMove - firstMove) / MOST_DIRECTIONS));
  for (let i = firstMove; i <= lastMove; i += stride) {
    if (!burnsAtFeed(moves, i)) continue;
    const dx = xMm[i]! - (i > 0 ? xMm[i - 1]! : 0);
    const dy = yMm[i]! - (i > 0 ? yMm[i - 1]! : 0);
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length === 0) continue;
    cos2 += (dx * dx - dy * dy) / length;
    sin2 += (2 * dx * dy) / length;
  }
  if (cos2 === 0 && sin2 === 0) return null;
  const angle = Math.atan2(sin2, cos2) / 2;
  return [Math.cos(angle), Math.sin(angle)];
}

function medianGap(across: readonly number[], from: readonly number[], to: readonly number[]): number | null {
  const order = Uint32Array.from(across.keys()).sort((a, b) => across[a]! - across[b]!);
  const gaps: number[] = [];
  for (let k = 0; k < order.length; k++) {
    const row = order[k]!;
    for (let ahead = k + 1; ahead < Math.min(order.length, k + 1 + NEIGHBOURS); ahead++) {
      const other = order[ahead]!;
      const gap = across[other]! - across[row]!;
      const shares = Math.min(to[row]!, to[other]!) > Math.max(from[row]!, from[other]!);
      if (gap <= SAME_ROW_MM || !shares) continue;
      gaps.push(gap);
      break;
    }
  }
  return gaps.length > 0 ? gaps.sort((a, b) => a - b)[gaps.length >> 1]! : null;
}
