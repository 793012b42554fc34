/**
 * Lists of any length. Spreading one into a call (`Math.min(...list)`, `push(...list)`) lays every item on the call
 * stack, which overflows near a hundred thousand of them; these go through it instead.
 */

/** The least of some numbers; Infinity where there are none. */
export function leastOf(numbers: Iterable<number>): number {
  let least = Infinity;
  for (const each of numbers) least = Math.min(least, each);
  return least;
}

/** The greatest of some numbers; −Infinity where there are none. */
export function greatestOf(numbers: Iterable<number>): number {
  let greatest = -Infinity;
  for (const each of numbers) greatest = Math.max(greatest, each);
  return greatest;
}

/** Adds all of `more` to the end of `list`. */
export function addAll<T>(list: T[], more: Iterable<T>): void {
  for (const each of more) list.push(each);
}
