import type { Spot } from '../../src/board.ts';
import { type Homography, homographyOf, inverted, mapped } from '../../src/photo/homography.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import type { Polygon } from '../../src/polygon.ts';

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

/** Sides of a circle as it is drawn. */
const SIDES = 36;

/** The rim of a marked place on the photo. */
export const ringOf = (map: Homography, { xMm, yMm, radiusMm }: Spot): PhotoPoint[] =>
  Array.from({ length: SIDES }, (_, side) => {
    const turn = (2 * Math.PI * side) / SIDES;
    return mapped(map, [xMm + radiusMm * Math.cos(turn), yMm + radiusMm * Math.sin(turn)]);
  });

/** Where a place on the photo lies on the board. */
export const boardPlaceOf = (map: Homography, at: PhotoPoint): readonly [number, number] =>
  mapped(inverted(map), at);
