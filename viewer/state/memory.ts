/**
 * What this browser keeps from visit to visit, where it lets a page keep anything: from disk or in private it may
 * not. Never a job.
 */

type Key = 'pace' | 'machine';

const nameOf = (key: Key): string => `charcast.${key}`;

export function remember(key: Key, value: unknown): void {
  try {
    localStorage.setItem(nameOf(key), JSON.stringify(value));
  } catch {
    // Then it is forgotten.
  }
}

/** What was kept, unchecked; null: nothing was, or nothing that can be read. */
export function recall(key: Key): unknown {
  try {
    return JSON.parse(localStorage.getItem(nameOf(key)) ?? 'null');
  } catch {
    return null;
  }
}
