import { signal } from '@preact/signals';
import { fromDrawer, intoDrawer } from './drawer.ts';
import { broughtFace, face } from './face.ts';
import { keepAtRest } from './keep-at-rest.ts';
import type { BoardPhoto, Place } from './known-points.ts';

/** The photo of a person's own board: what is dragged on it and typed beside it, and what is kept of it. */

export const boardPhoto = signal<BoardPhoto | null>(null);
/** Whether it is in view: one from an earlier visit is not, for it takes much memory. */
export const isBoardOpen = signal(false);

export function takeBoardPhoto(file: File, [widthMm, heightMm]: Place): void {
  const pointsMm: Place[] = [
    [0, 0],
    [widthMm, 0],
    [widthMm, heightMm],
    [0, heightMm],
  ];
  const before = boardPhoto.peek();
  isBoardOpen.value = true;
  boardPhoto.value = {
    by: 'a4',
    isLying: false,
    sheetAtMm: [0, 0],
    pointsMm,
    ...before,
    file,
    corners: null,
    outline: null,
  };
}

export function changeBoardPhoto(with_: Partial<BoardPhoto>): void {
  const photo = boardPhoto.peek();
  if (photo) boardPhoto.value = { ...photo, ...with_ };
}

/** Larger photos than this are not kept: the browser has little room for a page. */
export const MOST_BYTES = 12e6;
const QUALITY = 0.92;

/** Why the board's photo is not there again at the next visit; null: it is, or there is none. */
export const boardNotKept = signal<string | null>(null);
/** The board was changed, and has not been kept since. */
export const isBoardBehind = signal(false);

/** The board's look is kept as a JPEG, the photo it came from as it is. */
interface LeftBoard {
  readonly atMs: number;
  readonly face: (Omit<NonNullable<typeof face.value>, 'rgb'> & { readonly image: Blob }) | null;
  readonly photo: BoardPhoto | null;
}
const boardOf = (place: string): string => `${place} board`;

/** The board that was photographed the last time, as it looks and with its photo. */
export async function recallBoard(place: string): Promise<void> {
  try {
    const { thing } = await fromDrawer(boardOf(place));
    const left = thing as LeftBoard | undefined;
    if (left?.face) {
      const image = URL.createObjectURL(left.face.image);
      face.value = await broughtFace({ ...left.face, image }).finally(() => URL.revokeObjectURL(image));
    }
    if (left?.photo?.file instanceof File) boardPhoto.value = left.photo;
  } catch {
    // None, or by another version: the board is drawn as wood, and photographed anew.
  }
}

/** From here on the board is kept, each time it or what is shown on its photo changes. */
export const keepBoardFrom = (place: string): void =>
  keepAtRest(
    () => [face.value, boardPhoto.value] as const,
    isBoardBehind,
    ([shown, photo]) => keep(place, shown, photo),
  );

async function keep(place: string, shown: typeof face.value, photo: BoardPhoto | null): Promise<void> {
  const isTooLarge = photo !== null && photo.file.size > MOST_BYTES;
  try {
    const left: LeftBoard = {
      atMs: Date.now(),
      face: shown && { ...withoutPixels(shown), image: await imageOfFace(shown) },
      photo: isTooLarge ? null : photo,
    };
    // What came meanwhile is kept by its own turn.
    if (shown !== face.peek() || photo !== boardPhoto.peek()) return;
    await intoDrawer(boardOf(place), left, null);
    boardNotKept.value = isTooLarge
      ? `The photo has ${Math.round(photo.file.size / 1e6)} MB, and this page keeps at most ${MOST_BYTES / 1e6}: the board stays as it was found, but its photo has to be chosen again at the next visit.`
      : null;
  } catch {
    boardNotKept.value =
      'This browser does not keep the board’s photo from visit to visit: it has to be chosen again at the next one.';
  }
}

const withoutPixels = ({ rgb: _, ...frame }: NonNullable<typeof face.value>) => frame;

async function imageOfFace({ nx, ny, rgb }: NonNullable<typeof face.value>): Promise<Blob> {
  const canvas = new OffscreenCanvas(nx, ny);
  const context = canvas.getContext('2d')!;
  const image = context.createImageData(nx, ny);
  for (let k = 0; k < nx * ny; k++) {
    for (let c = 0; c < 3; c++) image.data[4 * k + c] = rgb[3 * k + c]!;
    image.data[4 * k + 3] = 255;
  }
  context.putImageData(image, 0, 0);
  return canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY });
}
