import { signal } from '@preact/signals';

/** Numbers typed that were not taken, by the fields they stand in: while there are any, nothing is saved. */
export const refusals = signal<ReadonlyMap<string, string>>(new Map());

export function setRefusal(field: string, sentence: string | null): void {
  if ((refusals.peek().get(field) ?? null) === sentence) return;
  const next = new Map(refusals.peek());
  if (sentence === null) next.delete(field);
  else next.set(field, sentence);
  refusals.value = next;
}
