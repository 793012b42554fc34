import { median } from 'd3-array';
import { Matrix, pseudoInverse } from 'ml-matrix';
import { cornersOfBounds } from '../grid.ts';
import { polygonBounds } from '../polygon.ts';
import { homographyOf, mapped } from './homography.ts';
import { type CameraView, LENS_SIGMA, seenAt } from './lens.ts';
import type { PhotoPoint } from './photo.ts';

/** A place of the board, mm, and where a photo shows it, px. */
export interface SeenPlace {
  readonly atMm: readonly [xMm: number, yMm: number];
  readonly atPx: PhotoPoint;
}

export interface LensFit {
  readonly view: CameraView;
  /** How far the places lie from where the view has them, px, one standard deviation; a few that stray do not count. */
  readonly offPx: number;
  /** Σ of the squares of that, of each place no more than `MOST_OFF` deviations. */
  readonly squares: number;
}

const STEPS = 8;
const DIFFERENCE_PX = 0.01;
const DIFFERENCE_LENS = 1e-5;
/** No place of a photo is told better, px. */
const LEAST_OFF_PX = 0.1;
/** Places farther off than so many standard deviations count less. */
const MOST_OFF = 3;

/**
 * The view under which places lie where a photo shows them: least squares by Gauss and Newton over where the corners of a
 * box about them are seen, and over the lens's two terms where asked for, of which what lenses do was known before.
 * @param places at least five, of which no four on a line.
 * @returns null where they tell no view.
 */
export function fitView(places: readonly SeenPlace[], start: CameraView, withLens: boolean): LensFit | null {
  const box = cornersOfBounds(polygonBounds(places.map(({ atMm }) => atMm)));
  const free = withLens ? 10 : 8;
  let values = [...box.flatMap((corner) => mapped(start.map, corner)), start.lens.k1, start.lens.k2];
  const viewOf = (of: readonly number[]): CameraView | null => {
    const map = homographyOf(
      box,
      [0, 2, 4, 6].map((k): PhotoPoint => [of[k]!, of[k + 1]!]),
    );
    return map && { map, lens: { ...start.lens, k1: of[8]!, k2: of[9]! } };
  };
  const offOf = (of: readonly number[]): number[] | null => {
    const view = viewOf(of);
    return (
      view &&
      places.flatMap(({ atMm, atPx }) => {
        const [x, y] = seenAt(view, ...atMm);
        return [x - atPx[0], y - atPx[1]];
      })
    );
  };
  for (let step = 0; step < STEPS; step++) {
    const off = offOf(values);
    if (!off) return null;
    const spread = spreadOf(off);
    const slopes: number[][] = [];
    for (let k = 0; k < free; k++) {
      const by = k < 8 ? DIFFERENCE_PX : DIFFERENCE_LENS;
      const there = offOf(values.map((value, j) => (j === k ? value + by : value)));
      if (!there) return null;
      slopes.push(there.map((each, row) => (each - off[row]!) / by));
    }
    const weights = off.map((each) => Math.min(1, (MOST_OFF * spread) / Math.abs(each)) / spread ** 2);
    const sum = (a: readonly number[], b: readonly number[]) =>
      a.reduce((total, each, row) => total + weights[row]! * each * b[row]!, 0);
    const normal = new Matrix(slopes.map((a) => slopes.map((b) => sum(a, b))));
    const right = slopes.map((a) => -sum(a, off));
    for (let k = 8; k < free; k++) {
      const sigma = LENS_SIGMA[k - 8]!;
      normal.set(k, k, normal.get(k, k) + 1 / sigma ** 2);
      right[k]! -= values[k]! / sigma ** 2;
    }
    const moves = pseudoInverse(normal).mmul(Matrix.columnVector(right)).to1DArray();
    values = values.map((value, k) => value + (moves[k] ?? 0));
    if (!values.every(Number.isFinite)) return null;
  }
  const view = viewOf(values);
  const off = offOf(values);
  if (!view || !off) return null;
  const offPx = spreadOf(off);
  return {
    view,
    offPx,
    squares: off.reduce((total, each) => total + Math.min(each ** 2, (MOST_OFF * offPx) ** 2), 0),
  };
}

/** Δχ² of two more numbers that comes by chance once in a thousand times (any table of the χ² distribution). */
const SURELY_TOLD = 13.8;

/** Whether the lens's two terms make the places fit so much better that it is no chance. */
export const isLensTold = (straight: LensFit, bent: LensFit): boolean =>
  straight.squares - bent.squares > SURELY_TOLD * bent.offPx ** 2;

/** The median absolute deviation of Gaussian noise is 0.6745 of its standard deviation. */
const spreadOf = (off: readonly number[]): number =>
  Math.max(LEAST_OFF_PX, (median(off.map(Math.abs)) ?? 0) / 0.6745);
