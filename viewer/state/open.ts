import type { Material } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { InputError } from '../../src/errors.ts';
import { doubtSentence } from '../../src/explain/doubts.ts';
import { ASSUMED_MACHINE, ASSUMED_WOOD } from '../../src/machine/assumed.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { readMachine } from '../../src/machine/profile.ts';
import type { BroughtJob } from '../../src/page/brought-job.ts';
import { latin1Of } from '../../src/recognise/latin1.ts';
import type { JobText, Setup } from '../worker/messages.ts';
import { keepMachine, ownMachine } from './own-machine.ts';
import { takePiecePhoto } from './piece.ts';
import { layOut } from './several.ts';
import { addMachine, addWood, demoSetup, readProfile } from './shelf.ts';
import { load, type Note, place, setMachine, setup, setWood, title } from './store.ts';
import { addPhotos, takeKey } from './swatch.ts';
import { refuseFile, trouble } from './trouble.ts';

/**
 * Till then the page is looking for what lies on its bench first, and would lay it over what was dropped meanwhile.
 */
let tellBegun = (): void => {};
const begun = new Promise<void>((resolve) => {
  tellBegun = resolve;
});
/** Lays on the bench what lies there first; what is dropped meanwhile comes after it. */
export const beginWith = (first: () => Promise<void>): Promise<void> => first().finally(tellBegun);

/** Larger files than this are not jobs, or would not fit a page's memory. */
const MOST_BYTES = 600 << 20;

/**
 * At most so many bytes of a file, from its beginning.
 * @throws {InputError} for what was dropped and is no file, or is there no more.
 */
async function bytesOf(file: File, most = file.size): Promise<Uint8Array> {
  try {
    return new Uint8Array(await file.slice(0, most).arrayBuffer());
  } catch {
    throw new InputError('could not be read; expected a file, still in its place, and no folder', {
      source: file.name,
    });
  }
}

/** Bytes as ISO 8859-1, so that what comments hold comes back byte for byte. */
async function readText(file: File): Promise<string> {
  if (file.size > MOST_BYTES)
    throw new InputError(
      `found ${Math.round(file.size / 1e6)} MB; expected a job of at most ${MOST_BYTES >> 20} MB`,
      {
        source: file.name,
      },
    );
  return latin1Of(await bytesOf(file));
}

/** Lays a second job beside the first; the note says how it came to that. */
type LayBeside = (next: Setup, name: string, note?: string) => void;

/**
 * Opens dropped or picked files: profiles (JSON) first, then the job, which takes the place of the one on the bench
 * once it has been forecast. A second job goes `beside`, as all do where `onlyBeside` says so. Nothing leaves the
 * machine: the files are read in the page.
 */
export async function openFiles(
  files: readonly File[],
  beside: LayBeside,
  onlyBeside = false,
): Promise<void> {
  trouble.value = null;
  await begun;
  try {
    const { machine: given, wood, listing, key, notebooks, photos, jobs } = await sorted(files);
    if (notebooks.length > 0) await noteAll(notebooks);
    if (notebooks.length > 0 && jobs.length === 0) place.value = 'burned';
    if (key) takeKey(key.text, key.name);
    const now = setup.peek();
    // In the notebook a photo is one of the burned piece, elsewhere one of the swatch.
    const isOfPiece = place.peek() === 'burned' && now !== null && !key && jobs.length === 0;
    if (isOfPiece && photos.length > 0) takeOfPiece(photos);
    else {
      if (photos.length > 0) addPhotos(photos);
      if ((key || photos.length > 0) && jobs.length === 0) place.value = 'wood';
    }
    const machine = given ?? (listing === undefined ? undefined : await fromListing(listing));
    if (listing !== undefined && jobs.length === 0) place.value = 'machine';
    const benchOf = (stock: Setup['stock']) => ({
      machine: machine ?? now?.machine ?? readMachine(ASSUMED_MACHINE),
      material: wood ?? now?.material ?? shippedMaterials[ASSUMED_WOOD]!,
      stock,
      changes: [],
      cellMm: null,
      // What counts for a person counts for every job; the size is one job's own.
      ...(now?.asked ? { asked: { ...now.asked, expectMm: null } } : {}),
    });
    const read = await Promise.all(
      jobs.map(async (file) => ({ name: file.name, text: await readText(file) })),
    );
    if (read.length > 2) {
      layOut(read.map((job) => ({ ...benchOf(now?.stock ?? null), job })));
      return;
    }
    const [first, second] = onlyBeside && now && read.length === 1 ? [undefined, read[0]] : read;
    if (first) {
      const next: Setup = { ...benchOf(null), job: first };
      const isLaid = await load(next, {
        name: first.name,
        notes: [
          ...(machine ? doubtNotes(machine) : [machineNote(next, now)]),
          ...(wood ? [] : [woodNote(next, now)]),
        ],
      });
      if (!isLaid) return;
      if (machine) keepMachine();
    } else {
      if (machine) setMachine(machine);
      if (wood) setWood(wood);
    }
    // A dropped job comes without a board: it is given the bench's.
    if (second) beside({ ...benchOf(null), job: second }, second.name, first && together(first, second));
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    refuseFile(error.toString(), title.peek() || null);
  }
}

const together = (first: JobText, second: JobText): string =>
  `Two jobs came together: ${first.name} lies on the bench, ${second.name} beside it. More than two make a table.`;

function takeOfPiece(photos: readonly File[]): void {
  if (photos.length > 1)
    throw new InputError(`found ${photos.length} photos; expected one of the burned piece`);
  takePiecePhoto(photos[0]!);
}

/** What reads a listing is fetched with the first one. */
const fromListing = async (text: string): Promise<Machine> =>
  (await import('./listed.ts')).listedMachine(text);

/** So is what reads a notebook. */
async function noteAll(notebooks: Sorted['notebooks']): Promise<void> {
  const { addNotebook } = await import('./notebook.ts');
  for (const { text, name } of notebooks) addNotebook(text, name);
}

const machineNote = ({ machine }: Setup, before: Setup | null): Note => ({
  words: before
    ? `The machine was taken over from before: ${machine.name}.`
    : `No machine was given: ${machine.name} was assumed.`,
  holds: (at) => at.machine.name === machine.name,
});

function doubtNotes(machine: Machine): Note[] {
  const words = doubtSentence(machine);
  return words === null ? [] : [{ words, holds: (at) => at.machine === machine }];
}

const woodNote = ({ material }: Setup, before: Setup | null): Note => ({
  words: before
    ? `The wood was taken over from before: ${material.name}.`
    : `No wood was given: ${material.name} was assumed.`,
  holds: (at) => at.material.name === material.name,
});

interface Sorted {
  readonly machine?: Machine;
  /** The machine's profile as it stands in its file. */
  readonly file?: unknown;
  readonly wood?: Material;
  /** A controller's settings. */
  readonly listing?: string;
  /** The key to a swatch, as text, and photos of it. */
  readonly key?: { readonly text: string; readonly name: string };
  readonly notebooks: readonly { readonly text: string; readonly name: string }[];
  readonly photos: readonly File[];
  readonly jobs: File[];
}

/** What the files are by their content: the last machine and the last wood among them, and the jobs. */
async function sorted(files: readonly File[]): Promise<Sorted> {
  const jobs: File[] = [];
  const photos: File[] = [];
  const notebooks: { text: string; name: string }[] = [];
  let found: Omit<Sorted, 'jobs' | 'photos' | 'notebooks'> = {};
  // Fetched with the first file: the demo needs none of it.
  const { HEAD_LENGTH, headOf, recognise, refuseOther } = await import('../../src/recognise/recognise.ts');
  for (const file of files) {
    const head = headOf(await bytesOf(file, HEAD_LENGTH));
    const kind = recognise(head)?.kind;
    if (kind === 'listing') {
      found = { ...found, listing: new TextDecoder().decode(await bytesOf(file)) };
    } else if (kind === 'swatch') {
      found = {
        ...found,
        key: { text: new TextDecoder().decode(await bytesOf(file)), name: file.name },
      };
    } else if (kind === 'notebook') {
      notebooks.push({ text: new TextDecoder().decode(await bytesOf(file)), name: file.name });
    } else if (kind === 'photo') {
      photos.push(file);
    } else if (isProfile(kind, file.name)) {
      found = { ...found, ...readProfile(new TextDecoder().decode(await bytesOf(file)), file.name) };
    } else {
      refuseOther(head, 'job', file.name);
      jobs.push(file);
    }
  }
  if (found.machine) addMachine(found.machine, found.file);
  if (found.wood) addWood(found.wood);
  return { ...found, jobs, photos, notebooks };
}

/** A damaged profile tells itself by its name alone. */
function isProfile(kind: string | undefined, name: string): boolean {
  return kind === 'machine' || kind === 'wood' || (/\.json$/i.test(name) && (!kind || kind === 'json'));
}

/** Lets the person pick files; `onlyBeside`: the first job, too, goes beside the one on the bench. */
export function pickFiles(beside: LayBeside, onlyBeside = false): void {
  const input = document.createElement('input');
  input.type = 'file';
  input.multiple = true;
  input.onchange = () => void openFiles([...(input.files ?? [])], beside, onlyBeside);
  input.click();
}

/** @param isFirst it is what the page opens with. */
export async function openDemo(name: string, isFirst = false): Promise<void> {
  trouble.value = null;
  const piece = await demoSetup(name);
  const machine = isFirst ? ownMachine(piece.setup.machine) : null;
  await load(piece.setup, { name: piece.title, about: piece.about, ...asLeft(machine) });
}

/** The machine a person chose the last time, and a word about it. */
export const asLeft = (machine: Machine | null): { machine: Machine | null; notes: Note[] } => ({
  machine,
  notes: machine
    ? [{ words: 'The machine is as you left it the last time.', holds: (at) => at.machine === machine }]
    : [],
});

/** The jobs that came inside the page; empty when it came alone. */
export function broughtJobs(): BroughtJob[] {
  const holder = document.getElementById('charcast-jobs');
  return holder?.textContent ? (JSON.parse(holder.textContent) as BroughtJob[]) : [];
}
