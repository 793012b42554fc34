import { signal } from '@preact/signals';
import {
  type Entry,
  emptyNotebook,
  joinNotebooks,
  type Notebook,
  readNotebook,
} from '../../src/outcome/notebook.ts';
import { latin1Bytes } from './download.ts';
import { hashOf } from './hash.ts';
import { recall, remember } from './memory.ts';
import { parsedJson } from './parsed-json.ts';
import { isSame } from './same.ts';
import { trouble } from './trouble.ts';

/** The notebook in this browser: every burn that was told of here, or brought in a file. Nothing of it goes anywhere. */
export const notebook = signal<Notebook>(emptyNotebook());
/** What was kept here and cannot be read, as it was; null: nothing. */
export const unread = signal<unknown>(null);

/** Small pictures of what was burned, by {@link pictureKey}; they lie beside the notebook, whose file has no room for them. */
export const pictures = signal<ReadonlyMap<string, string>>(new Map());
const MOST_PICTURES = 60;
export const pictureKey = ({ date, job_hash, operations }: Entry): string =>
  [date, job_hash, ...operations.map(({ n, said }) => `${n} ${said}`)].join('; ');

/** Opens what is kept here, with the first place that shows it. What cannot be read is laid aside, not written over. */
function openNotebook(): void {
  unread.value = recall('notebook unread');
  notebook.value = kept();
  try {
    pictures.value = new Map(recall('pictures') as [string, string][]);
  } catch {
    // None, or by another version: only the list is plainer.
  }
  // Another page of this browser may write in it too.
  addEventListener('storage', ({ key }) => {
    if (key === null || key.endsWith('.notebook')) notebook.value = kept();
  });
}

/** As it lies in the browser's store now. */
function kept(): Notebook {
  const value = recall('notebook');
  if (value === null) return emptyNotebook();
  try {
    return readNotebook(value);
  } catch {
    unread.value = value;
    remember('notebook unread', value);
    return emptyNotebook();
  }
}

/** Changes it as it lies there now; where this browser keeps nothing, as it is in this page. */
function write(with_: (now: Notebook) => Notebook): void {
  const now = recall('notebook') === null ? notebook.peek() : kept();
  const next = with_(now);
  notebook.value = next;
  if (!remember('notebook', next)) {
    trouble.value = {
      what: 'Not kept',
      sentence:
        'This browser keeps no notebook for this page from visit to visit; save it as a file instead.',
    };
  }
}

const without = (entries: readonly Entry[], gone: Entry | null): Entry[] => {
  const at = gone === null ? -1 : entries.findLastIndex((each) => isSame(each, gone));
  return entries.filter((_, k) => k !== at);
};

/**
 * Notes a burn.
 * @param instead an entry of the same burn, told otherwise before; null: there is none.
 * @returns the entry as it lies in the notebook.
 */
export function noteBurn(entry: Entry, instead: Entry | null): Entry {
  const [checked] = readNotebook({ ...emptyNotebook(), entries: [entry] }).entries as [Entry];
  write((now) => ({ ...now, entries: [...without(now.entries, instead), checked] }));
  return checked;
}

/** Keeps a picture of what was burned, as a data URI; the newest few stay. */
export function keepPicture(of: Entry, uri: string): void {
  const next = new Map(pictures.peek());
  next.delete(pictureKey(of));
  next.set(pictureKey(of), uri);
  pictures.value = new Map([...next].slice(-MOST_PICTURES));
  remember('pictures', [...pictures.peek()]);
}

export const takeOffNotebook = (entry: Entry): void =>
  write((now) => ({ ...now, entries: without(now.entries, entry) }));

/**
 * Adds what a notebook file holds and is not here yet.
 * @returns how many burns that are.
 * @throws {InputError} for what is no notebook.
 */
export function addNotebook(text: string, name: string): number {
  const brought = readNotebook(parsedJson(text, name, 'a notebook of burns'), name);
  const before = notebook.peek().entries.length;
  write((now) => joinNotebooks(now, brought));
  return notebook.peek().entries.length - before;
}

/** The beginning of a job's SHA-256, as the command line notes it; empty where this browser works none out. */
export async function jobHash(text: string): Promise<string> {
  if (globalThis.crypto?.subtle === undefined) return '';
  return (await hashOf(latin1Bytes(text))).slice(0, 16);
}

openNotebook();
