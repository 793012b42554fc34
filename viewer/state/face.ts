import { computed, signal } from '@preact/signals';
import type { BoardFace } from '../../src/own-board/own-board.ts';
import type { BroughtFace } from '../../src/page/brought-job.ts';
import { setup } from './store.ts';

/** The board that was photographed, as it looks. */
export const face = signal<BoardFace | null>(null);

const outlineNow = computed(() => setup.value?.stock?.outline);

/** The same where the board lies now; null where another one does. Only another outline makes it anew: its texture is costly. */
export const shownFace = computed<BoardFace | null>(() => {
  const outline = outlineNow.value;
  const own = face.value;
  if (!outline || !own || outline.length !== own.outline.length) return null;
  const [dx, dy] = [outline[0]![0] - own.outline[0]![0], outline[0]![1] - own.outline[0]![1]];
  const isSame = outline.every(
    ([x, y], k) =>
      Math.abs(x - dx - own.outline[k]![0]) < 1e-6 && Math.abs(y - dy - own.outline[k]![1]) < 1e-6,
  );
  return isSame ? { ...own, outline, x0Mm: own.x0Mm + dx, y0Mm: own.y0Mm + dy } : null;
});

/** A board that came with the page. */
export async function broughtFace({ image, ...frame }: BroughtFace): Promise<BoardFace> {
  const picture = new Image();
  picture.src = image;
  await picture.decode();
  const { nx, ny } = frame;
  const context = new OffscreenCanvas(nx, ny).getContext('2d', { willReadFrequently: true })!;
  context.drawImage(picture, 0, 0, nx, ny);
  const { data } = context.getImageData(0, 0, nx, ny);
  const rgb = new Uint8Array(3 * nx * ny);
  for (let k = 0; k < nx * ny; k++) for (let c = 0; c < 3; c++) rgb[3 * k + c] = data[4 * k + c]!;
  return { ...frame, rgb };
}
