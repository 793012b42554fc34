import { quickselect } from 'd3-array';
import { Matrix, pseudoInverse } from 'ml-matrix';
import type { Grid } from '../grid.ts';
import { greatestOf } from '../lists.ts';
import { mapped } from '../photo/homography.ts';
import { bent, type CameraView, LENS_SIGMA, type Lens } from '../photo/lens.ts';
import { type PhotoPoint, valueAt } from '../photo/photo.ts';
import { LIGHT_TERMS, lightTermsAt } from './light-terms.ts';
import { mapToCorners, sideOf } from './search.ts';
import type { Shown } from './shown.ts';

/**
 * Marks laid on a photo to a fraction of a cell: the corners they span, and where asked for the lens, are moved until the
 * logarithm of light is the marks' own times a factor, plus uneven light (Gauss–Newton on the picture itself: B. D. Lucas
 * & T. Kanade, IJCAI 1981; reference from memory). Cells that do not fit (a knot, a mark that is missing) count less.
 */
export interface Alignment {
  readonly corners: readonly PhotoPoint[];
  readonly lens: Lens;
  /** How light and marks go together, uneven light taken off both; 1: exactly. */
  readonly correlation: number;
  /** One standard uncertainty of the corners, px. */
  readonly cornerPx: number;
  /** The same of the lens's two terms; those they are held by where the lens was not asked for. */
  readonly lensPlusMinus: readonly [k1: number, k2: number];
}

export interface AlignOptions {
  readonly steps: number;
  readonly withLens: boolean;
}

/** How far the corners of a slanting view lie from those of an upright one, as a part of the side (a judgement). */
const SLANT = 0.06;
/** The marks may be so much stronger or weaker than forecast, as one standard deviation of the factor. */
const FACTOR_SIGMA = 0.7;
/** Residuals beyond so many standard deviations count less. */
const HUBER = 1.5;
const LEAST_NOISE = 0.01;
/** Corners that move by less than this part of a square lie still. */
const STILL = 0.02;
/** Neighbouring cells share grain, blur and what the forecast has wrong: so many count as one (by trial on simulated photos). */
const ALIKE = 40;

/**
 * @param marks light over bare wood; NaN: not looked at.
 * @param shown whose squares are about as large as the marks' cells on the photo.
 */
export function align(
  marks: Grid,
  shown: Shown,
  start: { readonly corners: readonly PhotoPoint[]; readonly lens: Lens },
  { steps, withLens }: AlignOptions,
): Alignment | null {
  const known = knownOf(marks);
  const anchor = start.corners.flat();
  let values: number[] = [...anchor, start.lens.k1, start.lens.k2];
  const sidePx = sideOf(start.corners);
  const free = withLens ? 10 : 8;
  const image = shown.squares((sidePx / Math.max(marks.nx, marks.ny)) | 0);
  let best: { readonly values: readonly number[]; readonly fit: Fit } | null = null;
  let noise = 0.3;
  for (let step = 0; step <= steps; step++) {
    const view = viewOf(marks, values, start.lens);
    if (view === null) break;
    const look = lookAt(marks, image, view, free);
    const fit = solveFor(known, look, { values, anchor, sidePx, free, noise });
    if (best === null || fit.correlation > best.fit.correlation) best = { values, fit };
    noise = fit.noise;
    const { moves } = fit;
    values = values.map((value, k) => value + (moves[k] ?? 0));
    const farthest = greatestOf(Array.from(moves).slice(0, 8).map(Math.abs));
    if (!values.every(Number.isFinite) || farthest < STILL * image.sidePx) break;
  }
  if (best === null) return null;
  const { covariance, correlation } = best.fit;
  const variance = (k: number) => covariance.get(k, k);
  return {
    corners: cornersOf(best.values),
    lens: { ...start.lens, k1: best.values[8]!, k2: best.values[9]! },
    correlation,
    cornerPx: Math.sqrt([0, 1, 2, 3, 4, 5, 6, 7].reduce((sum, k) => sum + variance(k), 0) / 4),
    lensPlusMinus: withLens ? [Math.sqrt(variance(8)), Math.sqrt(variance(9))] : LENS_SIGMA,
  };
}

const cornersOf = (values: readonly number[]): PhotoPoint[] =>
  [0, 2, 4, 6].map((k): PhotoPoint => [values[k]!, values[k + 1]!]);

function viewOf(marks: Grid, values: readonly number[], lens: Lens): CameraView | null {
  const map = mapToCorners(marks, cornersOf(values));
  return map && { map, lens: { ...lens, k1: values[8]!, k2: values[9]! } };
}

/** What the photo shows on every cell, and how that changes as each value moves. */
interface Look {
  readonly light: Float64Array;
  /** Row by row of the cells, `free` numbers each. */
  readonly slopes: Float64Array;
  /** 1 where the cell lies on the photo. */
  readonly isSeen: Uint8Array;
}

type Squares = ReturnType<Shown['squares']>;

/**
 * A cell moves with each corner by its share of it, as in a plane that is stretched; a slant changes that a little, which
 * makes steps a little longer or shorter and no difference to where they end.
 */
function lookAt(
  { nx, ny, x0Mm, y0Mm, cellMm, data }: Grid,
  image: Squares,
  { map, lens }: CameraView,
  free: number,
): Look {
  const { sidePx: square, width, height } = image;
  const light = new Float64Array(nx * ny);
  const isSeen = new Uint8Array(nx * ny);
  const slopes = new Float64Array(nx * ny * free);
  const { middlePx, halfDiagonalPx } = lens;
  for (let j = 0, k = 0; j < ny; j++) {
    const v = (j + 0.5) / ny;
    for (let i = 0; i < nx; i++, k++) {
      if (Number.isNaN(data[k]!)) continue;
      const u = (i + 0.5) / nx;
      const [straightX, straightY] = mapped(map, [x0Mm + (i + 0.5) * cellMm, y0Mm + (j + 0.5) * cellMm]);
      const [px, py] = bent(lens, straightX, straightY);
      const [x, y] = [px / square, py / square];
      if (!(x >= 0 && y >= 0 && x <= width && y <= height)) continue;
      isSeen[k] = 1;
      light[k] = valueAt(image, x, y);
      const gx = (valueAt(image, x + 0.5, y) - valueAt(image, x - 0.5, y)) / square;
      const gy = (valueAt(image, x, y + 0.5) - valueAt(image, x, y - 0.5)) / square;
      const at = k * free;
      const shares = [(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v];
      for (let corner = 0; corner < 4; corner++) {
        slopes[at + 2 * corner] = gx * shares[corner]!;
        slopes[at + 2 * corner + 1] = gy * shares[corner]!;
      }
      if (free > 8) {
        const [dx, dy] = [straightX - middlePx[0], straightY - middlePx[1]];
        const r2 = (dx * dx + dy * dy) / (halfDiagonalPx * halfDiagonalPx);
        slopes[at + 8] = (gx * dx + gy * dy) * r2;
        slopes[at + 9] = (gx * dx + gy * dy) * r2 * r2;
      }
    }
  }
  return { light, slopes, isSeen };
}

interface Fit {
  /** What the corners (and the lens) are to be moved by. */
  readonly moves: readonly number[];
  readonly noise: number;
  readonly correlation: number;
  readonly covariance: Matrix;
}

interface Now {
  readonly values: readonly number[];
  readonly anchor: readonly number[];
  readonly sidePx: number;
  readonly free: number;
  readonly noise: number;
}

/**
 * One step: light + slopes·moves = factor·marks + uneven light, least squares, with what is known of slant, lens and
 * factor beforehand.
 */
function solveFor(known: Float64Array, look: Look, now: Now): Fit {
  const { free, noise } = now;
  const size = free + 1 + LIGHT_TERMS;
  const still = regression(known, look);
  const spread = robustSpread(still.rest, look.isSeen);
  const scale = Math.max(LEAST_NOISE, Math.min(noise * 2, spread));
  const lower = new Float64Array((size * (size + 1)) / 2);
  const right = new Float64Array(size);
  const row = new Float64Array(size);
  for (let k = 0; k < look.light.length; k++) {
    if (look.isSeen[k] === 0) continue;
    for (let p = 0; p < free; p++) row[p] = -look.slopes[k * free + p]!;
    for (let a = 0; a < KNOWN; a++) row[free + a] = known[k * KNOWN + a]!;
    const off = Math.abs(still.rest[k]!) / scale;
    const weight = (off > HUBER ? HUBER / off : 1) / (scale * scale * ALIKE);
    addSquare(lower, right, row, weight, look.light[k]!);
  }
  const normal = mirrored(lower, size);
  const hold = (at: number, value: number, sigma: number) => {
    normal[at * size + at]! += 1 / (sigma * sigma);
    right[at]! += value / (sigma * sigma);
  };
  for (let p = 0; p < 8; p++) hold(p, now.anchor[p]! - now.values[p]!, SLANT * now.sidePx);
  for (let p = 8; p < free; p++) hold(p, -now.values[p]!, LENS_SIGMA[p - 8]!);
  hold(free, 1, FACTOR_SIGMA);
  const covariance = pseudoInverse(Matrix.from1DArray(size, size, normal));
  const solved = covariance.mmul(Matrix.columnVector([...right])).to1DArray();
  return {
    moves: solved.slice(0, free),
    noise: spread,
    correlation: still.correlation,
    covariance,
  };
}

/** Light on the marks as they lie, uneven light taken off: what is left, and how well they go together. */
function regression(
  known: Float64Array,
  { light, isSeen }: Look,
): { rest: Float64Array; correlation: number } {
  const lower = new Float64Array((KNOWN * (KNOWN + 1)) / 2);
  const right = new Float64Array(KNOWN);
  const row = new Float64Array(KNOWN);
  for (let k = 0, at = 0; k < light.length; k++, at += KNOWN) {
    if (isSeen[k] === 0) continue;
    for (let a = 0; a < KNOWN; a++) row[a] = known[at + a]!;
    addSquare(lower, right, row, 1, light[k]!);
  }
  const normal = Matrix.from1DArray(KNOWN, KNOWN, mirrored(lower, KNOWN));
  const vector = Matrix.columnVector([...right]);
  const both = pseudoInverse(normal).mmul(vector).to1DArray();
  const lone = pseudoInverse(normal.subMatrix(1, LIGHT_TERMS, 1, LIGHT_TERMS))
    .mmul(vector.subMatrix(1, LIGHT_TERMS, 0, 0))
    .to1DArray();
  const rest = new Float64Array(light.length);
  let [left, whole] = [0, 0];
  for (let k = 0, at = 0; k < light.length; k++, at += KNOWN) {
    if (isSeen[k] === 0) continue;
    let [own, uneven] = [light[k]! - both[0]! * known[at]!, light[k]!];
    for (let a = 1; a < KNOWN; a++) {
      own -= both[a]! * known[at + a]!;
      uneven -= lone[a - 1]! * known[at + a]!;
    }
    rest[k] = own;
    left += own * own;
    whole += uneven * uneven;
  }
  const explained = whole > 0 ? Math.sqrt(Math.max(0, 1 - left / whole)) : 0;
  return { rest, correlation: both[0]! > 0 ? explained : -explained };
}

/** Adds weight × row·rowᵀ to a lower triangle, row by row of it, and weight × row × value to the right side. */
function addSquare(
  lower: Float64Array,
  right: Float64Array,
  row: Float64Array,
  weight: number,
  value: number,
): void {
  for (let a = 0, at = 0; a < row.length; a++) {
    const weighted = weight * row[a]!;
    right[a] = right[a]! + weighted * value;
    for (let b = 0; b <= a; b++, at++) lower[at] = lower[at]! + weighted * row[b]!;
  }
}

/** The whole of a symmetric matrix, from its lower triangle. */
function mirrored(lower: Float64Array, size: number): Float64Array {
  const whole = new Float64Array(size * size);
  for (let a = 0, at = 0; a < size; a++)
    for (let b = 0; b <= a; b++, at++) {
      whole[a * size + b] = lower[at]!;
      whole[b * size + a] = lower[at]!;
    }
  return whole;
}

/** Numbers a cell that light is made of: the logarithm of its marks, and the terms of uneven light. */
const KNOWN = 1 + LIGHT_TERMS;

function knownOf(marks: Grid): Float64Array {
  const known = new Float64Array(KNOWN * marks.data.length);
  for (let k = 0; k < marks.data.length; k++) {
    known[k * KNOWN] = Math.log(Math.max(0.01, marks.data[k]!));
    known.set(lightTermsAt(marks, k % marks.nx, Math.floor(k / marks.nx)), k * KNOWN + 1);
  }
  return known;
}

/** The median absolute deviation of Gaussian noise is 0.6745 of its standard deviation. */
function robustSpread(rest: Float64Array, isSeen: Uint8Array): number {
  const sizes = new Float64Array(rest.length);
  let count = 0;
  for (let k = 0; k < rest.length; k++) if (isSeen[k] === 1) sizes[count++] = Math.abs(rest[k]!);
  return (count > 0 ? medianOf(sizes.subarray(0, count)) : 1) / 0.6745;
}

/** Half-way between the two middle ones; the values are put into another order. */
function medianOf(values: Float64Array): number {
  const middle = (values.length - 1) >> 1;
  const least = quickselect(values, middle)[middle]!;
  if (values.length % 2 === 1) return least;
  let next = Infinity;
  for (let k = middle + 1; k < values.length; k++) next = Math.min(next, values[k]!);
  return least + (next - least) * 0.5;
}
