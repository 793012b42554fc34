import type { Spot } from '../../src/board.ts';
import { type Homography, homographyOf, inverted, mapped } from '../../src/photo/homography.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import type { Polygon } from '../../src/polygon.ts';
import { rimOf } from './outline.ts';

/** Marked places as they lie on the photo of the board: its outline lies on both. */

/** From the board, mm, to the photo, px; null where the outlines are not those of one board with four corners. */
export function mapOfBoard(outline: Polygon, outlinePx: readonly PhotoPoint[]): Homography | null {
  if (outline.length !== outlinePx.length) return null;
  const farthest = (by: (at: readonly [number, number]) => number): number =>
    outline.reduce((best, at, k) => (by(at) > by(outline[best]!) ? k : best), 0);
  const four = [
    farthest(([x, y]) => -x - y),
    farthest(([x, y]) => x - y),
    farthest(([x, y]) => x + y),
    farthest(([x, y]) => y - x),
  ];
  if (new Set(four).size < 4) return null;
  return homographyOf(
    four.map((k) => outline[k]!),
    four.map((k) => outlinePx[k]!),
  );
}

/** The rim of a marked place on the photo. */
export const ringOf = (map: Homography, spot: Spot): PhotoPoint[] => rimOf(spot).map((at) => mapped(map, at));

/** Where a place on the photo lies on the board. */
export const boardPlaceOf = (map: Homography, at: PhotoPoint): readonly [number, number] =>
  mapped(inverted(map), at);
