/**
 * What this browser keeps from visit to visit, where it lets a page keep anything: from disk or in private it may
 * not. Never a job.
 */

type Key = 'pace' | 'machine' | 'shelf' | 'swatch' | 'notebook' | 'notebook unread' | 'pictures';

const nameOf = (key: Key): string => `charcast.${key}`;

/** @returns whether it will be there at the next visit; what need not be is simply forgotten. */
export function remember(key: Key, value: unknown): boolean {
  try {
    localStorage.setItem(nameOf(key), JSON.stringify(value));
    return true;
  } catch {
    return false;
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
