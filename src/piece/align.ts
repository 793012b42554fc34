import { quickselect } from 'd3-array';
import { type Matrix, pseudoInverse } from 'ml-matrix';
import type { GridFrame } from '../grid.ts';
import { greatestOf } from '../lists.ts';
import { type CameraView, LENS_SIGMA, type Lens } from '../photo/lens.ts';
import type { PhotoPoint } from '../photo/photo.ts';
import { addRow, type Column, equationsOf, layOut, matrixOf, solutionOf } from './equations.ts';
import { LIGHT_TERMS } from './light-terms.ts';
import { type LogMarks, type Look, lookAt } from './look.ts';
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
  /** How sure it is that the lens's two terms are not nothing, as χ² of two numbers; 0 where the lens was not asked for. */
  readonly lensChiSquare: number;
}

export interface AlignOptions {
  readonly steps: number;
  readonly withLens: boolean;
  /** The correlation that is worth finding; a way of lying that will not come so far is left where it is. */
  readonly goal?: number;
}

/** How far the corners of a slanting view lie from those of an upright one, as a part of the side (a judgement). */
const SLANT = 0.06;
/** The marks may be so much stronger or weaker than forecast, as one standard deviation of the factor. */
const FACTOR_SIGMA = 0.7;
/** Residuals beyond so many standard deviations count less. */
const HUBER = 1.5;
const LEAST_NOISE = 0.01;
/** Corners that move by less than this part of a square lie still. */
const AT_REST = 0.02;
/** Neighbouring cells share grain, blur and what the forecast has wrong: so many count as one (by trial on simulated photos). */
const ALIKE = 40;

/** @param shown whose squares are about as large as the marks' cells on the photo. */
export function align(
  marks: LogMarks,
  shown: Shown,
  start: { readonly corners: readonly PhotoPoint[]; readonly lens: Lens },
  { steps, withLens, goal = 0 }: AlignOptions,
): Alignment | null {
  const { frame } = marks;
  const anchor = start.corners.flat();
  let values: number[] = [...anchor, start.lens.k1, start.lens.k2];
  const sidePx = sideOf(start.corners);
  const free = withLens ? 10 : 8;
  const image = shown.squares((sidePx / Math.max(frame.nx, frame.ny)) | 0);
  let best: { readonly values: readonly number[]; readonly fit: Fit } | null = null;
  let noise = 0.3;
  const gone: number[] = [];
  for (let step = 0; step <= steps; step++) {
    const view = viewOf(frame, values, start.lens);
    if (view === null) break;
    const look = lookAt(marks, image, view, withLens);
    const fit = solveFor(marks, look, { values, anchor, sidePx, free, noise });
    if (best === null || fit.correlation > best.fit.correlation) best = { values, fit };
    gone.push(fit.correlation);
    if (isInVain(gone, steps - step, goal)) break;
    noise = fit.noise;
    const { moves } = fit;
    values = values.map((value, k) => value + (moves[k] ?? 0));
    const farthest = greatestOf(moves.slice(0, 8).map(Math.abs));
    if (!values.every(Number.isFinite) || farthest < AT_REST * image.sidePx) break;
  }
  if (best === null) return null;
  const covariance = pseudoInverse(best.fit.normal);
  const [k1, k2] = [best.values[8]!, best.values[9]!];
  return {
    corners: cornersOf(best.values),
    lens: { ...start.lens, k1, k2 },
    correlation: best.fit.correlation,
    cornerPx: Math.sqrt([0, 1, 2, 3, 4, 5, 6, 7].reduce((sum, k) => sum + covariance.get(k, k), 0) / 4),
    lensChiSquare: withLens ? chiSquareOfTwo(k1, k2, covariance, 8) : 0,
  };
}

/** (a b)·C⁻¹·(a b)ᵀ. @param from where in the covariance the two begin. */
function chiSquareOfTwo(a: number, b: number, covariance: Matrix, from: number): number {
  const [aa, ab, bb] = [
    covariance.get(from, from),
    covariance.get(from, from + 1),
    covariance.get(from + 1, from + 1),
  ];
  return (a * a * bb - 2 * a * b * ab + b * b * aa) / (aa * bb - ab * ab);
}

/** Steps that tell how fast a fit gets better, and how many times as fast it may get better after them. */
const LATELY = 3;
const FASTER = 3;

/** A fit that does not get better for so many steps goes round in circles. */
const IN_CIRCLES = 8;

/** Whether further steps are in vain: the fit gets no better, or not fast enough to reach its goal. @param gone correlations of its steps so far. */
function isInVain(gone: readonly number[], stepsLeft: number, goal: number): boolean {
  if (gone.length <= LATELY) return false;
  const now = gone.at(-1)!;
  if (greatestOf(gone.slice(-IN_CIRCLES)) < greatestOf(gone)) return true;
  const gain = Math.max(0, now - gone.at(-1 - LATELY)!) / LATELY;
  return now + FASTER * gain * stepsLeft < goal;
}

const cornersOf = (values: readonly number[]): PhotoPoint[] =>
  [0, 2, 4, 6].map((k): PhotoPoint => [values[k]!, values[k + 1]!]);

function viewOf(frame: GridFrame, values: readonly number[], lens: Lens): CameraView | null {
  const map = mapToCorners(frame, cornersOf(values));
  return map && { map, lens: { ...lens, k1: values[8]!, k2: values[9]! } };
}

interface Fit {
  /** What the corners (and the lens) are to be moved by. */
  readonly moves: readonly number[];
  readonly noise: number;
  readonly correlation: number;
  /** Whose inverse is the covariance of the moves and what is solved with them. */
  readonly normal: Matrix;
}

interface Now {
  readonly values: readonly number[];
  readonly anchor: readonly number[];
  readonly sidePx: number;
  readonly free: number;
  readonly noise: number;
}

/** Functions along a row of cells, in the order they are handed on; x goes from −1 to 1. */
const [ONE, X, XX, MARKS, LIGHT] = [0, 1, 2, 3, 4] as const;
/** And what is seen of the left and the right corners as they move to the right and down, and of the lens's terms as they grow. */
const [LEFT_X, LEFT_Y, RIGHT_X, RIGHT_Y, LENS_1, LENS_2] = [5, 6, 7, 8, 9, 10] as const;

const once = () => 1;
const lower = (up: number) => 1 - up;
const upper = (up: number) => up;
const fromMiddle = (up: number) => 2 * up - 1;

/** Light is factor·marks + uneven light, the terms of `lightTermsAt`. */
const STILL_COLUMNS: readonly Column[] = [
  { of: MARKS, times: once },
  { of: ONE, times: once },
  { of: X, times: once },
  { of: ONE, times: fromMiddle },
  { of: XX, times: once },
  { of: X, times: fromMiddle },
  { of: ONE, times: (up) => fromMiddle(up) ** 2 },
  { of: LIGHT, times: once },
];

/**
 * A cell moves with each corner by its share of it, as in a plane that is stretched; a slant changes that a little, which
 * makes steps a little longer or shorter and no difference to where they end.
 */
const CORNER_COLUMNS: readonly Column[] = [
  { of: LEFT_X, times: lower },
  { of: LEFT_Y, times: lower },
  { of: RIGHT_X, times: lower },
  { of: RIGHT_Y, times: lower },
  { of: RIGHT_X, times: upper },
  { of: RIGHT_Y, times: upper },
  { of: LEFT_X, times: upper },
  { of: LEFT_Y, times: upper },
];

const LENS_COLUMNS: readonly Column[] = [
  { of: LENS_1, times: once },
  { of: LENS_2, times: once },
];

const STILL = layOut(STILL_COLUMNS);
const MOVING = layOut([...CORNER_COLUMNS, ...STILL_COLUMNS]);
const MOVING_WITH_LENS = layOut([...CORNER_COLUMNS, ...LENS_COLUMNS, ...STILL_COLUMNS]);

/** One step: light + slopes·moves = factor·marks + uneven light, least squares, with what is known of them beforehand. */
function solveFor(marks: LogMarks, look: Look, now: Now): Fit {
  const { noise, free } = now;
  const { nx, ny } = marks.frame;
  const still = regression(marks, look);
  const spread = robustSpread(still.rest, look.isSeen);
  const weights = weightsOf(still.rest, look.isSeen, Math.max(LEAST_NOISE, Math.min(noise * 2, spread)));
  const equations = equationsOf(free > 8 ? MOVING_WITH_LENS : MOVING);
  const { along } = marks;
  const moves = Array.from({ length: free > 8 ? 6 : 4 }, () => new Float64Array(nx));
  for (let j = 0; j < ny; j++) {
    setMoves(moves, look, along[X]!, j);
    addRow(
      equations,
      [...stillRow(marks, look, j), ...moves],
      weights.subarray(j * nx, (j + 1) * nx),
      (j + 0.5) / ny,
    );
  }
  const { normal, right } = matrixOf(equations);
  const hold = (at: number, value: number, sigma: number) => {
    normal.set(at, at, normal.get(at, at) + 1 / (sigma * sigma));
    right.set(at, 0, right.get(at, 0) + value / (sigma * sigma));
  };
  for (let p = 0; p < 8; p++) hold(p, now.anchor[p]! - now.values[p]!, SLANT * now.sidePx);
  for (let p = 8; p < free; p++) hold(p, -now.values[p]!, LENS_SIGMA[p - 8]!);
  hold(free, 1, FACTOR_SIGMA);
  return {
    moves: solutionOf(normal, right).slice(0, free),
    noise: spread,
    correlation: still.correlation,
    normal,
  };
}

const stillRow = ({ frame: { nx }, logs, along }: LogMarks, { light }: Look, j: number): Float64Array[] => [
  ...along,
  logs.subarray(j * nx, (j + 1) * nx),
  light.subarray(j * nx, (j + 1) * nx),
];

/** Fills in what is seen along row j as corners and lens move; taken to the other side of the equation. */
function setMoves(moves: readonly Float64Array[], look: Look, xs: Float64Array, j: number): void {
  const { slopeX, slopeY, slopeLens } = look;
  const [leftX, leftY, rightX, rightY, lens1, lens2] = moves;
  for (let i = 0, k = j * xs.length; i < xs.length; i++, k++) {
    const right = (1 + xs[i]!) / 2;
    leftX![i] = -slopeX[k]! * (1 - right);
    leftY![i] = -slopeY[k]! * (1 - right);
    rightX![i] = -slopeX[k]! * right;
    rightY![i] = -slopeY[k]! * right;
    if (slopeLens && lens1 && lens2) {
      lens1[i] = -slopeLens[2 * k]!;
      lens2[i] = -slopeLens[2 * k + 1]!;
    }
  }
}

/** Light on the marks as they lie, uneven light taken off: what is left, and how well they go together. */
function regression(marks: LogMarks, look: Look): { rest: Float64Array; correlation: number } {
  const { nx, ny } = marks.frame;
  const equations = equationsOf(STILL);
  for (let j = 0; j < ny; j++) {
    const isSeen = look.isSeen.subarray(j * nx, (j + 1) * nx);
    addRow(equations, stillRow(marks, look, j), isSeen, (j + 0.5) / ny);
  }
  const { normal, right } = matrixOf(equations);
  const both = solutionOf(normal, right);
  const lone = solutionOf(
    normal.subMatrix(1, LIGHT_TERMS, 1, LIGHT_TERMS),
    right.subMatrix(1, LIGHT_TERMS, 0, 0),
  );
  const rest = restOf(marks, look, both);
  const left = sumOfSquares(rest);
  const whole = sumOfSquares(restOf(marks, look, [0, ...lone]));
  const explained = whole > 0 ? Math.sqrt(Math.max(0, 1 - left / whole)) : 0;
  return { rest, correlation: both[0]! > 0 ? explained : -explained };
}

/** What is left of light; 0 where nothing is seen. @param solution as {@link STILL_COLUMNS} have it. */
function restOf(
  { frame: { nx, ny }, logs, along }: LogMarks,
  { light, isSeen }: Look,
  solution: readonly number[],
): Float64Array {
  const [factor, one, x1, y1, xx, xy, yy] = solution as [number, ...number[]];
  const rest = new Float64Array(light.length);
  const [, xs] = along;
  for (let j = 0, k = 0; j < ny; j++) {
    const y = (2 * (j + 0.5)) / ny - 1;
    const middle = one! + y * (y1! + y * yy!);
    const tilt = x1! + y * xy!;
    for (let i = 0; i < nx; i++, k++) {
      const x = xs![i]!;
      if (isSeen[k] === 1) rest[k] = light[k]! - factor * logs[k]! - middle - x * (tilt + x * xx!);
    }
  }
  return rest;
}

function sumOfSquares(values: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += values[k]! * values[k]!;
  return sum;
}

/** What each cell counts for; 0 where nothing is seen. @param scale one standard deviation of what is left. */
function weightsOf(rest: Float64Array, isSeen: Float64Array, scale: number): Float64Array {
  const weights = new Float64Array(rest.length);
  for (let k = 0; k < rest.length; k++) {
    const off = Math.abs(rest[k]!) / scale;
    weights[k] = (isSeen[k]! * (off > HUBER ? HUBER / off : 1)) / (scale * scale * ALIKE);
  }
  return weights;
}

/** The median absolute deviation of Gaussian noise is 0.6745 of its standard deviation. */
function robustSpread(rest: Float64Array, isSeen: Float64Array): number {
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
