import { batch, computed, signal } from '@preact/signals';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import type { CornersOf } from '../../src/piece/register.ts';
import type { PieceShown } from '../worker/errand.ts';
import type { JobText, Setup } from '../worker/messages.ts';
import { setup, wished } from './store.ts';

/** A photo of the burned piece in hand; it is read anew for what lies on the bench, and let go with its job. */
export interface PiecePhoto {
  readonly file: File;
  /** Which job it is of. */
  readonly job: JobText;
  /** Corners as they were dragged on it, px, and whose they are; null: found by the job's marks. */
  readonly corners: { readonly at: readonly PhotoPoint[]; readonly of: CornersOf } | null;
  /** What it shows was learned and put on the bench: once is enough. */
  readonly isLearned: boolean;
}

const inHand = signal<PiecePhoto | null>(null);
/** The photo of the piece that was burned by the job on the bench; null: there is none. */
export const piecePhoto = computed(() => (inHand.value?.job === setup.value?.job ? inHand.value : null));

/** What it shows, and the bench that it was read for; null: not read yet, or not to be read as it is. */
export const pieceRead = signal<{ readonly of: Setup; readonly shown: PieceShown } | null>(null);

/** What it shows of what lies on the bench now. */
export const pieceShown = computed<PieceShown | null>(() =>
  piecePhoto.value !== null && pieceRead.value?.of === wished.value ? (pieceRead.value?.shown ?? null) : null,
);

export function takePiecePhoto(file: File): void {
  const job = setup.peek()?.job;
  if (job) put({ file, job, corners: null, isLearned: false });
}

export const layPiecePhoto = (corners: PiecePhoto['corners']): void => {
  const photo = piecePhoto.peek();
  if (photo) put({ ...photo, corners });
};

export const dropPiecePhoto = (): void => put(null);

/** What it shows is known to the wood from here on. */
export function noteLearned(): void {
  const photo = piecePhoto.peek();
  if (photo) inHand.value = { ...photo, isLearned: true };
}

function put(photo: PiecePhoto | null): void {
  batch(() => {
    inHand.value = photo;
    pieceRead.value = null;
  });
}
