import type { Bounds } from '../grid.ts';
import { greatestOf, leastOf } from '../lists.ts';
import { type Homography, mapped } from './homography.ts';
import type { Photo } from './photo.ts';

/**
 * Calls `visit` for the pixels whose centres lie in a rectangle of the swatch: where the centre lies, mm, and
 * the place of its red in the photo's data. Of large areas as many pixels as asked for, evenly spread.
 *
 * @param map from the swatch's millimetres to pixels, `back` its inverse.
 */
export function eachPixelIn(
  photo: Photo,
  map: Homography,
  back: Homography,
  { minXMm, minYMm, maxXMm, maxYMm }: Bounds,
  mostPixels: number,
  visit: (xMm: number, yMm: number, at: number) => void,
): void {
  const { width, height } = photo;
  const corners = [
    mapped(map, [minXMm, minYMm]),
    mapped(map, [maxXMm, minYMm]),
    mapped(map, [maxXMm, maxYMm]),
    mapped(map, [minXMm, maxYMm]),
  ];
  const xs = corners.map(([x]) => x);
  const ys = corners.map(([, y]) => y);
  const left = Math.max(0, Math.floor(leastOf(xs)));
  const right = Math.min(width - 1, Math.ceil(greatestOf(xs)));
  const top = Math.max(0, Math.floor(leastOf(ys)));
  const bottom = Math.min(height - 1, Math.ceil(greatestOf(ys)));
  const step = Math.max(1, Math.floor(Math.sqrt(((right - left) * (bottom - top)) / mostPixels)));
  const [a, b, c, d, e, f, g, h, i] = back;
  for (let row = top; row <= bottom; row += step) {
    const y = row + 0.5;
    for (let column = left; column <= right; column += step) {
      const x = column + 0.5;
      const w = g * x + h * y + i;
      const xMm = (a * x + b * y + c) / w;
      const yMm = (d * x + e * y + f) / w;
      if (xMm < minXMm || xMm >= maxXMm || yMm < minYMm || yMm >= maxYMm) continue;
      visit(xMm, yMm, (row * width + column) * 4);
    }
  }
}
