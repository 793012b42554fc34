import { computed, effect, signal } from '@preact/signals';
import type { Change } from '../../src/change/change.ts';
import { changeList } from './changes.ts';
import { isKept } from './left.ts';
import { changes } from './store.ts';

/** The changes as last saved. */
const saved = signal('');
const wordsOf = (list: readonly Change[]): string => JSON.stringify(list);

export const noteSaved = (list: readonly Change[]): void => {
  saved.value = wordsOf(list);
};

/** Settings were changed and not saved since. */
export const isUnsaved = computed(
  () => changes.value.size > 0 && wordsOf(changeList(changes.value)) !== saved.value,
);

const ask = (event: BeforeUnloadEvent): void => {
  event.preventDefault();
  event.returnValue = true; // what older browsers go by
};

// Nothing is lost where it will be there again. A page that always listened could not be gone back to without
// loading it anew.
effect(() => {
  if (isUnsaved.value && !isKept.value) window.addEventListener('beforeunload', ask);
  else window.removeEventListener('beforeunload', ask);
});
