import { addLight } from './flatten.ts';
import { bent, type Lens } from './lens.ts';
import { nearestCode, type Photo } from './photo.ts';

const BLACK = [0, 0, 0, 255] as const;

/**
 * The photo as a lens that bends nothing would have taken it: as large, light by straight lines between pixels; black where
 * the photo ends.
 */
export function straightened(photo: Photo, lens: Lens): Photo {
  const { width, height } = photo;
  const straight = new Uint8ClampedArray(width * height * 4);
  const rgb = new Float64Array(3);
  for (let row = 0, to = 0; row < height; row++) {
    for (let column = 0; column < width; column++, to += 4) {
      const [x, y] = bent(lens, column + 0.5, row + 0.5);
      if (!(x >= 0.5 && y >= 0.5 && x <= width - 0.5 && y <= height - 0.5)) {
        straight.set(BLACK, to);
        continue;
      }
      rgb[0] = rgb[1] = rgb[2] = 0;
      addLight(photo, x, y, rgb);
      for (let c = 0; c < 3; c++) straight[to + c] = nearestCode(rgb[c]!);
      straight[to + 3] = 255;
    }
  }
  return { width, height, data: straight };
}
