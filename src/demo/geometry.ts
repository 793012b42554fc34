/**
 * The little plane geometry the demo's drawings need. Lengths are mm, angles rad, x to the right and y away
 * from the operator, as on the machine.
 */

export type Point = readonly [xMm: number, yMm: number];

/** A closed polygon; its last point joins its first. */
export type Ring = readonly Point[];

export const plus = (a: Point, b: Point): Point => [a[0] + b[0], a[1] + b[1]];
export const minus = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1]];
export const times = (a: Point, factor: number): Point => [a[0] * factor, a[1] * factor];
export const lengthOf = (a: Point): number => Math.hypot(a[0], a[1]);
export const unit = (a: Point): Point => times(a, 1 / lengthOf(a));
/** The vector turned a quarter to the left. */
export const leftOf = (a: Point): Point => [-a[1], a[0]];
/** Positive when b lies to the left of a. */
export const cross = (a: Point, b: Point): number => a[0] * b[1] - a[1] * b[0];
export const between = (a: Point, b: Point, share: number): Point => plus(a, times(minus(b, a), share));

/** Where a drawing goes: first mirrored about its own x axis, then turned, then moved. */
export interface Placement {
  readonly atMm: Point;
  readonly turnRad?: number;
  readonly mirrored?: boolean;
}

export function place(point: Point, { atMm, turnRad = 0, mirrored = false }: Placement): Point {
  const [x, y] = mirrored ? [point[0], -point[1]] : point;
  const cos = Math.cos(turnRad);
  const sin = Math.sin(turnRad);
  return [atMm[0] + cos * x - sin * y, atMm[1] + sin * x + cos * y];
}

export const placeAll = (points: readonly Point[], placement: Placement): Point[] =>
  points.map((point) => place(point, placement));

/** A point of the board, seen from the drawing that was placed there: the inverse of {@link place}. */
export function unplace(point: Point, { atMm, turnRad = 0, mirrored = false }: Placement): Point {
  const [x, y] = minus(point, atMm);
  const cos = Math.cos(turnRad);
  const sin = Math.sin(turnRad);
  const back = -sin * x + cos * y;
  return [cos * x + sin * y, mirrored ? -back : back];
}

/** `count` + 1 points of a quadratic Bézier curve, both ends included. */
export const bezier = (from: Point, control: Point, to: Point, count: number): Point[] =>
  Array.from({ length: count + 1 }, (_, k) => {
    const t = k / count;
    return between(between(from, control, t), between(control, to, t), t);
  });

/** A ribbon around a line, its width running evenly from one end to the other. */
export function ribbon(line: readonly Point[], startWidthMm: number, endWidthMm: number): Ring {
  const sides = line.map((point, k) => {
    const along = unit(minus(line[Math.min(k + 1, line.length - 1)]!, line[Math.max(k - 1, 0)]!));
    const widthMm = startWidthMm + ((endWidthMm - startWidthMm) * k) / (line.length - 1);
    const aside = times(leftOf(along), widthMm / 2);
    return { left: plus(point, aside), right: minus(point, aside) };
  });
  return [...sides.map((s) => s.left), ...sides.map((s) => s.right).reverse()];
}

/** The distance from a point to a line of straight pieces. Asked for every pixel of a picture, so in scalars. */
export function distanceTo(line: readonly Point[], [xMm, yMm]: Point): number {
  let nearestSquared = Infinity;
  for (let k = 1; k < line.length; k++) {
    const [ax, ay] = line[k - 1]!;
    const wayX = line[k]![0] - ax;
    const wayY = line[k]![1] - ay;
    const share = ((xMm - ax) * wayX + (yMm - ay) * wayY) / (wayX * wayX + wayY * wayY);
    const nearest = Math.min(1, Math.max(0, share));
    const offX = xMm - ax - nearest * wayX;
    const offY = yMm - ay - nearest * wayY;
    nearestSquared = Math.min(nearestSquared, offX * offX + offY * offY);
  }
  return Math.sqrt(nearestSquared);
}
