import { computed, signal } from '@preact/signals';
import { TONE_ENDS } from '../../src/dosing/wish.ts';
import { nameWith } from '../words/file-name.ts';
import { runErrand } from '../worker/errand.ts';
import type { JobText, Setup } from '../worker/messages.ts';
import type { Changes } from './changes.ts';
import { about, changes, load, setup, title, wished } from './store.ts';
import { refuseSettings, trouble } from './trouble.ts';

/** Jobs whose S was written anew along the way, and the way back to what lay on the bench before. */

/** What S can be written anew for. */
export type Dosing = 'even' | 'tones';

interface DosedJob {
  readonly job: JobText;
  /** What was done, and how well. */
  readonly sentences: readonly string[];
  readonly before: Before;
}

/** The bench as it was. */
interface Before {
  readonly setup: Setup;
  readonly changes: Changes;
  readonly title: string;
  readonly about: string;
}

const made = signal<DosedJob | null>(null);
/** What is being worked out; null: nothing is. */
export const dosing = signal<Dosing | null>(null);
/** What was found where nothing had to be written. */
const nothing = signal<{ readonly of: Setup; readonly sentence: string } | null>(null);

/** The job on the bench, where it was written so; null else. */
export const dosed = computed(() => (made.value && setup.value?.job === made.value.job ? made.value : null));

/** Why a press brought nothing, while the bench is as it was then. */
export const inVain = computed(() =>
  nothing.value && wished.value === nothing.value.of ? nothing.value.sentence : null,
);

/** Writes S anew along the way, with what was changed on the bench, and lays that job on the bench. */
export async function doseJob(what: Dosing): Promise<void> {
  const of = wished.peek();
  const base = setup.peek();
  if (!of || !base || dosing.peek()) return;
  const before = { setup: base, changes: changes.peek(), title: title.peek(), about: about.peek() };
  dosing.value = what;
  trouble.value = null;
  try {
    const { text, sentences } = await runErrand({
      errand: 'dose',
      setup: of,
      wish:
        what === 'even'
          ? { even: true, tones: null }
          : { even: false, tones: { ends: TONE_ENDS, photo: null } },
    });
    // What the person changed meanwhile stands; what was worked out is no more of it.
    if (wished.peek() !== of) return;
    if (text === null) {
      nothing.value = { of, sentence: sentences.join(' ') };
      return;
    }
    const job = { name: nameWith(of.job.name, `-${what}`), text };
    made.value = { job, sentences, before };
    await load({ ...base, job, changes: [] }, { name: job.name });
  } catch (error) {
    refuseSettings('Not written', error);
  } finally {
    dosing.value = null;
  }
}

/** Lays the job on the bench again that the one there was made from, with its changes. */
export async function putBackJob(): Promise<void> {
  const back = dosed.peek()?.before;
  if (!back) return;
  if (await load(back.setup, { name: back.title, about: back.about })) changes.value = back.changes;
}
