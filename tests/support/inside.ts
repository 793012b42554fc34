import type { Polygon } from '../../src/polygon.ts';

/** The even-odd rule; what `depthInside` says by its sign, without the distance. */
export function isInside(polygon: Polygon, x: number, y: number): boolean {
  let inside = false;
  for (let k = 0, j = polygon.length - 1; k < polygon.length; j = k++) {
    const from = polygon[j]!;
    const to = polygon[k]!;
    if (from[1] > y !== to[1] > y && x < from[0] + ((y - from[1]) / (to[1] - from[1])) * (to[0] - from[0]))
      inside = !inside;
  }
  return inside;
}
