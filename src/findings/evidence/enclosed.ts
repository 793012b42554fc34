import type { Evidence } from './evidence.ts';
import { isInside, type Loop } from './loops.ts';

/** Places of each operation that are tried. */
const TRIES = 500;
/** Loops looked at, the largest first. */
const MOST_LOOPS = 100;

/** Those with the longest loops. */
export const largestOf = <T>(all: readonly T[], loopOf: (each: T) => Loop): T[] =>
  all.toSorted((a, b) => loopOf(b).lengthMm - loopOf(a).lengthMm).slice(0, MOST_LOOPS);

/** A loop that frees its part, and, where that is not the last, which of how many passes does. */
export interface Freeing extends Loop {
  readonly pass?: readonly [n: number, of: number];
}

/** What it takes to know what burns where, and when: no dose. */
export type Burns = Pick<Evidence, 'program' | 'machine' | 'energies' | 'survey'>;

/** What each operation burns inside the loops; an empty list for one that burns nothing. */
export const enclosedByAll = (evidence: Burns, loops: readonly Freeing[]): Enclosed[][] =>
  evidence.program.operations.map(({ n, firstMove, lastMove }) =>
    evidence.survey.burnedMm[n]! > 0 ? enclosedOf(evidence, loops, n, firstMove, lastMove) : [],
  );

/** An operation burns inside a loop: where first, or where first after the loop has been cut. */
export interface Enclosed {
  readonly operation: number;
  readonly loop: Freeing;
  readonly late: Place | null;
}

interface Place {
  readonly move: number;
  readonly xMm: number;
  readonly yMm: number;
}

/** Every loop inside which an operation's moves burn, and what first burns there too late. */
function enclosedOf(
  { program, energies, machine }: Burns,
  loops: readonly Freeing[],
  operation: number,
  first: number,
  last: number,
): Enclosed[] {
  const { xMm, yMm } = program.moves;
  const clearMm = 2 * Math.max(...machine.spot.width_mm);
  const stride = Math.max(1, Math.floor((last - first) / TRIES));
  const found = new Map<Freeing, Place | null>();
  for (let at = first; at <= last; at += stride) {
    // The next move that burns, within the stride.
    let i = at;
    while (i <= last && i < at + stride && energies.nominalMmPerS[i] === 0) i++;
    if (i > last || energies.nominalMmPerS[i] === 0) continue;
    const x = (xMm[i]! + (i > 0 ? xMm[i - 1]! : 0)) / 2;
    const y = (yMm[i]! + (i > 0 ? yMm[i - 1]! : 0)) / 2;
    for (const loop of loops) {
      const isLate = loop.lastMove < i;
      if (found.get(loop) || (found.has(loop) && !isLate)) continue;
      if (isInside(program, loop, x, y, clearMm))
        found.set(loop, isLate ? { move: i, xMm: x, yMm: y } : null);
    }
  }
  return Array.from(found, ([loop, late]) => ({ operation, loop, late }));
}
