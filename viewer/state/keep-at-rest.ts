import { effect, type Signal, untracked } from '@preact/signals';

/** A corner moved by keys changes with every press; what is kept is as long as the photo it lies on. */
const REST_MS = 400;

/**
 * From here on what is read of signals is kept for the next visit, once it has rested for a moment, or when the page goes.
 * @param behind true as long as there is something that has not been kept.
 */
export function keepAtRest<T extends readonly unknown[]>(
  read: () => T,
  behind: Signal<boolean>,
  keep: (now: T) => Promise<void>,
): void {
  let now = untracked(read);
  let waiting: ReturnType<typeof setTimeout> | undefined;
  const keepNow = async (): Promise<void> => {
    clearTimeout(waiting);
    const these = now;
    await keep(these);
    if (these === now) behind.value = false;
  };
  effect(() => {
    const next = read();
    if (next.every((part, k) => part === now[k])) return;
    now = next;
    behind.value = true;
    clearTimeout(waiting);
    waiting = setTimeout(() => void keepNow(), REST_MS);
  });
  addEventListener('pagehide', () => behind.peek() && void keepNow());
}
