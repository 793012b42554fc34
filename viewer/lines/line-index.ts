import { bisectRight } from 'd3-array';
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

/** A line is shown just before it ends: done to the eye, and still the one that is run. */
const BEFORE_END_S = 1e-4;
const NOW_S = 1e-6;

function endS(motion: Motion, k: number): number {
  const tookS = moveTimeS(motion, k);
  return motion.startS[k]! + tookS - Math.min(BEFORE_END_S, tookS / 2);
}

/**
 * When a line is done, s: of several times that it is run, the one nearest to now; of a line that does nothing the next
 * that does. null: none after it does anything.
 */
export function timeOfLine(motion: Motion, line: number, nowS: number): number | null {
  const { line: lines, count } = motion.program.moves;
  let wanted = Infinity;
  for (let k = 0; k < count; k++) if (lines[k]! >= line && lines[k]! < wanted) wanted = lines[k]!;
  if (wanted === Infinity) return null;
  let best: number | null = null;
  for (let k = 0; k < count; k++) {
    if (lines[k] !== wanted || (k + 1 < count && lines[k + 1] === wanted)) continue;
    const doneS = endS(motion, k);
    if (best === null || Math.abs(doneS - nowS) < Math.abs(best - nowS)) best = doneS;
  }
  return best;
}

/** When the next line is done, or the one before, s; past either end the job's own. */
export function nextLineS(motion: Motion, nowS: number, way: 1 | -1): number {
  const { line: lines, count } = motion.program.moves;
  const under = Math.max(0, Math.min(count - 1, bisectRight(motion.startS, nowS, 0, count) - 1));
  let from = under;
  while (from > 0 && lines[from - 1] === lines[under]) from--;
  if (way === -1) return from === 0 ? 0 : endS(motion, from - 1);
  let to = under;
  while (to < count - 1 && lines[to + 1] === lines[under]) to++;
  if (endS(motion, to) > nowS + NOW_S) return endS(motion, to);
  if (to === count - 1) return motion.durationS;
  const next = to + 1;
  to = next;
  while (to < count - 1 && lines[to + 1] === lines[next]) to++;
  return endS(motion, to);
}
