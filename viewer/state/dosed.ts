import { computed, signal } from '@preact/signals';
import { checkSettings, type Settings } from '../../src/change/change.ts';
import type { OffBy, ToneWish } from '../../src/compare/tone-wish.ts';
import { TONE_ENDS, type ToneEnds } from '../../src/dosing/wish.ts';
import { InputError } from '../../src/errors.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { nameWith } from '../words/file-name.ts';
import { runErrand, type WishShown } from '../worker/errand.ts';
import type { JobText, Setup } from '../worker/messages.ts';
import type { Changes } from './changes.ts';
import { fromDrawer, intoDrawer } from './drawer.ts';
import { hashOfText } from './hash.ts';
import { type DecodedPhoto, pixelsOf } from './photo-pixels.ts';
import { readSetup } from './read-setup.ts';
import { about, changes, load, setup, title, wished } from './store.ts';
import { refuseSettings, trouble } from './trouble.ts';

/** Jobs whose S was written anew along the way, and the way back to what lay on the bench before. */

/** What S can be written anew for. */
export type Dosing = 'even' | 'tones';

interface DosedJob {
  readonly job: JobText;
  /** What was done, and how well. */
  readonly sentences: readonly string[];
  /** What its rows were meant to look like; null where they were no part of it. */
  readonly wish: WishShown | null;
  /** The bench that it was worked out for. */
  readonly of: Setup;
  readonly before: Before;
}

/** The bench as it was. */
interface Before {
  readonly setup: Setup;
  readonly changes: Changes;
  readonly title: string;
  readonly about: string;
}

/** A picture to lay over the rows of the job on the bench. */
interface LaidPicture {
  readonly name: string;
  readonly photo: DecodedPhoto;
}

const made = signal<DosedJob | null>(null);
/** Between which parts of the way from bare wood to full char a picture is to lie. */
export const toneEnds = signal<ToneEnds>(TONE_ENDS);
/** The picture that rows are to show; null: what their S says. */
export const laid = signal<LaidPicture | null>(null);
/** Why the last one could not be taken, in plain words. */
export const notLaid = signal<string | null>(null);
/** What is being worked out; null: nothing is. */
export const dosing = signal<Dosing | null>(null);
/** What was found where nothing had to be written. */
const nothing = signal<{ readonly of: Setup; readonly sentence: string } | null>(null);

/** The job on the bench, where it was written so; null else. */
export const dosed = computed(() => (made.value && setup.value?.job === made.value.job ? made.value : null));

/** Whether a job as it was written lies on the bench it was written for, with no setting changed since. */
const isAsWritten = ({ of }: DosedJob): boolean =>
  changes.value.size === 0 &&
  setup.value?.machine === of.machine &&
  setup.value.material === of.material &&
  setup.value.stock === of.stock;

/** How far off what was meant the job on the bench is, where its tones were set and nothing was changed since. */
export const wishNow = computed<ToneWish | null>(() =>
  dosed.value && isAsWritten(dosed.value) ? (dosed.value.wish?.errors ?? null) : null,
);

/**
 * What two jobs were meant to look like, where they are one before its tones were set and after; with how far off each is,
 * if nothing was changed in them since.
 * @param second the job beside the one on the bench, and whether anything was changed in it.
 */
export function wishOfTwo(
  second: Setup | null,
  isChanged: boolean,
): { readonly wish: WishShown; readonly offBy: OffBy | null } | null {
  const at = dosed.value;
  if (!at?.wish || second?.job !== at.before.setup.job) return null;
  const { errors } = at.wish;
  const isKnown = isAsWritten(at) && at.before.changes.size === 0 && !isChanged;
  return { wish: at.wish, offBy: isKnown ? { a: errors.after, b: errors.before } : null };
}

/** Takes a picture to lay over the rows; what is none is told and leaves the one before. */
export async function layPictureOver(files: readonly File[]): Promise<void> {
  notLaid.value = null;
  const [file] = files;
  if (!file) return;
  try {
    if (files.length > 1)
      throw new InputError(`found ${files.length} files; expected one picture, as PNG or JPEG`);
    laid.value = { name: file.name, photo: await pixelsOf(file) };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    notLaid.value = error.toString();
  }
}

/** Why a press brought nothing, while the bench is as it was then. */
export const inVain = computed(() =>
  nothing.value && wished.value === nothing.value.of ? nothing.value.sentence : null,
);

/** The picture's pixels alone: what the browser shows of it stays here. */
function photoNow(): Photo | null {
  const at = laid.peek();
  return at && { width: at.photo.width, height: at.photo.height, data: at.photo.data };
}

/** Writes S anew along the way, with what was changed on the bench, and lays that job on the bench. */
export async function doseJob(what: Dosing): Promise<void> {
  const of = wished.peek();
  const base = setup.peek();
  if (!of || !base || dosing.peek()) return;
  const before = { setup: base, changes: changes.peek(), title: title.peek(), about: about.peek() };
  dosing.value = what;
  trouble.value = null;
  try {
    const { text, sentences, wish } = await runErrand({
      errand: 'dose',
      setup: of,
      wish:
        what === 'even'
          ? { even: true, tones: null }
          : { even: false, tones: { ends: toneEnds.peek(), photo: photoNow() } },
    });
    // What the person changed meanwhile stands; what was worked out is no more of it.
    if (wished.peek() !== of) return;
    if (text === null) {
      nothing.value = { of, sentence: sentences.join(' ') };
      return;
    }
    const job = { name: nameWith(of.job.name, `-${what}`), text };
    made.value = { job, sentences, wish, of: base, before };
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

/** What is kept of it from visit to visit, beside the text of the job before; the wish, which is long, is not. */
interface Left {
  readonly atMs: number;
  /** Of the text that was written. */
  readonly hash: string;
  readonly sentences: readonly string[];
  /** The bench before, without its job's text, and what was changed there. */
  readonly before: Omit<Before, 'changes'> & { readonly changes: readonly (readonly [number, Settings])[] };
}
const drawerOf = (place: string): string => `${place} before`;
/** The job for which this was done already; undefined: for none that was written so. */
let keptFor: JobText | undefined;

/** The way back from a job that was written so, at the next visit. */
export async function recallDosed(place: string, job: JobText): Promise<void> {
  try {
    const { thing, text } = await fromDrawer(drawerOf(place));
    const left = thing as Left | undefined;
    if (!left || typeof text !== 'string' || left.hash !== (await hashOfText(job.text))) return;
    const { changes: changed, title: name, about: words, setup: of } = left.before;
    for (const [, settings] of changed) checkSettings(settings);
    const before = {
      setup: readSetup(of, text),
      changes: new Map(changed),
      title: String(name),
      about: String(words),
    };
    made.value = { job, sentences: left.sentences.map(String), wish: null, of: before.setup, before };
    keptFor = job;
  } catch {
    // None, or by another version: the job lies there as it is.
  }
}

/** Keeps what the job on the bench was before it was written so; of another job there is nothing to keep. */
export async function keepDosed(place: string, job: JobText): Promise<void> {
  if (job === keptFor) return;
  const at = made.peek()?.job === job ? made.peek() : null;
  // Where there is nothing to keep, and nothing lies there, the drawer is left alone.
  if (!at && !keptFor) return;
  keptFor = at ? job : undefined;
  if (!at) {
    await intoDrawer(drawerOf(place), { atMs: Date.now() }, '');
    return;
  }
  const { setup: of, changes: changed, title: name, about: words } = at.before;
  const bare = { ...of, job: { ...of.job, text: '' } };
  const left: Left = {
    atMs: Date.now(),
    hash: await hashOfText(job.text),
    sentences: at.sentences,
    before: { setup: bare, changes: [...changed], title: name, about: words },
  };
  await intoDrawer(drawerOf(place), left, of.job.text);
}
