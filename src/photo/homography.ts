import { Matrix, solve } from 'ml-matrix';

/** A point in either plane. */
type PlanePoint = readonly [x: number, y: number];

/**
 * The projective map of one plane onto another, as a camera without distortion sees a flat board: nine
 * numbers h, (x, y) ↦ ((h0·x + h1·y + h2)/w, (h3·x + h4·y + h5)/w), w = h6·x + h7·y + h8.
 */
export type Homography = readonly [
  h0: number,
  h1: number,
  h2: number,
  h3: number,
  h4: number,
  h5: number,
  h6: number,
  h7: number,
  h8: number,
];

/**
 * The map that takes four points to four others: the eight linear equations of the direct linear transform
 * (R. Hartley, A. Zisserman, *Multiple View Geometry*, ch. 4; reference from memory). null where no three
 * of either four may lie on a line, but do.
 */
export function homographyOf(from: readonly PlanePoint[], to: readonly PlanePoint[]): Homography | null {
  const rows: number[][] = [];
  const right: number[] = [];
  for (let k = 0; k < 4; k++) {
    const [x, y] = from[k]!;
    const [u, v] = to[k]!;
    rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]);
    right.push(u, v);
  }
  try {
    const h = solve(new Matrix(rows), Matrix.columnVector(right)).to1DArray();
    if (!h.every(Number.isFinite)) return null;
    return [h[0]!, h[1]!, h[2]!, h[3]!, h[4]!, h[5]!, h[6]!, h[7]!, 1];
  } catch {
    return null; // the equations have no single answer
  }
}

export function mapped(h: Homography, [x, y]: PlanePoint): [x: number, y: number] {
  const w = h[6] * x + h[7] * y + h[8];
  return [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w];
}

/** The map onto an image `factor` times larger. */
export const scaledBy = ([a, b, c, d, e, f, ...toW]: Homography, factor: number): Homography => [
  a * factor,
  b * factor,
  c * factor,
  d * factor,
  e * factor,
  f * factor,
  ...toW,
];

/** The map back: the adjugate, which is the inverse but for a factor that does not matter. */
export function inverted([a, b, c, d, e, f, g, i, j]: Homography): Homography {
  return [
    e * j - f * i,
    c * i - b * j,
    b * f - c * e,
    f * g - d * j,
    a * j - c * g,
    c * d - a * f,
    d * i - e * g,
    b * g - a * i,
    a * e - b * d,
  ];
}

/** How many times larger a small length appears at a point: the root of the map's area ratio there. */
export function scaleAt(h: Homography, point: PlanePoint): number {
  const step = 0.01;
  const [x, y] = point;
  const here = mapped(h, point);
  const right = mapped(h, [x + step, y]);
  const up = mapped(h, [x, y + step]);
  const area = (right[0] - here[0]) * (up[1] - here[1]) - (right[1] - here[1]) * (up[0] - here[0]);
  return Math.sqrt(Math.abs(area)) / step;
}
