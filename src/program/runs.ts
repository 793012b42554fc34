import { burnsAtFeed } from './beam-on.ts';
import { longer } from './moves.ts';
import type { Moves } from './program.ts';

/**
 * The burning of a job as straight runs and chains, seen from above (Z does not matter here).
 *
 * A run is burning along one line: consecutive burning moves of one feed and power mode that lie on it,
 * whatever gaps the beam leaves between them. A raster row of a thousand grey pixels is one run.
 * A chain is burning without a gap: runs that follow each other with no beam-off move between. A run that
 * spans a gap belongs to the chain in which it began.
 */
export interface Runs {
  count: number;
  /** First and last burning move. */
  first: Uint32Array;
  last: Uint32Array;
  /** The run's two extreme points; the line lies through them. Both the same where a run has no length. */
  x0: Float64Array;
  y0: Float64Array;
  x1: Float64Array;
  y1: Float64Array;
  /** Length burned, mm (at most a little more than the extent where it goes back and forth). */
  burned: Float64Array;
  /** The chain it belongs to. */
  chain: Uint32Array;
  /** The stretch it belongs to: a stretch has one feed and one power mode. */
  stretch: Uint32Array;
}

const FIRST_CAPACITY = 64;

/**
 * How far a point may lie off a run's line, mm. Files carry three decimals, so a slanted row strays by up to
 * 0.7 µm at each point; rows of a raster are never this close.
 */
export const ON_LINE_MM = 0.004;

/** Finds the runs, in burn order. O(moves); no object per move. */
export function findRuns(moves: Moves): Runs {
  const runs = createRuns();
  const { xMm, yMm, feedMmPerS, powerMode } = moves;
  let run = -1;
  let chain = -1;
  let stretch = -1;
  let lastBurn = -2;
  for (let k = 0; k < moves.count; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    const fromX = k > 0 ? xMm[k - 1]! : 0;
    const fromY = k > 0 ? yMm[k - 1]! : 0;
    const toX = xMm[k]!;
    const toY = yMm[k]!;
    // Not Math.hypot, which is ten times slower; lengths here cannot overflow.
    const length = Math.sqrt((toX - fromX) ** 2 + (toY - fromY) ** 2);
    const sameStretch =
      run >= 0 && feedMmPerS[k] === feedMmPerS[lastBurn] && powerMode[k] === powerMode[lastBurn];
    const joined = sameStretch && lastBurn === k - 1;
    if (!sameStretch) stretch++;
    if (!joined) chain++;
    lastBurn = k;
    if (sameStretch && extend(runs, run, fromX, fromY, toX, toY)) {
      runs.last[run] = k;
      runs.burned[run]! += length;
      // A gap inside a row is no new chain: the row goes on.
      if (!joined) chain--;
      continue;
    }
    if (runs.count === runs.first.length) growRuns(runs);
    run = runs.count++;
    runs.first[run] = k;
    runs.last[run] = k;
    runs.x0[run] = fromX;
    runs.y0[run] = fromY;
    runs.x1[run] = toX;
    runs.y1[run] = toY;
    runs.burned[run] = length;
    runs.chain[run] = chain;
    runs.stretch[run] = stretch;
  }
  return runs;
}

/** Takes a move into a run if both its ends lie on the run's line; keeps the extreme points up to date. */
function extend(runs: Runs, r: number, fromX: number, fromY: number, toX: number, toY: number): boolean {
  const x0 = runs.x0[r]!;
  const y0 = runs.y0[r]!;
  const dx = runs.x1[r]! - x0;
  const dy = runs.y1[r]! - y0;
  const squared = dx * dx + dy * dy;
  if (squared === 0) return toX === fromX && toY === fromY && toX === x0 && toY === y0;
  const off = ON_LINE_MM * Math.sqrt(squared);
  if (Math.abs(dx * (toY - y0) - dy * (toX - x0)) > off) return false;
  if (Math.abs(dx * (fromY - y0) - dy * (fromX - x0)) > off) return false;
  stretchTo(runs, r, fromX, fromY);
  stretchTo(runs, r, toX, toY);
  return true;
}

function stretchTo(runs: Runs, r: number, x: number, y: number): void {
  const x0 = runs.x0[r]!;
  const y0 = runs.y0[r]!;
  const dx = runs.x1[r]! - x0;
  const dy = runs.y1[r]! - y0;
  const along = dx * (x - x0) + dy * (y - y0);
  if (along < 0) {
    runs.x0[r] = x;
    runs.y0[r] = y;
  } else if (along > dx * dx + dy * dy) {
    runs.x1[r] = x;
    runs.y1[r] = y;
  }
}

const createRuns = (): Runs => ({
  count: 0,
  first: new Uint32Array(FIRST_CAPACITY),
  last: new Uint32Array(FIRST_CAPACITY),
  x0: new Float64Array(FIRST_CAPACITY),
  y0: new Float64Array(FIRST_CAPACITY),
  x1: new Float64Array(FIRST_CAPACITY),
  y1: new Float64Array(FIRST_CAPACITY),
  burned: new Float64Array(FIRST_CAPACITY),
  chain: new Uint32Array(FIRST_CAPACITY),
  stretch: new Uint32Array(FIRST_CAPACITY),
});

function growRuns(runs: Runs): void {
  const capacity = runs.first.length * 2;
  runs.first = longer(runs.first, capacity);
  runs.last = longer(runs.last, capacity);
  runs.x0 = longer(runs.x0, capacity);
  runs.y0 = longer(runs.y0, capacity);
  runs.x1 = longer(runs.x1, capacity);
  runs.y1 = longer(runs.y1, capacity);
  runs.burned = longer(runs.burned, capacity);
  runs.chain = longer(runs.chain, capacity);
  runs.stretch = longer(runs.stretch, capacity);
}
