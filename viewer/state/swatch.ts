import { batch, signal } from '@preact/signals';
import { InputError } from '../../src/errors.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import { readSwatch, type Swatch } from '../../src/swatch/swatch.ts';
import { recall, remember } from './memory.ts';

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
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch {
    throw new InputError('found text that is not JSON; expected the key to a swatch', { source: name });
  }
  takeSwatch(readSwatch(value, name));
}

/** The swatch that was in hand the last time. */
export function recallSwatch(): void {
  const kept = recall('swatch');
  if (kept === null) return;
  try {
    swatch.value = readSwatch(kept);
  } catch {
    // Kept by another version: it is made anew, or its key is dropped in.
  }
}
