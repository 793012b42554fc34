import { computed, signal } from '@preact/signals';
import { InputError } from '../../src/errors.ts';
import { listWords } from '../../src/findings/phrases.ts';
import { nameWith } from '../words/file-name.ts';
import { runErrand } from '../worker/errand.ts';
import type { JobText, Setup } from '../worker/messages.ts';
import { type Changes, WHOLE } from './changes.ts';
import { fromDrawer, intoDrawer } from './drawer.ts';
import { hashOfText } from './hash.ts';
import { fromKept, type Shortened, stepsTo, toKeep } from './left-out.ts';
import { changesBack, changesWithout, keptNumbers } from './renumber.ts';
import { about, changes, load, operations, setup, type Title, title } from './store.ts';
import { refuseSettings, trouble } from './trouble.ts';

/**
 * Operations that are left out: the job is written without them and lies on the bench in its place, so that all that is
 * told of it goes by the numbers that it has then.
 */

const all = signal<readonly Shortened[]>([]);
/** The job on the bench, where it was made by leaving out; null: it was not. */
export const shortened = computed(() => all.value.find(({ job }) => job === setup.value?.job) ?? null);
/** Whether a job is being written without some of its operations. */
export const isLeavingOut = signal(false);

/** Lays the job on the bench without these operations; what was changed in the others stays changed. */
export async function leaveOut(out: ReadonlySet<number>): Promise<void> {
  const base = setup.peek();
  if (!base || isLeavingOut.peek()) return;
  const before = { job: base.job, changes: changes.peek(), title: title.peek(), about: about.peek() };
  const kept = keptNumbers(operations.peek().length, out);
  const numbers = [...out].sort((a, b) => a - b).map(String);
  const words = `${numbers.length === 1 ? 'operation' : 'operations'} ${listWords(numbers)}`;
  isLeavingOut.value = true;
  trouble.value = null;
  try {
    const { text, operations: count } = await runErrand({ errand: 'leave out', setup: base, out: [...out] });
    if (setup.peek() !== base) return;
    const isJoined = count !== kept.length;
    if (isJoined && [...before.changes.keys()].some((n) => n !== WHOLE))
      throw new InputError(
        'found operations that are one without what was left out between them; expected their settings as the job has them, so put back what was changed first',
      );
    const job = { name: nameWith(base.job.name, `-without-${numbers.join('-')}`), text };
    all.value = [...all.peek(), { job, words, kept: isJoined ? null : kept, before }];
    const name = `${before.title}, without ${words}`;
    await lay({ ...base, job }, { name, about: before.about }, changesWithout(before.changes, kept));
  } catch (error) {
    refuseSettings('Not left out', error);
  } finally {
    isLeavingOut.value = false;
  }
}

/**
 * Lays the job on the bench again that something was left out of; what was changed since stays changed, unless operations
 * had become one.
 */
export async function putBackLeftOut(): Promise<void> {
  const [at, now] = [shortened.peek(), setup.peek()];
  if (!at || !now) return;
  const { before, kept } = at;
  const next = kept ? changesBack(changes.peek(), kept, before.changes) : before.changes;
  await lay({ ...now, job: before.job }, { name: before.title, about: before.about }, next);
}

async function lay(next: Setup, said: Title, with_: Changes): Promise<void> {
  if (await load({ ...next, changes: [] }, said)) changes.value = with_;
}

/** Why what was left out cannot be put back at the next visit; null: it can, or nothing was. */
export const leftOutNotKept = signal<string | null>(null);

/** What is kept of it beside the texts. */
interface Left {
  readonly atMs: number;
  /** Of the job on the bench that it belongs to. */
  readonly hash: string;
  /** Unchecked. */
  readonly steps: unknown;
}
const drawerOf = (place: string): string => `${place} left out`;
/** The job on the bench that this was done for already; undefined: for none that was made by leaving out. */
let keptFor: JobText | undefined;

/** The way back from a job that was kept, at the next visit. */
export async function recallLeftOut(place: string, job: JobText): Promise<void> {
  try {
    const { thing, text } = await fromDrawer(drawerOf(place));
    const left = thing as Left | undefined;
    if (!left || !text || left.hash !== (await hashOfText(job.text))) return;
    all.value = fromKept(job, left.steps, text);
    if (all.peek().length > 0) keptFor = job;
  } catch {
    // None, or by another version: the job lies there as it is.
  }
}

/** Keeps how the job on the bench was made by leaving out; of another job there is nothing to keep. */
export async function keepLeftOut(place: string, job: JobText): Promise<void> {
  if (job === keptFor) return;
  const steps = stepsTo(job, all.peek());
  const keep = toKeep(steps);
  const isTooLarge = typeof keep === 'string';
  leftOutNotKept.value = isTooLarge ? keep : null;
  // Where there is nothing to keep, and nothing lies there, the drawer is left alone.
  if (steps.length === 0 && !keptFor) return;
  keptFor = steps.length === 0 ? undefined : job;
  try {
    const hash = await hashOfText(job.text);
    const [of, text] = isTooLarge ? [[], ''] : [keep.steps, keep.text];
    await intoDrawer(drawerOf(place), { atMs: Date.now(), hash, steps: of } as Left, text);
  } catch {
    leftOutNotKept.value =
      'This browser does not keep the whole job before from visit to visit: what was left out cannot be put back at the next one, but the job’s own file still has it.';
  }
}
