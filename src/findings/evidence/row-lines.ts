import { areLinesApart, type CrossingRows, type EvenRows } from '../../burn/ripple.ts';
import type { Spot } from '../../machine/profile.ts';
import { burnsAtFeed } from '../../program/beam-on.ts';
import { headZMm } from '../../program/operations.ts';
import type { Moves, Operation, Program } from '../../program/program.ts';
import { degToRad } from '../../units.ts';

/** How the rows of a raster that run in one direction lie. */
export interface RowLines extends EvenRows {
  readonly count: number;
  /** The share of rows burned against the direction most of them are burned in, 0 … 0.5. */
  readonly againstShare: number;
  readonly longestMm: number;
  readonly crossing?: readonly CrossingLines[];
}

/** Rows of a job as others meet them that they cross. */
export interface CrossingLines extends CrossingRows, Pick<RowLines, 'count' | 'longestMm'> {
  /** The number of their operation. */
  readonly operation: number;
}

/** Rows and moves along them looked at; a longer raster is like its beginning. */
const MOST_ROWS = 20_000;
const MOST_MOVES = 200_000;
/** Moves that tell in what directions rows run, spread over the operation. */
const MOST_ASKED = 20_000;
/** Points nearer than this across the rows lie on one row: files carry three decimals. */
const SAME_ROW_MM = 0.004;
/** A piece that climbs more than this part of its length is a step between rows. */
const STEP_SLOPE = 0.05;
/** How many rows further on a row's neighbour is looked for, past rows beside it. */
const NEIGHBOURS = 16;

/** Rows less than this apart by their directions run in one; of shorter ones the direction is not known so well. */
const ONE_WAY_DEG = 20;
/** Hatches have two directions, or three. */
const MOST_DIRECTIONS = 4;
/** Besides the rows that are most, those of another direction are at least this part of them, so many, */
const LEAST_PART = 0.1;
const FEWEST_ROWS = 3;
/** … and so many times as long as they lie apart: the burned steps from row to row are not. */
const LONG_ROW = 4;

/** Measures the rows of an operation, of several directions those that most of its length runs in; null when it has none. */
export const measureRows = (program: Program, operation: Operation): RowLines | null =>
  measureHatch(program, operation)[0] ?? null;

/**
 * Measures the rows of an operation, for each of the directions they run in: the one with most of the length first, none
 * when it has no rows. Spacing is the median distance from a row to the next one across that shares length with it, in
 * whatever order they are burned.
 */
export function measureHatch({ moves }: Program, operation: Operation): readonly RowLines[] {
  return rowDirections(moves, operation).flatMap((direction, k) => {
    const rows = measureAlong(moves, operation, direction);
    if (rows === null) return [];
    const { spacingMm, count, longestMm } = rows;
    const isRows = spacingMm !== null && count >= FEWEST_ROWS && longestMm >= LONG_ROW * spacingMm;
    return k === 0 || isRows ? [rows] : [];
  });
}

/**
 * Side by side are lines whose lengths as doubled angles (to and fro are one) add up to at least this part of themselves: as
 * they do where a fifth of them runs across the rest;
 */
const ONE_WAY_SUM = 0.6;
/** … and which lie no farther apart than this part of how long they are: slots, ticks. */
const BESIDE = 0.5;

/**
 * Whether an operation is lines side by side, too far apart to be seen as one area: its rows, or lines farther apart.
 * @param rows as they were measured; null for outlines.
 */
export function isOfLines(
  program: Program,
  operation: Operation,
  rows: RowLines | null,
  spot: Spot,
): boolean {
  const beside = operation.kind === 'rows' ? rows : linesBeside(program, operation);
  return beside !== null && areLinesApart(spot, beside, headZMm(program, operation));
}

/** Lines of an outline that lie side by side (slots, ticks), measured as rows are; null for all else. */
function linesBeside(program: Program, operation: Operation): RowLines | null {
  if (!runsOneWay(program.moves, operation)) return null;
  const lines = measureRows(program, operation);
  const isBeside = lines && lines.count >= FEWEST_ROWS && lines.spacingMm! <= BESIDE * lines.longestMm;
  return isBeside ? lines : null;
}

function runsOneWay(moves: Moves, { firstMove, lastMove }: Operation): boolean {
  if (lastMove - firstMove < FEWEST_ROWS - 1) return false;
  let [cos2, sin2, all] = [0, 0, 0];
  for (let i = firstMove; i <= lastMove; i++) {
    if (!burnsAtFeed(moves, i)) continue;
    const dx = moves.xMm[i]! - (i > 0 ? moves.xMm[i - 1]! : 0);
    const dy = moves.yMm[i]! - (i > 0 ? moves.yMm[i - 1]! : 0);
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length === 0) continue;
    cos2 += (dx * dx - dy * dy) / length;
    sin2 += (2 * dx * dy) / length;
    all += length;
  }
  return Math.sqrt(cos2 * cos2 + sin2 * sin2) >= ONE_WAY_SUM * all;
}

/** Directions further apart than this (about 11°) do not belong to one row. */
export const ALONG = 0.98;

/** The rows of a hatch that a move along (dx, dy) is one of; null for a step between rows. */
export function rowsAlong(hatch: readonly RowLines[], dx: number, dy: number): RowLines | null {
  const length = Math.sqrt(dx * dx + dy * dy);
  return hatch.find(({ ux, uy }) => Math.abs(ux * dx + uy * dy) > ALONG * length) ?? null;
}

type Direction = readonly [ux: number, uy: number];

function measureAlong(
  moves: Moves,
  { firstMove, lastMove }: Operation,
  [ux, uy]: Direction,
): RowLines | null {
  const { xMm, yMm } = moves;
  const across: number[] = [];
  const from: number[] = [];
  const to: number[] = [];
  let onward = 0;
  let sign = 0;
  let looked = 0;
  for (let i = firstMove; i <= lastMove && across.length <= MOST_ROWS && looked < MOST_MOVES; i++) {
    if (!burnsAtFeed(moves, i)) continue;
    const x0 = i > 0 ? xMm[i - 1]! : 0;
    const y0 = i > 0 ? yMm[i - 1]! : 0;
    const start = ux * x0 + uy * y0;
    const end = ux * xMm[i]! + uy * yMm[i]!;
    const c0 = ux * y0 - uy * x0;
    const c1 = ux * yMm[i]! - uy * xMm[i]!;
    if (Math.abs(c1 - c0) > SAME_ROW_MM + STEP_SLOPE * Math.abs(end - start) || start === end) continue;
    looked++;
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

/**
 * The directions that much of the burned length runs in, the one with most of it first. Length is counted by the degree;
 * about each crest of that the direction is the mean of doubled angles, as to and fro are one.
 */
function rowDirections(moves: Moves, { firstMove, lastMove }: Operation): Direction[] {
  const { xMm, yMm } = moves;
  const perDegree = new Float64Array(180);
  const cos2 = new Float64Array(180);
  const sin2 = new Float64Array(180);
  const stride = Math.max(1, Math.floor((lastMove - firstMove) / MOST_ASKED));
  for (let i = firstMove; i <= lastMove; i += stride) {
    if (!burnsAtFeed(moves, i)) continue;
    const dx = xMm[i]! - (i > 0 ? xMm[i - 1]! : 0);
    const dy = yMm[i]! - (i > 0 ? yMm[i - 1]! : 0);
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length === 0) continue;
    const degree = (Math.round(Math.atan2(dy, dx) / degToRad(1)) + 360) % 180;
    perDegree[degree]! += length;
    cos2[degree]! += (dx * dx - dy * dy) / length;
    sin2[degree]! += (2 * dx * dy) / length;
  }
  const directions: Direction[] = [];
  let most = 0;
  while (directions.length < MOST_DIRECTIONS) {
    const crest = crestOf(perDegree);
    const [part, cos, sin] = [perDegree, cos2, sin2].map((of) => sumAbout(of, crest, ONE_WAY_DEG));
    if (most === 0) most = part!;
    if (!(part! > LEAST_PART * most)) break;
    const angle = Math.atan2(sin!, cos!) / 2;
    directions.push([Math.cos(angle), Math.sin(angle)]);
    for (let away = -ONE_WAY_DEG; away <= ONE_WAY_DEG; away++) {
      for (const sums of [perDegree, cos2, sin2]) sums[(crest + away + 180) % 180] = 0;
    }
  }
  return directions;
}

/** The degree about which most lies, within one on either side. */
function crestOf(perDegree: Float64Array): number {
  const near = perDegree.map((_, degree) => sumAbout(perDegree, degree, 1) + perDegree[degree]!);
  return near.reduce((best, value, degree) => (value > near[best]! ? degree : best), 0);
}

function sumAbout(of: Float64Array, degree: number, reach: number): number {
  let sum = 0;
  for (let away = -reach; away <= reach; away++) sum += of[(degree + away + 180) % 180]!;
  return sum;
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
