import { signal } from '@preact/signals';

/** Something that could not be done, said to the person at the bench. */
export interface Trouble {
  /** What was not done: `Not opened`. */
  readonly what: string;
  /** What was found and what was expected. */
  readonly sentence: string;
  /** What stays as it was all the same. */
  readonly stays?: string;
  /** It is about the settings, and gone with the next change of them. */
  readonly ofSettings?: boolean;
}

export const trouble = signal<Trouble | null>(null);

/** A file that was refused; what lies on the bench stays. */
export const refuseFile = (sentence: string, staying: string | null): void => {
  const what = 'Not opened';
  trouble.value = staying
    ? { what, sentence: ended(sentence), stays: `${staying} stays on the bench as it is.` }
    : { what, sentence };
};

const ended = (sentence: string): string => (/[.!?]$/.test(sentence) ? sentence : `${sentence}.`);
