import type { Block } from './gcode.ts';
import { between, cross, leftOf, lengthOf, minus, type Point, plus, times, unit } from './geometry.ts';

/** Line work as a machine follows it: straight lines and circular arcs, one after the other. */
export type Leg =
  | { readonly kind: 'line'; readonly toMm: Point }
  | { readonly kind: 'arc'; readonly toMm: Point; readonly centreMm: Point; readonly clockwise: boolean };

export interface Path {
  readonly startMm: Point;
  readonly legs: readonly Leg[];
}

export interface StrokeSettings {
  readonly s: number;
  readonly feedMmPerMin: number;
  readonly passes: number;
}

export const polyline = (points: readonly Point[]): Path => ({
  startMm: points[0]!,
  legs: points.slice(1).map((toMm) => ({ kind: 'line', toMm })),
});

export const polygon = (ring: readonly Point[]): Path => polyline([...ring, ring[0]!]);

/** A full circle that starts at its rightmost point, counter-clockwise. */
export function circle(centreMm: Point, diameterMm: number): Path {
  const startMm = plus(centreMm, [diameterMm / 2, 0]);
  return { startMm, legs: [{ kind: 'arc', toMm: startMm, centreMm, clockwise: false }] };
}

/** One arc that bows `sagittaMm` to the left of the straight way (negative: to the right). */
export function bow(fromMm: Point, toMm: Point, sagittaMm: number): Path {
  const halfChordMm = lengthOf(minus(toMm, fromMm)) / 2;
  const radiusMm = (halfChordMm ** 2 + sagittaMm ** 2) / (2 * Math.abs(sagittaMm));
  const toCentreMm = Math.sign(sagittaMm) * (Math.abs(sagittaMm) - radiusMm);
  const centreMm = plus(between(fromMm, toMm, 0.5), times(leftOf(unit(minus(toMm, fromMm))), toCentreMm));
  return { startMm: fromMm, legs: [{ kind: 'arc', toMm, centreMm, clockwise: sagittaMm > 0 }] };
}

/** A corner of an outline: sharp (radius 0), rounded off, or notched by a bite centred on the corner. */
interface Corner {
  readonly atMm: Point;
  readonly radiusMm: number;
  readonly shape: 'round' | 'notch';
}

export const sharp = (xMm: number, yMm: number): Corner => ({
  atMm: [xMm, yMm],
  radiusMm: 0,
  shape: 'round',
});
export const round = (xMm: number, yMm: number, radiusMm: number): Corner => ({
  atMm: [xMm, yMm],
  radiusMm,
  shape: 'round',
});
export const notch = (xMm: number, yMm: number, radiusMm: number): Corner => ({
  atMm: [xMm, yMm],
  radiusMm,
  shape: 'notch',
});

/** The closed outline through these corners. It starts in the middle of the first side, where no corner is near. */
export function outline(corners: readonly Corner[]): Path {
  const count = corners.length;
  const startMm = between(corners[0]!.atMm, corners[1]!.atMm, 0.5);
  const legs = Array.from({ length: count }, (_, k) => {
    const [before, corner, after] = [k, k + 1, k + 2].map((n) => corners[n % count]!);
    return aroundCorner(before!.atMm, corner!, after!.atMm);
  });
  return { startMm, legs: [...legs.flat(), { kind: 'line', toMm: startMm }] };
}

function aroundCorner(beforeMm: Point, { atMm, radiusMm, shape }: Corner, afterMm: Point): Leg[] {
  if (radiusMm === 0) return [{ kind: 'line', toMm: atMm }];
  const back = unit(minus(beforeMm, atMm));
  const onward = unit(minus(afterMm, atMm));
  const turnsLeft = cross(onward, back) > 0;
  if (shape === 'notch') {
    return [
      { kind: 'line', toMm: plus(atMm, times(back, radiusMm)) },
      { kind: 'arc', toMm: plus(atMm, times(onward, radiusMm)), centreMm: atMm, clockwise: turnsLeft },
    ];
  }
  // Inscribed circle: it touches both sides r / tan(half the angle) from the corner.
  const half = Math.acos(back[0] * onward[0] + back[1] * onward[1]) / 2;
  const touchMm = radiusMm / Math.tan(half);
  const centreMm = plus(atMm, times(unit(plus(back, onward)), radiusMm / Math.sin(half)));
  return [
    { kind: 'line', toMm: plus(atMm, times(back, touchMm)) },
    { kind: 'arc', toMm: plus(atMm, times(onward, touchMm)), centreMm, clockwise: !turnsLeft },
  ];
}

/** The path moved by the same way for every point. */
export const shifted = (path: Path, byMm: Point): Path => ({
  startMm: plus(path.startMm, byMm),
  legs: path.legs.map((leg) =>
    leg.kind === 'line'
      ? { ...leg, toMm: plus(leg.toMm, byMm) }
      : { ...leg, toMm: plus(leg.toMm, byMm), centreMm: plus(leg.centreMm, byMm) },
  ),
});

/** Travels to the path's start and burns it; a closed path is burned `passes` times without lifting the beam. */
export function burnPath(path: Path, { s, feedMmPerMin, passes }: StrokeSettings): Block[] {
  const once = path.legs.map(
    (leg): Block =>
      leg.kind === 'line'
        ? { do: 'line', toMm: leg.toMm, s, feedMmPerMin }
        : { do: 'arc', toMm: leg.toMm, centreMm: leg.centreMm, clockwise: leg.clockwise, s, feedMmPerMin },
  );
  return [{ do: 'travel', toMm: path.startMm }, ...Array.from({ length: passes }, () => once).flat()];
}
