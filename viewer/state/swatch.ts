import { batch, signal } from '@preact/signals';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import { readSwatch, type Swatch } from '../../src/swatch/swatch.ts';
import { fromDrawer, intoDrawer } from './drawer.ts';
import { keepAtRest } from './keep-at-rest.ts';
import { recall, remember } from './memory.ts';
import { parsedJson } from './parsed-json.ts';

/** The swatch in hand: what it holds, and the photos of it as they were dropped. */

export const swatch = signal<Swatch | null>(null);

export interface SwatchPhoto {
  readonly id: number;
  readonly file: File;
  /** Corners as dragged; null: as found. */
  readonly corners: readonly PhotoPoint[] | null;
  readonly white: PhotoPoint | null;
}
export const photos = signal<readonly SwatchPhoto[]>([]);
let ids = 0;

export function addPhotos(files: readonly File[]): void {
  photos.value = [
    ...photos.peek(),
    ...files.map((file) => ({ id: ++ids, file, corners: null, white: null })),
  ];
}

export function changePhoto(id: number, with_: Partial<Pick<SwatchPhoto, 'corners' | 'white'>>): void {
  photos.value = photos.peek().map((photo) => (photo.id === id ? { ...photo, ...with_ } : photo));
}

export function dropPhoto(id: number): void {
  photos.value = photos.peek().filter((photo) => photo.id !== id);
}

/** Takes a swatch in hand, to be found there at the next visit too. */
export function takeSwatch(next: Swatch): void {
  batch(() => {
    swatch.value = next;
    photos.value = [];
  });
  remember('swatch', next);
}

/** @throws {InputError} for what is no key to a swatch. */
export function takeKey(text: string, name: string): void {
  takeSwatch(readSwatch(parsedJson(text, name, 'the key to a swatch'), name));
}

/** The swatch that was in hand the last time, and its photos. */
export async function recallSwatch(): Promise<void> {
  const kept = recall('swatch');
  if (kept !== null) {
    try {
      swatch.value = readSwatch(kept);
      await recallPhotos(swatch.value);
    } catch {
      // Kept by another version: it is made anew, or its key is dropped in.
    }
  }
  keepAtRest(
    () => [photos.value] as const,
    arePhotosBehind,
    ([these]) => keepThese(these),
  );
}

/** The photos lie in the drawer, beside the swatch that they are of. */
interface LeftPhotos {
  readonly atMs: number;
  readonly of: string;
  readonly photos: readonly Omit<SwatchPhoto, 'id'>[];
}
const PHOTOS = 'photos of the swatch';
/** A key by its fields in their own order, as it is read back. */
const wordsOf = (of: Swatch | null): string => JSON.stringify(of && readSwatch(of));

/** There are photos that have not been kept for the next visit yet. */
export const arePhotosBehind = signal(false);
/** This browser does not keep photos from visit to visit. */
export const arePhotosLost = signal(false);

async function recallPhotos(of: Swatch): Promise<void> {
  const { thing } = await fromDrawer(PHOTOS);
  const left = thing as LeftPhotos | undefined;
  // What was dropped meanwhile goes before.
  if (left?.of !== wordsOf(of) || photos.peek().length > 0) return;
  photos.value = left.photos
    .filter(({ file }) => file instanceof File)
    .map(({ file, corners, white }) => ({ id: ++ids, file, corners, white }));
}

async function keepThese(these: readonly SwatchPhoto[]): Promise<void> {
  const left = these.map(({ file, corners, white }) => ({ file, corners, white }));
  const thing: LeftPhotos = { atMs: Date.now(), of: wordsOf(swatch.peek()), photos: left };
  try {
    await intoDrawer(PHOTOS, thing, null);
    arePhotosLost.value = false;
  } catch {
    arePhotosLost.value = true;
  }
}
