import { InputError } from '../errors.ts';
import { allLoops, isInside, type Loop } from '../findings/evidence/loops.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import { endOf, startOf } from './burned-rows.ts';

/** First and last burning move of what is burned together. */
export interface Span {
  readonly first: number;
  readonly last: number;
}

/** Strokes are compared each with each. */
const MOST_STROKES = 5000;
/** Moves of a stroke that are tried. */
const TRIES = 8;
/** What touches an outline does not lie inside it. */
const CLEAR_MM = 0.05;

/** The burning of an operation, cut where the beam goes off. */
export function chunksOf(moves: Moves, { n, firstMove, lastMove, lines }: Operation): Span[] {
  const chunks: Span[] = [];
  let first = -1;
  for (let k = firstMove; k <= lastMove; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    if (first < 0) first = k;
    if (k < lastMove && burnsAtFeed(moves, k + 1)) continue;
    chunks.push({ first, last: k });
    first = -1;
  }
  if (chunks.length <= MOST_STROKES) return chunks;
  throw new InputError(
    `found ${chunks.length} strokes in operation ${n}; expected at most ${MOST_STROKES}, so that each can be put before what encloses it`,
    { line: lines[0] },
  );
}

/**
 * The strokes in the order of the job, but each after all that lie inside one of its closed outlines.
 * @returns places in `chunks`.
 */
export function insideFirst(program: Program, operation: Operation, chunks: readonly Span[]): number[] {
  const { moves } = program;
  const loops = loopsOf(program, operation, chunks);
  const tries = chunks.map(({ first, last }) => {
    const stride = Math.max(1, Math.ceil((last - first + 1) / TRIES));
    const points: (readonly [number, number])[] = [];
    for (let k = first; k <= last; k += stride) {
      const [a, b] = [startOf(moves, k), endOf(moves, k)];
      points.push([(a.xMm + b.xMm) / 2, (a.yMm + b.yMm) / 2]);
    }
    return points;
  });
  const order: number[] = [];
  const met = new Set<number>();
  const put = (k: number): void => {
    if (met.has(k)) return;
    met.add(k);
    for (const loop of loops[k]!) {
      for (const [other, points] of tries.entries()) {
        if (met.has(other)) continue;
        if (points.some(([x, y]) => isInside(program, loop, x, y, CLEAR_MM))) put(other);
      }
    }
    order.push(k);
  };
  for (const k of chunks.keys()) put(k);
  return order;
}

/** The closed outlines of each stroke. */
function loopsOf(program: Program, operation: Operation, chunks: readonly Span[]): Loop[][] {
  const { moves } = program;
  const lengthMm = new Float64Array(moves.count);
  for (let k = operation.firstMove; k <= operation.lastMove; k++) {
    const [a, b] = [startOf(moves, k), endOf(moves, k)];
    lengthMm[k] = Math.hypot(b.xMm - a.xMm, b.yMm - a.yMm);
  }
  const all = allLoops(program, operation, lengthMm);
  let next = 0;
  return chunks.map(({ last }) => {
    const own: Loop[] = [];
    while (next < all.length && all[next]!.lastMove <= last) own.push(all[next++]!);
    return own;
  });
}
