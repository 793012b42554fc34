import type { Polygon } from '../polygon.ts';

type Point = readonly [x: number, y: number];

/** An outline may leave out bends smaller than this, mm; or than one and a half pixels, where those are larger. */
const BEND_MM = 0.3;
/** Sides at least this long are fitted to all points along them; shorter ones are parts of curves. */
const STRAIGHT_MM = 6;
/** Two long sides make a corner where what lies between them comes so near to where they meet, mm. */
const CORNER_MM = 0.8;
/** What lies so near to one line is one side, mm. */
const FLAT_MM = 0.45;
/** Sides that meet at a smaller angle (its sine) are parts of a curve. */
const LEAST_ANGLE = 0.2;

/**
 * A traced edge as an outline of few straight sides: the points that matter (U. Ramer; D. Douglas, T. Peucker; reference
 * from memory), then each long side as the line that lies closest to all points along it, and corners where those meet.
 */
export function straightSides(edge: Polygon, stepMm: number): Polygon {
  const corners = withoutFlat(edge, cornersOf(edge, Math.max(BEND_MM, 1.5 * stepMm)));
  const count = corners.length;
  const lines = corners.map((from, k) => lineAlong(edge, from, corners[(k + 1) % count]!));
  const sides = lines.flatMap((line, k) => (line ? [k] : []));
  if (sides.length === 0) return corners.map((at) => edge[at]!);
  return sides.flatMap((side, n) => {
    const next = sides[(n + 1) % sides.length]!;
    // The corners from the end of this long side to the beginning of the next.
    const between = Array.from(
      { length: ((next - side + count - 1) % count) + 1 },
      (_, k) => corners[(side + 1 + k) % count]!,
    );
    return cornerBetween(edge, between, lines[side]!, lines[next]!);
  });
}

/** What lies between two long sides: the corner in which they meet, or the points of a curve. */
function cornerBetween(edge: Polygon, between: readonly number[], one: Line, other: Line): Point[] {
  const at = meet(one, other);
  const [from, to] = [between[0]!, between.at(-1)!];
  const length = (to - from + edge.length) % edge.length;
  let nearest = Infinity;
  for (let k = 0; at && k <= length; k++) {
    const [x, y] = edge[(from + k) % edge.length]!;
    nearest = Math.min(nearest, Math.hypot(at[0] - x, at[1] - y));
  }
  if (at && nearest <= CORNER_MM) return [at];
  const points = between.map((k) => edge[k]!);
  return points.map((point, k) =>
    k === 0 ? foot(one, point) : k === points.length - 1 ? foot(other, point) : point,
  );
}

/** Leaves out corners between two sides that one line fits as well. */
function withoutFlat(edge: Polygon, corners: readonly number[]): number[] {
  const kept = [...corners];
  for (let k = 0; k < kept.length && kept.length > 3; ) {
    const [from, to] = [kept[(k + kept.length - 1) % kept.length]!, kept[(k + 1) % kept.length]!];
    const line = lineAlong(edge, from, to);
    if (line && farFrom(edge, from, to, line) <= FLAT_MM) {
      kept.splice(k, 1);
      k = Math.max(0, k - 1);
    } else k++;
  }
  return kept;
}

/** How far the points between two corners lie from a line at most, mm. */
function farFrom(edge: Polygon, from: number, to: number, { on, way }: Line): number {
  const length = (to - from + edge.length) % edge.length;
  let most = 0;
  for (let k = 0; k <= length; k++) {
    const [x, y] = edge[(from + k) % edge.length]!;
    most = Math.max(most, Math.abs((x - on[0]) * way[1] - (y - on[1]) * way[0]));
  }
  return most;
}

/** Places in the list of those points that keep the edge within the tolerance. */
function cornersOf(edge: Polygon, toleranceMm: number): number[] {
  const count = edge.length;
  const from = edge[0]!;
  const far = farthest(edge, (point) => (point[0] - from[0]) ** 2 + (point[1] - from[1]) ** 2);
  // The first point of the trace is where it happened to begin; what is farthest from the farthest is a corner.
  const first = farthest(edge, (point) => (point[0] - edge[far]![0]) ** 2 + (point[1] - edge[far]![1]) ** 2);
  const kept = new Set([first, far]);
  const spans: [number, number][] = [
    [Math.min(first, far), Math.max(first, far)],
    [Math.max(first, far), Math.min(first, far) + count],
  ];
  for (let span = spans.pop(); span; span = spans.pop()) {
    const [a, b] = span;
    const [p, q] = [edge[a % count]!, edge[b % count]!];
    const length = Math.max(1e-9, Math.hypot(q[0] - p[0], q[1] - p[1]));
    let most = toleranceMm;
    let at = -1;
    for (let k = a + 1; k < b; k++) {
      const [x, y] = edge[k % count]!;
      const off = Math.abs((q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0])) / length;
      if (off > most) [most, at] = [off, k];
    }
    if (at < 0) continue;
    kept.add(at % count);
    spans.push([a, at], [at, b]);
  }
  return [...kept].sort((a, b) => a - b);
}

function farthest(edge: Polygon, distance: (point: Point) => number): number {
  let at = 0;
  let most = -1;
  edge.forEach((point, k) => {
    const away = distance(point);
    if (away > most) [most, at] = [away, k];
  });
  return at;
}

/** A line: a point on it and its direction, of length 1. */
interface Line {
  readonly on: Point;
  readonly way: Point;
}

/** The line closest to the points between two corners, less a tenth at each end; null where they are too near. */
function lineAlong(edge: Polygon, from: number, to: number): Line | null {
  const count = edge.length;
  const length = (to - from + count) % count;
  const [p, q] = [edge[from]!, edge[to]!];
  if (Math.hypot(q[0] - p[0], q[1] - p[1]) < STRAIGHT_MM || length < 12) return null;
  const points = Array.from(
    { length: length - 2 * Math.ceil(length / 10) },
    (_, k) => edge[(from + Math.ceil(length / 10) + k) % count]!,
  );
  const mean = (axis: 0 | 1) => points.reduce((sum, point) => sum + point[axis], 0) / points.length;
  const [x, y] = [mean(0), mean(1)];
  let [xx, xy, yy] = [0, 0, 0];
  for (const [u, v] of points) {
    xx += (u - x) ** 2;
    xy += (u - x) * (v - y);
    yy += (v - y) ** 2;
  }
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  return { on: [x, y], way: [Math.cos(angle), Math.sin(angle)] };
}

function meet(a: Line, b: Line): Point | null {
  const cross = a.way[0] * b.way[1] - a.way[1] * b.way[0];
  if (Math.abs(cross) < LEAST_ANGLE) return null;
  const t = ((b.on[0] - a.on[0]) * b.way[1] - (b.on[1] - a.on[1]) * b.way[0]) / cross;
  return [a.on[0] + t * a.way[0], a.on[1] + t * a.way[1]];
}

function foot({ on, way }: Line, [x, y]: Point): Point {
  const t = (x - on[0]) * way[0] + (y - on[1]) * way[1];
  return [on[0] + t * way[0], on[1] + t * way[1]];
}
