import { burnsAtFeed } from '../../program/beam-on.ts';
import type { Operation, Program } from '../../program/program.ts';

/** A closed path burned without a gap. */
export interface Loop {
  /** The operation it belongs to. */
  readonly operation: number;
  readonly firstMove: number;
  readonly lastMove: number;
  /** First move of its first pass, where passes follow one another; else {@link firstMove}. */
  readonly begunMove: number;
  /** The same path in earlier passes, in burn order. */
  readonly earlier: readonly Loop[];
  readonly lengthMm: number;
  readonly minXMm: number;
  readonly minYMm: number;
  readonly maxXMm: number;
  readonly maxYMm: number;
}

/** Ends this close, mm, meet: twice the usual last decimal of a file would do, belts give more. */
const MEETS_MM = 0.05;
/** A loop this short encloses nothing. */
const SHORTEST_MM = 1;

/**
 * The loops of an operation, in burn order. A path burned in several passes gives a loop each time, of which only
 * the last is kept, with those before it: as a rule the part is not free before.
 */
export function findLoops(program: Program, operation: Operation, lengthMm: Float64Array): Loop[] {
  const loops = new Map<string, Loop>();
  const passes = new Map<string, Loop[]>();
  let last = '';
  for (const loop of allLoops(program, operation, lengthMm)) {
    const { minXMm, minYMm, maxXMm, maxYMm } = loop;
    const key = [minXMm, minYMm, maxXMm, maxYMm, loop.lengthMm].map((mm) => mm.toFixed(1)).join(' ');
    const begunMove = key === last ? loops.get(key)!.begunMove : loop.firstMove;
    const all = passes.get(key) ?? [];
    all.push(loop);
    passes.set(key, all);
    loops.delete(key);
    loops.set(key, { ...loop, begunMove });
    last = key;
  }
  return Array.from(loops, ([key, loop]) => ({ ...loop, earlier: passes.get(key)!.slice(0, -1) }));
}

/** Every loop of an operation, in burn order. A stroke closes where it is back at its own start. */
export function allLoops({ moves }: Program, operation: Operation, lengthMm: Float64Array): Loop[] {
  const { xMm, yMm } = moves;
  const loops: Loop[] = [];
  let start = -1;
  let startX = 0;
  let startY = 0;
  let length = 0;
  let minXMm = 0;
  let minYMm = 0;
  let maxXMm = 0;
  let maxYMm = 0;
  for (let i = operation.firstMove; i <= operation.lastMove; i++) {
    if (!burnsAtFeed(moves, i)) {
      start = -1;
      continue;
    }
    if (start < 0) {
      start = i;
      startX = i > 0 ? xMm[i - 1]! : 0;
      startY = i > 0 ? yMm[i - 1]! : 0;
      length = 0;
      minXMm = maxXMm = startX;
      minYMm = maxYMm = startY;
    }
    const x = xMm[i]!;
    const y = yMm[i]!;
    length += lengthMm[i]!;
    minXMm = Math.min(minXMm, x);
    minYMm = Math.min(minYMm, y);
    maxXMm = Math.max(maxXMm, x);
    maxYMm = Math.max(maxYMm, y);
    if (length < SHORTEST_MM || Math.abs(x - startX) > MEETS_MM || Math.abs(y - startY) > MEETS_MM) continue;
    loops.push({
      operation: operation.n,
      firstMove: start,
      begunMove: start,
      earlier: [],
      lastMove: i,
      lengthMm: length,
      minXMm,
      minYMm,
      maxXMm,
      maxYMm,
    });
    start = -1;
  }
  return loops;
}

/**
 * Whether a point lies inside a loop and at least `clearMm` from its path (even-odd rule: a ray to the right
 * crosses the path an odd number of times).
 */
export function isInside({ moves }: Program, loop: Loop, x: number, y: number, clearMm: number): boolean {
  if (x <= loop.minXMm || x >= loop.maxXMm || y <= loop.minYMm || y >= loop.maxYMm) return false;
  const { xMm, yMm } = moves;
  let inside = false;
  let x0 = xMm[loop.lastMove]!;
  let y0 = yMm[loop.lastMove]!;
  for (let i = loop.firstMove; i <= loop.lastMove; i++) {
    const x1 = xMm[i]!;
    const y1 = yMm[i]!;
    const dx = x1 - x0;
    const dy = y1 - y0;
    if (y0 > y !== y1 > y && x < x0 + (dx * (y - y0)) / dy) inside = !inside;
    const squared = dx * dx + dy * dy;
    const along = squared > 0 ? Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / squared)) : 0;
    const offX = x - x0 - along * dx;
    const offY = y - y0 - along * dy;
    if (offX * offX + offY * offY < clearMm * clearMm) return false;
    x0 = x1;
    y0 = y1;
  }
  return inside;
}
