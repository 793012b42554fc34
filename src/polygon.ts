import type { Bounds } from './grid.ts';
import { greatestOf, leastOf } from './lists.ts';

/** A closed outline of straight sides, mm; the last point is joined to the first. */
export type Polygon = readonly (readonly [xMm: number, yMm: number])[];

/** Twice the area would be the sum of cross products; positive where the outline runs counter-clockwise. mm². */
export function signedArea(polygon: Polygon): number {
  let sum = 0;
  for (let k = 0, j = polygon.length - 1; k < polygon.length; j = k++) {
    const [x0, y0] = polygon[j]!;
    const [x1, y1] = polygon[k]!;
    sum += x0 * y1 - x1 * y0;
  }
  return sum / 2;
}

/** The rectangle around an outline, mm. */
export function polygonBounds(polygon: Polygon): Bounds {
  const xs = polygon.map(([x]) => x);
  const ys = polygon.map(([, y]) => y);
  return { minXMm: leastOf(xs), minYMm: leastOf(ys), maxXMm: greatestOf(xs), maxYMm: greatestOf(ys) };
}

/** How far a place lies from the nearest side, mm: above 0 inside the outline, below 0 outside (even-odd rule). */
export function depthInside(polygon: Polygon, xMm: number, yMm: number): number {
  let nearest = Infinity;
  let isInside = false;
  for (let k = 0, j = polygon.length - 1; k < polygon.length; j = k++) {
    const [x0, y0] = polygon[j]!;
    const [x1, y1] = polygon[k]!;
    const [dx, dy] = [x1 - x0, y1 - y0];
    const along = Math.min(
      1,
      Math.max(0, ((xMm - x0) * dx + (yMm - y0) * dy) / Math.max(1e-12, dx * dx + dy * dy)),
    );
    nearest = Math.min(nearest, (xMm - x0 - along * dx) ** 2 + (yMm - y0 - along * dy) ** 2);
    if (y0 > yMm !== y1 > yMm && xMm < x0 + ((yMm - y0) / dy) * dx) isInside = !isInside;
  }
  return (isInside ? 1 : -1) * Math.sqrt(nearest);
}

/** Where an outline crosses a height, from left to right, mm. */
export function crossingsAt(outline: Polygon, yMm: number): number[] {
  const crossings: number[] = [];
  outline.forEach(([x0, y0], k) => {
    const [x1, y1] = outline[(k + 1) % outline.length]!;
    if (y0 > yMm !== y1 > yMm) crossings.push(x0 + ((yMm - y0) / (y1 - y0)) * (x1 - x0));
  });
  return crossings.sort((a, b) => a - b);
}
