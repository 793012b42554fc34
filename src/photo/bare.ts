import { median } from 'd3-array';
import { Matrix, QrDecomposition, solve } from 'ml-matrix';
import { greatestOf, leastOf } from '../lists.ts';
import { type LinearRgb, threeOf } from './photo.ts';

/**
 * The light on the bare wood, everywhere on the swatch, from the places where it is bare: a low surface for
 * lamp and lens, and on it what is left of the wood's own clouds. Held in logarithms, where uneven light adds.
 */
export interface BareSample {
  readonly xMm: number;
  readonly yMm: number;
  readonly rgb: LinearRgb;
}

export interface BareLight {
  /** Linear R, G, B of the bare wood at a place. */
  at(xMm: number, yMm: number): [r: number, g: number, b: number];
  /**
   * How far single samples lie from what their neighbours say, as one standard deviation of ln R, ln G, ln B, and
   * how those go together: the covariance, row by row.
   */
  readonly scatter: readonly number[];
  /** Samples left out as knots, stains or shadows. */
  readonly leftOut: number;
  readonly samples: number;
}

/** Products x^i·y^j up to this order. */
const ORDER = 3;
/** Samples farther off than so many robust standard deviations are left out. */
const OUTLIER = 4;
const ROUNDS = 4;
/** Clouds in the wood are followed over this distance, mm, as far as there is more than noise. */
const CLOUD_MM = 2.5;
/** Samples farther than √(2·6) of that weigh nothing. */
const FARTHEST = 6;
const NEAR_MM = Math.sqrt(2 * FARTHEST) * CLOUD_MM;
/** As many samples' weight stand for the surface itself, so that a lonely sample does not rule its place. */
const SURFACE_WEIGHT = 1;

/** The scatter is found at as many samples at most. */
const MOST_PROBES = 300;

/** @param samples at least 30, well spread. */
export function bareLight(samples: readonly BareSample[]): BareLight {
  const box = boxOf(samples);
  const terms = samples.map((sample) => termsAt(box, sample.xMm, sample.yMm));
  const logs = samples.map(({ rgb }) => rgb.map((c) => Math.log(Math.max(c, 1e-5))));
  let kept = samples.map((_, k) => k);
  let surface: number[][] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const left = new Matrix(kept.map((k) => terms[k]!));
    surface = leastSquares(left, new Matrix(kept.map((k) => logs[k]!)))
      .transpose()
      .to2DArray();
    const rest = samples.map((_, k) => residual(surface, terms[k]!, logs[k]!));
    const sizes = rest.map((each) => greatestOf(each.map(Math.abs)));
    // The median absolute deviation of Gaussian noise is 0.6745 of its standard deviation.
    const limit = OUTLIER * Math.max(0.004, median(kept, (k) => sizes[k]!)! / 0.6745);
    const next = samples.map((_, k) => k).filter((k) => sizes[k]! <= limit);
    // Where nobody leaves and nobody comes back, another round says the same.
    if (next.length === kept.length && next.every((k, i) => k === kept[i])) break;
    kept = next;
  }
  const spots = kept.map((k) => samples[k]!);
  const rests = kept.map((k) => residual(surface, terms[k]!, logs[k]!));
  const around = neighbourhoods(spots, NEAR_MM);
  // Asked of thousands of places with a hundred neighbours each: numbers in a row.
  const [xs, ys] = [Float64Array.from(spots, ({ xMm }) => xMm), Float64Array.from(spots, ({ yMm }) => yMm)];
  const flat = Float64Array.from(rests.flat());

  /** What the samples around a place say beyond the surface, without the one numbered `except`. */
  const cloud = (xMm: number, yMm: number, except = -1): [number, number, number] => {
    let weight = SURFACE_WEIGHT;
    let [r, g, b] = [0, 0, 0];
    for (const k of around(xMm, yMm)) {
      const far = ((xs[k]! - xMm) ** 2 + (ys[k]! - yMm) ** 2) / (2 * CLOUD_MM * CLOUD_MM);
      if (far > FARTHEST || k === except) continue;
      const share = Math.exp(-far);
      weight += share;
      r += share * flat[3 * k]!;
      g += share * flat[3 * k + 1]!;
      b += share * flat[3 * k + 2]!;
    }
    return [r / weight, g / weight, b / weight];
  };
  const scatter = new Array<number>(9).fill(0);
  const probes = rests.map((_, k) => k).filter((k) => k % Math.ceil(rests.length / MOST_PROBES) === 0);
  for (const k of probes) {
    const rest = rests[k]!;
    const near = cloud(xs[k]!, ys[k]!, k);
    for (let a = 0; a < 3; a++) {
      for (let b = 0; b < 3; b++)
        scatter[3 * a + b]! += ((rest[a]! - near[a]!) * (rest[b]! - near[b]!)) / probes.length;
    }
  }
  return {
    at(xMm, yMm) {
      const there = termsAt(box, xMm, yMm);
      const near = cloud(xMm, yMm);
      return threeOf((c) => Math.exp(dot(surface[c]!, there) + near[c]!));
    },
    scatter,
    leftOut: samples.length - kept.length,
    samples: samples.length,
  };
}

/** Less than this part of a column is left once the others are taken off: the samples leave it open. */
const NOTHING_LEFT = 1e-9;

/** By reflections; where the samples leave something open, the least surface. */
function leastSquares(left: Matrix, right: Matrix): Matrix {
  const reflected = new QrDecomposition(left);
  const rests = reflected.upperTriangularMatrix.diagonal();
  const isTold = rests.every((rest, k) => Math.abs(rest) > NOTHING_LEFT * left.getColumnVector(k).norm());
  return isTold ? reflected.solve(right) : solve(left, right, true);
}

interface Spot {
  readonly xMm: number;
  readonly yMm: number;
}

/** Squares of the plane to one reach. */
const SQUARES = 2;
/** More of them than lie beside each other on any board. */
const MOST_SQUARES = 1 << 15;
const numberOf = (column: number, row: number): number => column * MOST_SQUARES + row;
const NONE: readonly number[] = [];

/** @returns numbers of all spots within reach of a place, and of some that are a little farther. */
function neighbourhoods(
  spots: readonly Spot[],
  reachMm: number,
): (xMm: number, yMm: number) => readonly number[] {
  const squareOf = (mm: number) => Math.floor((mm * SQUARES) / reachMm);
  const near = new Map<number, number[]>();
  for (const [k, { xMm, yMm }] of spots.entries()) {
    for (let i = -SQUARES; i <= SQUARES; i++) {
      for (let j = -SQUARES; j <= SQUARES; j++) {
        const square = numberOf(squareOf(xMm) + i, squareOf(yMm) + j);
        const known = near.get(square);
        if (known) known.push(k);
        else near.set(square, [k]);
      }
    }
  }
  return (xMm, yMm) => near.get(numberOf(squareOf(xMm), squareOf(yMm))) ?? NONE;
}

/** Middle and half size of the samples' box: the terms are taken from −1 to 1, where powers behave. */
function boxOf(samples: readonly BareSample[]) {
  const xs = samples.map(({ xMm }) => xMm);
  const ys = samples.map(({ yMm }) => yMm);
  const [minX, maxX, minY, maxY] = [leastOf(xs), greatestOf(xs), leastOf(ys), greatestOf(ys)];
  return {
    x: (minX + maxX) / 2,
    y: (minY + maxY) / 2,
    halfX: Math.max(1, (maxX - minX) / 2),
    halfY: Math.max(1, (maxY - minY) / 2),
  };
}

function termsAt(box: ReturnType<typeof boxOf>, xMm: number, yMm: number): number[] {
  const x = (xMm - box.x) / box.halfX;
  const y = (yMm - box.y) / box.halfY;
  const terms: number[] = [];
  for (let i = 0; i <= ORDER; i++) {
    for (let j = 0; i + j <= ORDER; j++) terms.push(x ** i * y ** j);
  }
  return terms;
}

const residual = (
  surface: readonly number[][],
  terms: readonly number[],
  logs: readonly number[],
): number[] => logs.map((log, c) => log - dot(surface[c]!, terms));

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, each, k) => sum + each * b[k]!, 0);
