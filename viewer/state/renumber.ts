import type { Settings } from '../../src/change/change.ts';
import { type Changes, WHOLE } from './changes.ts';

/** Operations that stay are numbered anew where others are left out, and changes of them go along. */

/** The numbers that stay, in order: the k-th of them is operation k + 1 from then on. */
export const keptNumbers = (count: number, out: ReadonlySet<number>): number[] =>
  Array.from({ length: count }, (_, k) => k + 1).filter((n) => !out.has(n));

/** The changes of what stays, by its new numbers. */
export function changesWithout(changes: Changes, kept: readonly number[]): Changes {
  const next = new Map<number, Settings>();
  const whole = changes.get(WHOLE);
  if (whole) next.set(WHOLE, whole);
  for (const [k, n] of kept.entries()) {
    const own = changes.get(n);
    if (own) next.set(k + 1, own);
  }
  return next;
}

/** The changes by the old numbers again; what was left out has those it had before. */
export function changesBack(now: Changes, kept: readonly number[], before: Changes): Changes {
  const next = new Map([...before].filter(([n]) => n !== WHOLE && !kept.includes(n)));
  for (const [n, settings] of now) next.set(n === WHOLE ? WHOLE : kept[n - 1]!, settings);
  return next;
}
