import type { GreyImage } from '../photo/photo.ts';

/** The light of a photo averaged over squares of any size, from sums over all that lies above and to the left. */
export interface Shown {
  readonly width: number;
  readonly height: number;
  /** Logarithm of the mean light over squares of `sidePx`, as an image of its own whose pixels are those squares. */
  squares(sidePx: number): GreyImage & { readonly sidePx: number };
}

/** Light below this drowns in noise. */
const LEAST_LIGHT = 0.003;

export function shownOf({ width, height, values }: GreyImage): Shown {
  const stride = width + 1;
  const sums = new Float64Array(stride * (height + 1));
  for (let y = 0; y < height; y++) {
    let row = 0;
    for (let x = 0; x < width; x++) {
      row += values[y * width + x]!;
      sums[(y + 1) * stride + x + 1] = sums[y * stride + x + 1]! + row;
    }
  }
  const made = new Map<number, GreyImage & { readonly sidePx: number }>();
  return {
    width,
    height,
    squares(wishedPx) {
      const sidePx = Math.max(1, wishedPx);
      const known = made.get(sidePx);
      if (known) return known;
      const columns = Math.max(1, Math.floor(width / sidePx));
      const rows = Math.max(1, Math.floor(height / sidePx));
      const means = new Float32Array(columns * rows);
      for (let j = 0; j < rows; j++) {
        const [top, bottom] = [Math.round(j * sidePx), Math.round((j + 1) * sidePx)];
        for (let i = 0; i < columns; i++) {
          const [left, right] = [Math.round(i * sidePx), Math.round((i + 1) * sidePx)];
          const sum =
            sums[bottom * stride + right]! -
            sums[top * stride + right]! -
            sums[bottom * stride + left]! +
            sums[top * stride + left]!;
          means[j * columns + i] = Math.log(Math.max(LEAST_LIGHT, sum / ((right - left) * (bottom - top))));
        }
      }
      const image = { width: columns, height: rows, values: means, sidePx };
      made.set(sidePx, image);
      return image;
    },
  };
}
