import { ON_LINE_MM, type Runs } from './runs.ts';

/**
 * Tells raster rows from outlines. A raster is at least three straight runs side by side: parallel, each a
 * small step to the same side of the last. What else a raster may do, and an outline may not, was settled on
 * these cases: rows in one direction or in turns; steps burned as well, straight or round; rows broken by
 * gaps; islands, where two neighbours share no length; any angle; and, against it, a thin rectangle cut twice
 * (its sides step back), the first edge of an outline beside the last row, combs and curves. Lines side by side, too far
 * apart for a fill under the machine's spot, are none either: the slots of a hinge, the ticks of a ruler.
 */

const FEWEST_ROWS = 3;
const WIDEST_STEP_MM = 1.5;
/** Steps wider than this pass for a raster only where rows are several steps long: an E is three strokes. */
const COARSE_STEP_MM = 0.5;
const COARSE_ROW_STEPS = 4;
/** A burned step may go round (half a circle is π/2 of the step) but not roam. */
const LONGEST_CONNECTOR_STEPS = 3;
const MOST_CONNECTOR_RUNS = 24;
const LEFTOVER_MM = LONGEST_CONNECTOR_STEPS * WIDEST_STEP_MM;
/** The least part of a chain that rows must make up, where the chain goes on beyond them. */
const MOST_OF_A_CHAIN = 0.8;
/** Steps are equal within this part, islands on the same scan lines are known by that. */
const EQUAL_STEPS = 0.1;

/** A growing block of rows. */
interface Scan {
  /** Direction of the first row, the measure of sides. */
  ux: number;
  uy: number;
  /** 1: steps go to the left of that direction; −1: to the right; 0: not yet known. */
  side: number;
  /** The smallest step so far, mm; 0 before the first. */
  spacing: number;
  longest: number;
  readonly rows: number[];
}

/** Tells whether runs side by side, at least so far apart, mm, are lines, each by itself. */
export type AreLines = (rows: readonly number[], spacingMm: number) => boolean;

/** Marks each run with 1 where it belongs to a raster (as a row or a step), else 0. O(runs). */
export function findRows(runs: Runs, areLines: AreLines = () => false): Uint8Array {
  const isRow = new Uint8Array(runs.count);
  const chains = chainsOf(runs);
  const scan: Scan = { ux: 0, uy: 0, side: 0, spacing: 0, longest: 0, rows: [] };
  let start = 0;
  while (start < runs.count) {
    const last = scanFrom(runs, start, scan);
    if (scan.rows.length < FEWEST_ROWS) {
      start++;
      continue;
    }
    const isRaster = scan.spacing <= COARSE_STEP_MM || scan.longest >= COARSE_ROW_STEPS * scan.spacing;
    if (isRaster && !areLines(scan.rows, scan.spacing)) {
      markBlock(runs, chains, scan.rows, isRow);
    }
    start = last + 1;
  }
  absorbStrays(runs, chains, isRow);
  return isRow;
}

/** Collects rows from run `start` on, as far as they follow each other. @returns the last row's run. */
function scanFrom(runs: Runs, start: number, scan: Scan): number {
  const length = extent(runs, start);
  scan.rows.length = 0;
  scan.rows.push(start);
  scan.side = 0;
  scan.spacing = 0;
  scan.longest = length;
  scan.ux = length > 0 ? (runs.x1[start]! - runs.x0[start]!) / length : 0;
  scan.uy = length > 0 ? (runs.y1[start]! - runs.y0[start]!) / length : 0;
  let last = start;
  let lastLength = length;
  let connector = 0;
  for (let r = start + 1; r < runs.count && runs.stretch[r] === runs.stretch[start]; r++) {
    const joined = runs.chain[r] === runs.chain[r - 1];
    // Burning that left the last row and ended elsewhere is no step to the next.
    if (!joined && r - 1 !== last) break;
    const step = stepTo(runs, scan, last, r, joined ? connector : -1);
    if (step !== 0) {
      scan.rows.push(r);
      scan.side = Math.sign(step);
      scan.spacing = scan.spacing === 0 ? Math.abs(step) : Math.min(scan.spacing, Math.abs(step));
      last = r;
      lastLength = extent(runs, r);
      scan.longest = Math.max(scan.longest, lastLength);
      connector = 0;
      continue;
    }
    if (!joined) break;
    connector += runs.burned[r]!;
    const tooFar = connector > LEFTOVER_MM || connector > COARSE_ROW_STEPS * lastLength;
    if (tooFar || r - last > MOST_CONNECTOR_RUNS) break;
  }
  return last;
}

/**
 * The signed step from row q to run r, or 0 where r is no next row.
 * @param connectorMm length burned between the two; −1: the beam was off between them
 */
function stepTo(runs: Runs, scan: Scan, q: number, r: number, connectorMm: number): number {
  const qx = runs.x1[q]! - runs.x0[q]!;
  const qy = runs.y1[q]! - runs.y0[q]!;
  const rx = runs.x1[r]! - runs.x0[r]!;
  const ry = runs.y1[r]! - runs.y0[r]!;
  const qLength = Math.sqrt(qx * qx + qy * qy);
  const rLength = Math.sqrt(rx * rx + ry * ry);
  const shorter = Math.min(qLength, rLength);
  if (shorter === 0) return 0;
  // Parallel, as far as three decimals can say: 1.1° and more for short rows.
  const angle = Math.abs(qx * ry - qy * rx) / (qLength * rLength);
  if (angle > Math.min(0.1, 0.02 + 0.003 / shorter)) return 0;

  // Measure along the longer of the two, whose direction is the surer.
  let ux = qLength >= rLength ? qx / qLength : rx / rLength;
  let uy = qLength >= rLength ? qy / qLength : ry / rLength;
  if (ux * scan.ux + uy * scan.uy < 0) {
    ux = -ux;
    uy = -uy;
  }
  const alongMid = ux * (midX(runs, r) - midX(runs, q)) + uy * (midY(runs, r) - midY(runs, q));
  const step = ux * (midY(runs, r) - midY(runs, q)) - uy * (midX(runs, r) - midX(runs, q));
  const size = Math.abs(step);
  if (size <= ON_LINE_MM || size > WIDEST_STEP_MM) return 0;
  if (scan.side !== 0 && Math.sign(step) !== scan.side) return 0;

  const overlap = Math.min(shorter, (qLength + rLength) / 2 - Math.abs(alongMid));
  if (connectorMm >= 0) {
    if (overlap < shorter / 2) return 0;
    if (connectorMm > LONGEST_CONNECTOR_STEPS * size + 0.05) return 0;
    return connectorMm > Math.max(qLength, rLength) ? 0 : step;
  }
  const onScanLine = scan.spacing === 0 || isMultiple(size, scan.spacing);
  return overlap > 0 || onScanLine ? step : 0;
}

function isMultiple(step: number, spacing: number): boolean {
  const times = Math.round(step / spacing);
  return times >= 1 && Math.abs(step - times * spacing) <= EQUAL_STEPS * spacing;
}

interface Chains {
  readonly first: Uint32Array;
  readonly last: Uint32Array;
  readonly burned: Float64Array;
  readonly count: number;
}

function chainsOf(runs: Runs): Chains {
  const count = runs.count === 0 ? 0 : runs.chain[runs.count - 1]! + 1;
  const first = new Uint32Array(count).fill(runs.count);
  const last = new Uint32Array(count);
  const burned = new Float64Array(count);
  for (let r = 0; r < runs.count; r++) {
    const chain = runs.chain[r]!;
    first[chain] = Math.min(first[chain]!, r);
    last[chain] = r;
    burned[chain]! += runs.burned[r]!;
  }
  return { first, last, burned, count };
}

/**
 * Marks a block of rows. Where its first or last chain goes on beyond the block (the first edge of an
 * outline, a comb in an outline), that chain's rows count only if they are most of it; a short leftover, such
 * as the step behind the last row, then belongs to the rows too.
 */
function markBlock(runs: Runs, chains: Chains, rows: readonly number[], isRow: Uint8Array): void {
  const from = holdsMost(runs, chains, rows, rows[0]!) ? 0 : firstOutside(runs, rows);
  if (rows.length - from < FEWEST_ROWS) return;
  const kept = from === 0 ? rows : rows.slice(from);
  const to = holdsMost(runs, chains, kept, kept.at(-1)!) ? kept.length : lastOutside(runs, kept) + 1;
  if (to < FEWEST_ROWS) return;
  const firstRun = kept[0]!;
  const lastRun = kept[to - 1]!;
  isRow.fill(1, firstRun, lastRun + 1);
  const begin = chains.first[runs.chain[firstRun]!]!;
  const end = chains.last[runs.chain[lastRun]!]!;
  if (burnedIn(runs, begin, firstRun - 1) <= LEFTOVER_MM) isRow.fill(1, begin, firstRun);
  if (burnedIn(runs, lastRun + 1, end) <= LEFTOVER_MM) isRow.fill(1, lastRun, end + 1);
}

/** Whether the block holds (nearly) all of the chain that run r, its first or last row, belongs to. */
function holdsMost(runs: Runs, chains: Chains, rows: readonly number[], r: number): boolean {
  const chain = runs.chain[r]!;
  const from = Math.max(rows[0]!, chains.first[chain]!);
  const to = Math.min(rows.at(-1)!, chains.last[chain]!);
  if (from === chains.first[chain] && to === chains.last[chain]) return true;
  return burnedIn(runs, from, to) >= MOST_OF_A_CHAIN * chains.burned[chain]!;
}

function firstOutside(runs: Runs, rows: readonly number[]): number {
  const other = rows.findIndex((r) => runs.chain[r] !== runs.chain[rows[0]!]);
  return other < 0 ? rows.length : other;
}

const lastOutside = (runs: Runs, rows: readonly number[]): number =>
  rows.findLastIndex((r) => runs.chain[r] !== runs.chain[rows.at(-1)!]);

function burnedIn(runs: Runs, from: number, to: number): number {
  let sum = 0;
  for (let r = from; r <= to; r++) sum += runs.burned[r]!;
  return sum;
}

/**
 * A lone row (the top of an image, the dot of an i) is no block of three. A chain next to a raster, with
 * nothing but runs in the direction of its rows and short steps between, belongs to that raster.
 */
function absorbStrays(runs: Runs, chains: Chains, isRow: Uint8Array): void {
  for (const onward of [true, false]) {
    let row = -1;
    for (let n = 0; n < chains.count; n++) {
      const chain = onward ? n : chains.count - 1 - n;
      const first = chains.first[chain]!;
      const last = chains.last[chain]!;
      if (row >= 0 && runs.stretch[row] !== runs.stretch[first]) row = -1;
      const near = onward ? last : first;
      if (isRow[near]) {
        row = longestRow(runs, first, last, isRow);
      } else if (row >= 0 && isRow[first] === 0 && isRow[last] === 0 && likeRow(runs, first, last, row)) {
        isRow.fill(1, first, last + 1);
      } else {
        row = -1;
      }
    }
  }
}

/** Whether a chain is a row along row `row`, or two of them with a step that makes up at most a sixth. */
function likeRow(runs: Runs, first: number, last: number, row: number): boolean {
  if (last - first > 2) return false;
  let along = 0;
  let across = 0;
  for (let r = first; r <= last; r++) {
    if (isParallel(runs, r, row)) along += runs.burned[r]!;
    else across += runs.burned[r]!;
  }
  return along > 0 && across <= 0.2 * along;
}

function isParallel(runs: Runs, q: number, r: number): boolean {
  const qx = runs.x1[q]! - runs.x0[q]!;
  const qy = runs.y1[q]! - runs.y0[q]!;
  const rx = runs.x1[r]! - runs.x0[r]!;
  const ry = runs.y1[r]! - runs.y0[r]!;
  const q2 = qx * qx + qy * qy;
  const r2 = rx * rx + ry * ry;
  if (q2 === 0 || r2 === 0) return false;
  const tolerance = Math.min(0.1, 0.02 + 0.003 / Math.sqrt(Math.min(q2, r2)));
  return (qx * ry - qy * rx) ** 2 <= tolerance * tolerance * q2 * r2;
}

function longestRow(runs: Runs, first: number, last: number, isRow: Uint8Array): number {
  let longest = -1;
  for (let r = first; r <= last; r++) {
    if (isRow[r] && (longest < 0 || extent(runs, r) > extent(runs, longest))) longest = r;
  }
  return longest;
}

const extent = (runs: Runs, r: number): number =>
  Math.sqrt((runs.x1[r]! - runs.x0[r]!) ** 2 + (runs.y1[r]! - runs.y0[r]!) ** 2);
const midX = (runs: Runs, r: number): number => (runs.x0[r]! + runs.x1[r]!) / 2;
const midY = (runs: Runs, r: number): number => (runs.y0[r]! + runs.y1[r]!) / 2;
