import { checkSettings, type Settings } from '../../src/change/change.ts';
import type { JobText } from '../worker/messages.ts';
import type { Changes } from './changes.ts';

/**
 * Jobs that some operations were left out of, with the jobs before, and how they are kept from visit to visit: what is told
 * of them apart from the texts, which are long.
 */

export interface Shortened {
  readonly job: JobText;
  /** What was left out, in words. */
  readonly words: string;
  /** The numbers of the job before that stayed; null: two of them are one now, for they are alike. */
  readonly kept: readonly number[] | null;
  readonly before: {
    readonly job: JobText;
    readonly changes: Changes;
    readonly title: string;
    readonly about: string;
  };
}

/** One of them as it is kept; the text of the job before is so many letters of all texts. */
interface LeftStep {
  readonly words: string;
  readonly kept: readonly number[] | null;
  readonly name: string;
  readonly letters: number;
  readonly changes: readonly (readonly [number, Settings])[];
  readonly title: string;
  readonly about: string;
}

export interface LeftOut {
  /** The newest first: the one on the bench, then the one it was made from, and so on. */
  readonly steps: readonly LeftStep[];
  /** The texts of the jobs before, one after another. */
  readonly text: string;
}

/** More letters of jobs before than this are not kept: the browser has little room for a page. */
const MOST_LETTERS = 200e6;

/** How the job on the bench was made by leaving out, the newest first; empty: it was not. */
export function stepsTo(job: JobText, all: readonly Shortened[]): Shortened[] {
  const steps: Shortened[] = [];
  for (let at: JobText | undefined = job; at; at = steps.at(-1)!.before.job) {
    const step = all.find((each) => each.job === at);
    if (!step) break;
    steps.push(step);
  }
  return steps;
}

/** All of it to be kept, or a sentence that says why it is not. */
export function toKeep(steps: readonly Shortened[]): LeftOut | string {
  const letters = steps.reduce((sum, { before }) => sum + before.job.text.length, 0);
  if (letters > MOST_LETTERS)
    return `The whole job before has ${Math.round(letters / 1e6)} MB, and this page keeps at most ${MOST_LETTERS / 1e6}: what was left out cannot be put back at the next visit, but the job’s own file still has it.`;
  return {
    steps: steps.map(({ words, kept, before: { job, changes, title, about } }) => ({
      words,
      kept,
      name: job.name,
      letters: job.text.length,
      changes: [...changes],
      title,
      about,
    })),
    text: steps.map(({ before }) => before.job.text).join(''),
  };
}

/**
 * What was kept, with the job on the bench at its beginning; empty where it is not whole, or by another version.
 * @param steps unchecked, as `text` is.
 */
export function fromKept(job: JobText, steps: unknown, text: unknown): Shortened[] {
  if (!Array.isArray(steps) || typeof text !== 'string') return [];
  const found: Shortened[] = [];
  let from = 0;
  try {
    for (const { words, kept, name, letters, changes, title, about } of steps as LeftStep[]) {
      for (const [, settings] of changes) checkSettings(settings);
      if (kept !== null && !kept.every(Number.isInteger)) return [];
      const before = {
        job: { name: String(name), text: text.slice(from, from + letters) },
        changes: new Map(changes),
        title: String(title),
        about: String(about),
      };
      found.push({ job: found.at(-1)?.before.job ?? job, words: String(words), kept, before });
      from += letters;
    }
  } catch {
    return [];
  }
  return from === text.length ? found : [];
}
