import { batch, computed, effect, signal } from '@preact/signals';
import type { Setup } from '../worker/messages.ts';
import { second, secondChanges } from './beside.ts';
import { begun, bent, type History, redone, stepped, undone, withoutNothing } from './history.ts';
import { type BenchState, isSameBench, stepWords } from './step-words.ts';
import { changes, setup } from './store.ts';

/**
 * Undo and redo: every change of settings, machine, wood and board is a step, and so is every change of a second job;
 * another job begins anew.
 */

const history = signal<History<BenchState> | null>(null);
let of: Setup['job'] | null = null;
/** A number is being dragged: all of that is one step, which is made with its first change. */
let stretch: 'none' | 'open' | 'begun' = 'none';

effect(() => {
  const at = setup.value;
  const beside = { changes: changes.value, second: second.value, secondChanges: secondChanges.value };
  if (!at) return;
  const { machine, material, stock } = at;
  const now: BenchState = { machine, material, stock, ...beside };
  const before = history.peek();
  // A second job that comes before anything was changed belongs to what one began with.
  const isBeginning = before?.past.length === 0 && before.now.second === null && now.second !== null;
  if (!before || of !== at.job || isBeginning) {
    of = at.job;
    history.value = begun(now);
    return;
  }
  if (isSameBench(before.now, now)) return;
  history.value = stretch === 'begun' ? bent(before, now) : stepped(before, now);
  if (stretch === 'open') stretch = 'begun';
});

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
  const { machine, material, stock } = after.now;
  batch(() => {
    history.value = after;
    setup.value = { ...at, machine, material, stock };
    changes.value = after.now.changes;
    second.value = after.now.second;
    secondChanges.value = after.now.secondChanges;
  });
}
