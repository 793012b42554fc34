/** States one after another, to go back and forth among. */
export interface History<T> {
  /** The newest last. */
  readonly past: readonly T[];
  readonly now: T;
  /** What was gone back from, the nearest first. */
  readonly future: readonly T[];
}

/** So many steps back are kept. */
const MOST_STEPS = 200;

export const begun = <T>(now: T): History<T> => ({ past: [], now, future: [] });

/** One step on; what had been gone back from is forgotten. */
export const stepped = <T>({ past, now }: History<T>, next: T): History<T> => ({
  past: [...past, now].slice(-MOST_STEPS),
  now: next,
  future: [],
});

/** The last step leads elsewhere: so a drag, of many states, is one step. */
export const bent = <T>(history: History<T>, next: T): History<T> => ({ ...history, now: next, future: [] });

/** Without the last step where it led back to where it began. */
export function withoutNothing<T>(history: History<T>, isSame: (a: T, b: T) => boolean): History<T> {
  const before = history.past.at(-1);
  return before !== undefined && isSame(before, history.now)
    ? { ...history, past: history.past.slice(0, -1) }
    : history;
}

/** One step back, as far as there is one. */
export function undone<T>(history: History<T>): History<T> {
  const { past, now, future } = history;
  return past.length === 0
    ? history
    : { past: past.slice(0, -1), now: past.at(-1)!, future: [now, ...future] };
}

/** One step forth again. */
export function redone<T>(history: History<T>): History<T> {
  const { past, now, future } = history;
  const [next, ...further] = future;
  return next === undefined ? history : { past: [...past, now], now: next, future: further };
}
