import { batch, computed, effect, signal } from '@preact/signals';
import type { Setup } from '../worker/messages.ts';
import type { Changes } from './changes.ts';
import { begun, bent, type History, redone, stepped, undone, withoutNothing } from './history.ts';
import { type BenchState, isSameBench, stepWords } from './step-words.ts';
import { changes, setup } from './store.ts';

/** Undo and redo: every change of settings, machine, wood and board is a step; another job begins anew. */

const history = signal<History<BenchState> | null>(null);
let of: Setup['job'] | null = null;
/** A number is being dragged: all of that is one step, which is made with its first change. */
let stretch: 'none' | 'open' | 'begun' = 'none';

effect(() => {
  const at = setup.value;
  const by = changes.value;
  if (!at) return;
  const now = stateOf(at, by);
  const before = history.peek();
  if (!before || of !== at.job) {
    of = at.job;
    history.value = begun(now);
    return;
  }
  if (isSameBench(before.now, now)) return;
  history.value = stretch === 'begun' ? bent(before, now) : stepped(before, now);
  if (stretch === 'open') stretch = 'begun';
});

function stateOf({ machine, material, stock }: Setup, by: Changes): BenchState {
  return { machine, material, stock, changes: by };
}

/** From here on, until {@link endStretch}, all changes are one step. */
export function beginStretch(): void {
  if (stretch === 'none') stretch = 'open';
}

export function endStretch(): void {
  const made = history.peek();
  if (stretch === 'begun' && made) history.value = withoutNothing(made, isSameBench);
  stretch = 'none';
}

/** What going back and going forth would change, in words; null: there is nothing to go to. */
export const undoWords = computed(() => {
  const before = history.value?.past.at(-1);
  return before ? stepWords(before, history.value!.now) : null;
});
export const redoWords = computed(() => {
  const after = history.value?.future[0];
  return after ? stepWords(history.value!.now, after) : null;
});

export const undo = (): void => go(undone);
export const redo = (): void => go(redone);

function go(way: (history: History<BenchState>) => History<BenchState>): void {
  const before = history.peek();
  const at = setup.peek();
  if (!before || !at) return;
  endStretch();
  const after = way(before);
  if (after === before) return;
  const { changes: by, ...bench } = after.now;
  batch(() => {
    history.value = after;
    setup.value = { ...at, ...bench };
    changes.value = by;
  });
}
