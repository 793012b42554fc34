import { burnsAtFeed } from './beam-on.ts';
import type { Moves } from './program.ts';

/** Coordinates count as the same within a thousandth of a millimetre, the last decimal of most files. */
const PER_MM = 1000;
/** Shifts the rounding limits off the places where written coordinates lie (0.0005, 0.00025 …). */
const OFF_THE_LIMITS_MM = 0.000317;
const MOST_STARTS = 20_000;

/**
 * How many times the same path is burned between two moves (both inclusive). The burning is cut into strokes:
 * a stroke ends where the beam goes off, where the path is back at the stroke's own start or comes by a place
 * where the beam went on before or after, and where it turns round to retrace itself. Strokes are the same if they consist of the same pieces, whatever the direction and
 * the starting point. When every stroke occurs equally often, that is the number of passes; otherwise 1.
 * Heights are not compared: a pass may be burned lower than the last. O(n log n).
 */
export function countPasses(moves: Moves, first: number, last: number): number {
  const keys = Float64Array.from(findStrokes(moves, first, last).key).sort();
  let common = 0;
  for (let k = 0; k < keys.length; ) {
    let next = k + 1;
    while (next < keys.length && keys[next] === keys[k]) next++;
    if (common !== 0 && next - k !== common) return 1;
    common = next - k;
    k = next;
  }
  return Math.max(1, common);
}

/**
 * Which moves between two (both inclusive) only go over a stroke that was burned before, see {@link countPasses}: what is
 * burned in several passes is there once.
 */
export function repeatedMoves(moves: Moves, first: number, last: number): (move: number) => boolean {
  const strokes = findStrokes(moves, first, last);
  const seen = new Set<number>();
  const isRepeated = new Uint8Array(last - first + 1);
  strokes.key.forEach((key, k) => {
    if (seen.has(key)) isRepeated.fill(1, strokes.first[k]! - first, strokes.last[k]! - first + 1);
    seen.add(key);
  });
  return (move) => isRepeated[move - first] === 1;
}

/** The strokes of some burning, in order: first and last burning move, and a key that equal strokes share. */
interface Strokes {
  readonly first: number[];
  readonly last: number[];
  readonly key: number[];
}

/**
 * Cuts the burning between two moves (both inclusive) into strokes, see {@link countPasses}. A key is the sums
 * of two functions of each piece's hash, which do not depend on the order of the pieces. 53 bits: among a
 * million strokes two different ones agree with a chance of 6 in 100,000.
 */
export function findStrokes(moves: Moves, first: number, last: number): Strokes {
  const strokes: Strokes = { first: [], last: [], key: [] };
  const starts = strokeStarts(moves, first, last);
  let high = 0;
  let low = 0;
  let pieces = 0;
  let lastBurn = -2;
  let lastHash = 0;
  let startX = 0;
  let startY = 0;
  let beforeX = 0;
  let beforeY = 0;
  let strokeFirst = first;
  let strokeLast = first;
  const close = () => {
    if (pieces > 0) {
      strokes.first.push(strokeFirst);
      strokes.last.push(strokeLast);
      strokes.key.push((high >>> 0) * 2 ** 21 + (low >>> 11));
    }
    high = 0;
    low = 0;
    pieces = 0;
  };

  for (let k = first; k <= last; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    const fromX = k > 0 ? rounded(moves.xMm[k - 1]!) : rounded(0);
    const fromY = k > 0 ? rounded(moves.yMm[k - 1]!) : rounded(0);
    const toX = rounded(moves.xMm[k]!);
    const toY = rounded(moves.yMm[k]!);
    const joined = lastBurn === k - 1;
    lastBurn = k;
    if (!joined) close();
    if (fromX === toX && fromY === toY) continue;
    const from = joined && pieces > 0 ? lastHash : hash(fromX, fromY);
    if (pieces > 0) {
      const back = fromX === startX && fromY === startY;
      const retraces = toX === beforeX && toY === beforeY;
      if (back || retraces || starts?.has(from)) close();
    }
    if (pieces === 0) {
      strokeFirst = k;
      startX = fromX;
      startY = fromY;
    }
    strokeLast = k;
    lastHash = hash(toX, toY);
    const piece = hash(from ^ lastHash, from + lastHash);
    high = (high + piece) | 0;
    low = (low + Math.imul(piece, piece | 1)) | 0;
    pieces++;
    beforeX = fromX;
    beforeY = fromY;
  }
  close();
  return strokes;
}

/**
 * The places where the beam goes on, as hashes. A path with tabs, burned again without a break, is cut there in
 * every pass alike. Undefined where there are too few to matter, or so many that this is no outline with tabs.
 */
function strokeStarts(moves: Moves, first: number, last: number): Set<number> | undefined {
  const starts = new Set<number>();
  let lastBurn = -2;
  for (let k = first; k <= last; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    if (lastBurn !== k - 1) {
      starts.add(k > 0 ? hash(rounded(moves.xMm[k - 1]!), rounded(moves.yMm[k - 1]!)) : hash(0, 0));
      if (starts.size > MOST_STARTS) return undefined;
    }
    lastBurn = k;
  }
  return starts.size > 1 ? starts : undefined;
}

const rounded = (mm: number): number => Math.round((mm + OFF_THE_LIMITS_MM) * PER_MM);

/** Mixes two 32-bit integers into one (the finaliser of a multiply–xorshift hash). */
function hash(a: number, b: number): number {
  let h = Math.imul(a ^ 0x9e3779b9, 0x85ebca6b) ^ Math.imul(b ^ (b >>> 15), 0xc2b2ae35);
  h = Math.imul(h ^ (h >>> 16), 0x7feb352d);
  h = Math.imul(h ^ (h >>> 15), 0x846ca68b);
  return h ^ (h >>> 16);
}
