import { bent, type Lens } from './lens.ts';
import { codedOf, LINEAR, type Photo } from './photo.ts';

const CODE_STEPS = 4096;
const CODED = Float32Array.from({ length: CODE_STEPS + 1 }, (_, k) => codedOf(k / CODE_STEPS));
const BLACK = [0, 0, 0, 255] as const;

/**
 * The photo as a lens that bends nothing would have taken it: as large, light by straight lines between pixels; black where
 * the photo ends.
 */
export function straightened(photo: Photo, lens: Lens): Photo {
  const { width, height, data } = photo;
  const straight = new Uint8ClampedArray(width * height * 4);
  for (let row = 0, to = 0; row < height; row++) {
    for (let column = 0; column < width; column++, to += 4) {
      const [xPx, yPx] = bent(lens, column + 0.5, row + 0.5);
      const [x, y] = [xPx - 0.5, yPx - 0.5];
      if (!(x >= 0 && y >= 0 && x <= width - 1 && y <= height - 1)) {
        straight.set(BLACK, to);
        continue;
      }
      const [left, top] = [Math.floor(x), Math.floor(y)];
      const [fx, fy] = [x - left, y - top];
      const at = 4 * (top * width + left);
      const right = left + 1 < width ? 4 : 0;
      const down = top + 1 < height ? 4 * width : 0;
      for (let c = 0; c < 3; c++) {
        const above = (1 - fx) * LINEAR[data[at + c]!]! + fx * LINEAR[data[at + right + c]!]!;
        const below = (1 - fx) * LINEAR[data[at + down + c]!]! + fx * LINEAR[data[at + down + right + c]!]!;
        const light = (1 - fy) * above + fy * below;
        straight[to + c] = light < 0.02 ? codedOf(light) : CODED[Math.round(light * CODE_STEPS)]!;
      }
      straight[to + 3] = 255;
    }
  }
  return { width, height, data: straight };
}
