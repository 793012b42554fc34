import type { Picture } from './picture.ts';
import type { View } from './view.ts';

/** How dark the middle of the shadow is. */
const DARKEST = 0.34;
const TINT = [58, 40, 24] as const;

/**
 * The soft shadow a board casts to the lower right, painted before the board: the board's outline, moved and
 * blurred, as a product of two one-dimensional edges, so that no filter runs over the whole sheet.
 *
 * @param left,top the board's upper left corner in the picture.
 */
export function paintShadow(
  picture: Picture,
  left: number,
  top: number,
  { widthPx, heightPx }: View,
  sidePx: number,
  fontPx: number,
): void {
  const blur = fontPx * 0.42;
  const shift = fontPx * 0.2;
  const across = edges(left + shift, left + widthPx + shift, blur, picture.width);
  const down = edges(top + shift, top + heightPx + sidePx + shift, blur, picture.height);
  for (let y = down.from; y < down.to; y++) {
    const shade = down.share[y - down.from]! * DARKEST;
    for (let x = across.from; x < across.to; x++) {
      // The board will lie here: nothing to paint.
      if (y >= top && y < top + heightPx && x >= left && x < left + widthPx) {
        x = left + widthPx - 1;
        continue;
      }
      const alpha = shade * across.share[x - across.from]!;
      const k = (y * picture.width + x) * 4;
      for (let c = 0; c < 3; c++) picture.data[k + c]! += alpha * (TINT[c]! - picture.data[k + c]!);
    }
  }
}

/** How much of the shadow falls on each pixel along one axis: 0 outside, 1 well inside, smooth between. */
function edges(start: number, end: number, blur: number, limit: number) {
  const from = Math.max(0, Math.floor(start - blur));
  const to = Math.min(limit, Math.ceil(end + blur));
  const share = new Float32Array(Math.max(0, to - from));
  for (let k = 0; k < share.length; k++) {
    const at = from + k + 0.5;
    share[k] = smooth((at - start) / blur) * smooth((end - at) / blur);
  }
  return { from, to, share };
}

/** 0 below −1, 1 above 1, an S in between. */
function smooth(t: number): number {
  const s = Math.min(1, Math.max(0, (t + 1) / 2));
  return s * s * (3 - 2 * s);
}
