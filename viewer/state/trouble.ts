import { signal } from '@preact/signals';
import { InputError } from '../../src/errors.ts';
import type { Feedless } from './feedless.ts';

/** Something that could not be done, said to the person at the bench. */
export interface Trouble {
  /** What was not done: `Not opened`. */
  readonly what: string;
  /** What was found and what was expected. */
  readonly sentence: string;
  /** What stays as it was all the same. */
  readonly stays?: string;
  /** The job lacks a feed and nothing else: the person may give it one. */
  readonly feedless?: Feedless;
  /** It is about the settings, and gone with the next change of them. */
  readonly ofSettings?: boolean;
}

export const trouble = signal<Trouble | null>(null);

/** A file that was refused; what lies on the bench stays. */
export const refuseFile = (
  sentence: string,
  staying: string | null,
  feedless: Feedless | null = null,
): void => {
  const what = 'Not opened';
  trouble.value = {
    what,
    sentence: staying ? ended(sentence) : sentence,
    ...(staying ? { stays: `${staying} stays on the bench as it is.` } : {}),
    ...(feedless ? { feedless } : {}),
  };
};

/** What was asked of the settings and refused; anything else that was thrown is thrown on. */
export function refuseSettings(what: string, error: unknown): void {
  if (!(error instanceof InputError)) throw error;
  trouble.value = { what, sentence: error.toString(), ofSettings: true };
}

/** A file that could not be made, whatever was thrown. */
export function refuseMaking(name: string, error: unknown): void {
  const sentence = error instanceof Error ? error.message : String(error);
  trouble.value = { what: `${name} was not made`, sentence: sentence || 'It did not say why.' };
}

/** Each line of it with its full stop. */
const ended = (sentence: string): string => sentence.replace(/(?<![.!?])$/gm, '.');
