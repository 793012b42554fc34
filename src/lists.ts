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

/**
 * The value that would stand at a place if all were sorted to rise, found without sorting them all; `values` come out in
 * another order, those before the place being no greater and those after it no less.
 * C. A. R. Hoare, "Algorithm 65: Find", *Communications of the ACM* 4, 321 (1961); value from memory.
 */
export function nthRising(values: Float64Array, place: number): number {
  let from = 0;
  let to = values.length - 1;
  while (from < to) {
    const pivot = values[place]!;
    let low = from;
    let high = to;
    while (low <= high) {
      while (values[low]! < pivot) low++;
      while (values[high]! > pivot) high--;
      if (low > high) break;
      const lower = values[high]!;
      values[high--] = values[low]!;
      values[low++] = lower;
    }
    if (high < place) from = low;
    if (low > place) to = high;
  }
  return values[place]!;
}
