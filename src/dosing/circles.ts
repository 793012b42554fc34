import { type Changed, MADE, moveSource } from '../change/changed.ts';
import type { Moves } from '../program/program.ts';

/** A circle in the plane of X and Y on which the chords of one line of a job lie. */
export interface Circle {
  readonly centreXMm: number;
  readonly centreYMm: number;
  /** So many of its chords are less than half a turn. */
  readonly mostChords: number;
}

/** Chords of an arc lie on its circle this well, as a part of its radius, but for what files round. */
const ON_CIRCLE = 2e-3;
/** Rounding of what is written, mm. */
const ROUNDING_MM = 0.01;
/** New places on a circle, mm: as many digits as are written. */
const GRAINS_PER_MM = 1e6;

/** Whether a move comes from the same line of the job as another, or is the same. */
export const isOfLine = (changed: Changed, k: number, other: number): boolean => {
  if (k === other) return true;
  const { line } = changed.program.moves;
  return line[k] === line[other] && moveSource(changed, k) !== MADE && moveSource(changed, other) !== MADE;
};

/** By move, the circle of the arc that it is a chord of; null for all that is no arc of several chords in X and Y. */
export function circlesOf(changed: Changed): readonly (Circle | null)[] {
  const { moves } = changed.program;
  const circles: (Circle | null)[] = [];
  for (let from = 0; from < moves.count; ) {
    let to = from + 1;
    while (to < moves.count && isOfLine(changed, to, from)) to++;
    const circle = to - from > 1 && moves.rapid[from] === 0 ? circleOf(moves, from, to) : null;
    for (; from < to; from++) circles.push(circle);
  }
  return circles;
}

/** The circle through the beginning of move `from`, a place about a third of the way on and one about two thirds. */
function circleOf(moves: Moves, from: number, to: number): Circle | null {
  const at = (k: number) => [moves.xMm[k] ?? 0, moves.yMm[k] ?? 0] as const;
  const third = Math.max(1, Math.floor((to - from) / 3));
  const [a, b, c] = [at(from - 1), at(from - 1 + third), at(from - 1 + 2 * third)];
  const [bx, by, cx, cy] = [b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]];
  const cross = 2 * (bx * cy - by * cx);
  if (cross === 0) return null;
  const [bb, cc] = [bx * bx + by * by, cx * cx + cy * cy];
  const x = a[0] + (cy * bb - by * cc) / cross;
  const y = a[1] + (bx * cc - cx * bb) / cross;
  const radius = Math.hypot(a[0] - x, a[1] - y);
  for (let k = from; k < to; k++) {
    const [px, py] = at(k);
    if (Math.abs(Math.hypot(px - x, py - y) - radius) > ON_CIRCLE * radius + ROUNDING_MM) return null;
  }
  const chordRad = Math.abs(angleBetween(at(from - 1), at(from), [x, y]));
  if (!(chordRad > 0)) return null;
  return { centreXMm: x, centreYMm: y, mostChords: Math.max(1, Math.floor(Math.PI / chordRad) - 1) };
}

/** The angle from one place to another about a middle, rad, −π … π. */
function angleBetween(
  [ax, ay]: readonly [number, number],
  [bx, by]: readonly [number, number],
  [x, y]: readonly [number, number],
): number {
  const [px, py, qx, qy] = [ax - x, ay - y, bx - x, by - y];
  return Math.atan2(px * qy - py * qx, px * qx + py * qy);
}

/** The place a part of the way along a chord's arc, its radius and height running evenly from end to end. */
export function alongArc(moves: Moves, k: number, part: number, { centreXMm, centreYMm }: Circle) {
  const [x0, y0, z0] = [moves.xMm[k - 1] ?? 0, moves.yMm[k - 1] ?? 0, moves.zMm[k - 1] ?? 0];
  const [x1, y1, z1] = [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!];
  const middle = [centreXMm, centreYMm] as const;
  const from = Math.hypot(x0 - centreXMm, y0 - centreYMm);
  const to = Math.hypot(x1 - centreXMm, y1 - centreYMm);
  const angle = Math.atan2(y0 - centreYMm, x0 - centreXMm) + part * angleBetween([x0, y0], [x1, y1], middle);
  const radius = from + (to - from) * part;
  const round = (mm: number) => Math.round(mm * GRAINS_PER_MM) / GRAINS_PER_MM + 0;
  return {
    xMm: round(centreXMm + radius * Math.cos(angle)),
    yMm: round(centreYMm + radius * Math.sin(angle)),
    zMm: z0 === z1 ? z1 : round(z0 + (z1 - z0) * part),
  };
}
