import type { Motion } from '../../src/motion/motion.ts';
import { moveTimeS } from '../../src/motion/timeline.ts';

/** Where each line of a text begins; one more at the end, so that line n is from [n − 1] to [n]. */
export function lineStarts(text: string): Uint32Array {
  let count = 1;
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) count++;
  const starts = new Uint32Array(count + 1);
  for (let k = 1, at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) starts[k++] = at + 1;
  starts[count] = text.length;
  // What ends with a line's end has no further line.
  return count > 1 && starts[count - 1] === text.length ? starts.subarray(0, count) : starts;
}

/** A line's text without its end. */
export const lineText = (text: string, starts: Uint32Array, n: number): string =>
  text.slice(starts[n - 1], starts[n]).replace(/\r?\n$/, '');

/** The line that is being run at a moment, 1-based; 0 where none is. */
export function lineAt(motion: Motion, move: number, rest: number): number {
  const { moves } = motion.program;
  if (rest >= 0) return motion.rests.line[rest] ?? 0;
  return moves.line[Math.min(move, moves.count - 1)] ?? 0;
}

/**
 * The end of what a line does, s: of several times that it is run, the one nearest to now; of a line that does nothing
 * the next that does. null: none after it does anything.
 */
export function timeOfLine(motion: Motion, line: number, nowS: number): number | null {
  const { line: lines, count } = motion.program.moves;
  let wanted = Infinity;
  for (let k = 0; k < count; k++) if (lines[k]! >= line && lines[k]! < wanted) wanted = lines[k]!;
  if (wanted === Infinity) return null;
  let best: number | null = null;
  for (let k = 0; k < count; k++) {
    if (lines[k] !== wanted || (k + 1 < count && lines[k + 1] === wanted)) continue;
    const endS = motion.startS[k]! + moveTimeS(motion, k);
    if (best === null || Math.abs(endS - nowS) < Math.abs(best - nowS)) best = endS;
  }
  return best;
}

/** The end of the move before or after the one under way that comes from another line, s. */
export function nextLineS(motion: Motion, nowS: number, way: 1 | -1): number {
  const { line: lines, count } = motion.program.moves;
  const endS = (k: number) => motion.startS[k]! + moveTimeS(motion, k);
  let k = 0;
  let high = count;
  while (k < high) {
    const middle = (k + high) >> 1;
    if (endS(middle) < nowS - 1e-9) k = middle + 1;
    else high = middle;
  }
  // Move k is the one that ends now or next.
  const isAtEnd = k < count && Math.abs(endS(k) - nowS) < 1e-9;
  if (way === 1) {
    let to = isAtEnd ? k + 1 : k;
    while (to < count - 1 && lines[to + 1] === lines[to]) to++;
    return to < count ? endS(to) : motion.durationS;
  }
  let to = k - 1;
  while (to >= 0 && isAtEnd && lines[to] === lines[k]) to--;
  return to < 0 ? 0 : endS(to);
}
