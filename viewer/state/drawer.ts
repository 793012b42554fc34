/**
 * This browser's own store for what is too large for its small one: jobs with all that lies about them. Each thing
 * lies under a name; the newest few are kept.
 */

const THINGS = 'left';
/** The jobs' texts lie apart: they are long, and change less often than what lies about them. */
const TEXTS = 'texts';
const MOST_KEPT = 16;
/** A store that does not open in this time is not waited for any longer. */
const PATIENCE_MS = 1500;

interface Dated {
  readonly atMs: number;
}

function opened(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open('charcast', 1);
    asked.onupgradeneeded = () => {
      for (const store of [THINGS, TEXTS]) asked.result.createObjectStore(store);
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error('it did not say why'));
    asked.onblocked = () => reject(new Error('another page holds its store'));
    setTimeout(() => reject(new Error('its store did not open')), PATIENCE_MS);
  });
}

const done = <T>(asked: IDBRequest<T>): Promise<T> =>
  new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error('it did not say why'));
  });

interface Drawn {
  /** Unchecked; undefined: nothing lies there. */
  readonly thing: unknown;
  readonly text: unknown;
}

/** What lies there under a name. */
export async function fromDrawer(name: string): Promise<Drawn> {
  const drawer = await opened();
  try {
    const work = drawer.transaction([THINGS, TEXTS], 'readonly');
    const [thing, text] = [THINGS, TEXTS].map((store) => done(work.objectStore(store).get(name)));
    return { thing: await thing, text: await text };
  } finally {
    drawer.close();
  }
}

/**
 * Lays something there under a name, in place of what lay there, and lets go of what is oldest.
 * @param text null: as it lies there already.
 */
export async function intoDrawer(name: string, thing: Dated, text: string | null): Promise<void> {
  const drawer = await opened();
  try {
    const work = drawer.transaction([THINGS, TEXTS], 'readwrite');
    const ended = new Promise<void>((resolve, reject) => {
      work.oncomplete = () => resolve();
      work.onabort = () => reject(work.error ?? new Error('there is no room'));
    });
    const [things, texts] = [work.objectStore(THINGS), work.objectStore(TEXTS)];
    things.put(thing, name);
    if (text !== null) texts.put(text, name);
    const [names, all] = await Promise.all([done(things.getAllKeys()), done(things.getAll())]);
    const byAge = names.map((each, k) => [(all[k] as Dated).atMs, each] as const).sort(([a], [b]) => a - b);
    for (const [, oldest] of byAge.slice(0, Math.max(0, names.length - MOST_KEPT))) {
      things.delete(oldest);
      texts.delete(oldest);
    }
    await ended;
  } finally {
    drawer.close();
  }
}
