import { greatestOf } from '../../lists.ts';
import type { BareLight } from '../../photo/bare.ts';
import { type Homography, mapped } from '../../photo/homography.ts';
import { luminance, luminanceAt, type Photo, valueAt } from '../../photo/photo.ts';
import { CODE_DIGITS, codeWidthMm, type SwatchCode } from '../code.ts';
import { digitStrokes, type Point } from '../digits.ts';

/** The code as the photo shows it. */
export interface CodeReading {
  /** What the key says. */
  readonly expected: string;
  /** The likeliest digits. */
  readonly seen: string;
  /** `other`: surely not the expected one; `unread`: the photo does not tell. */
  readonly verdict: 'same' | 'other' | 'unread';
}

/** Digits are looked at on a grid this fine, and this far around, of their height. */
const STEP = 1 / 20;
const AROUND = 0.2;
/** Bare wood's light changes over millimetres: it is asked for at every so many places of the grid. */
const LIGHT_STEPS = 5;
/** How far the code may lie from its place, of its height: where the lens bends straight things. */
const SEARCH = 0.2;
/** Half the width of a burned stroke, mm: what it takes to be seen. */
const STROKE_SIGMA_MM = 0.09;
/** From the 10 to 90 % width of a blurred edge to the sigma of its blur: 2 · 1.2816 (the normal distribution). */
const EDGE_OVER_SIGMA = 2.563;
/** Correlation from which on a digit is seen at all, and by how much another must be likelier to be surely another. */
const LEAST_SEEN = 0.55;
const LEAST_LEAD = 0.15;

/**
 * Reads the code off a photo, digit by digit: the one of ten drawn digits with which the darkness correlates best.
 * All digits are shifted together, as the map errs for all alike.
 *
 * @param edgeMm 10 to 90 % of the marks' rims; null: not known.
 */
export function readCode(
  photo: Photo,
  map: Homography,
  light: BareLight,
  code: SwatchCode,
  edgeMm: number | null,
): CodeReading {
  const stepMm = STEP * code.height_mm;
  const sigmaMm = Math.hypot(STROKE_SIGMA_MM, (edgeMm ?? 0.2) / EDGE_OVER_SIGMA);
  const dark = darknessAround(photo, map, light, code, stepMm);
  const shapes = Array.from({ length: 10 }, (_, digit) =>
    shapeOf(String(digit), code.height_mm, stepMm, sigmaMm),
  );
  const reach = Math.round(SEARCH / STEP);
  let best: { sum: number; scores: number[][] } | null = null;
  for (let dj = -reach; dj <= reach; dj++) {
    for (let di = -reach; di <= reach; di++) {
      const scores = Array.from({ length: CODE_DIGITS }, (_, k) => {
        const left = Math.round(
          (k * (codeWidthMm({ ...code, text: '00' }) - codeWidthMm({ ...code, text: '0' }))) / stepMm,
        );
        return correlations(dark, shapes, reach + left + di, reach + dj);
      });
      const sum = scores.reduce((total, each) => total + greatestOf(each), 0);
      if (!best || sum > best.sum) best = { sum, scores };
    }
  }
  const { scores } = best!;
  const seen = scores.map((each) => each.indexOf(greatestOf(each))).join('');
  const leads = scores.map((each, k) => greatestOf(each) - each[Number(code.text[k])]!);
  const isSeen = scores.every((each) => greatestOf(each) >= LEAST_SEEN);
  const isOther = isSeen && leads.some((lead) => lead > LEAST_LEAD);
  return {
    expected: code.text,
    seen,
    verdict: isOther ? 'other' : isSeen && seen === code.text ? 'same' : 'unread',
  };
}

/** Numbers on a grid, row 0 the lowest. */
interface Values {
  readonly nx: number;
  readonly ny: number;
  readonly values: Float64Array;
}

/** The share of light that is missing, around the whole code and as far again as it is searched. */
function darknessAround(
  photo: Photo,
  map: Homography,
  light: BareLight,
  { at_mm: [x0, y0], ...code }: SwatchCode,
  stepMm: number,
): Values {
  const margin = Math.round(AROUND / STEP) + Math.round(SEARCH / STEP);
  const nx = Math.ceil(codeWidthMm(code) / stepMm) + 2 * margin + 1;
  const ny = Math.round(1 / STEP) + 2 * margin + 1;
  const values = new Float64Array(nx * ny);
  const place = (i: number, j: number): [number, number] => [
    x0 + (i - margin) * stepMm,
    y0 + (j - margin) * stepMm,
  ];
  const columns = Math.ceil(nx / LIGHT_STEPS) + 1;
  const rows = Math.ceil(ny / LIGHT_STEPS) + 1;
  const bare = Float32Array.from({ length: columns * rows }, (_, k) =>
    luminance(...light.at(...place(LIGHT_STEPS * (k % columns), LIGHT_STEPS * Math.floor(k / columns)))),
  );
  const bareImage = { width: columns, height: rows, values: bare };
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) {
      const wood = valueAt(bareImage, i / LIGHT_STEPS + 0.5, j / LIGHT_STEPS + 0.5);
      values[j * nx + i] = 1 - luminanceAt(photo, ...mapped(map, place(i, j))) / wood;
    }
  }
  return { nx, ny, values };
}

/** A drawn digit; all are as wide. */
interface Shape extends Values {
  /** The sum of the squares of its values. */
  readonly squares: number;
}

/** How dark a digit would be, of its darkest, with so much blur; its own middle taken off. */
function shapeOf(digit: string, heightMm: number, stepMm: number, sigmaMm: number): Shape {
  const margin = Math.round(AROUND / STEP);
  const nx = Math.ceil(codeWidthMm({ text: digit, height_mm: heightMm }) / stepMm) + 2 * margin + 1;
  const ny = Math.round(1 / STEP) + 2 * margin + 1;
  const strokes = digitStrokes(digit, [0, 0], heightMm);
  const values = new Float64Array(nx * ny);
  for (let j = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++) {
      const away = distanceMm([(i - margin) * stepMm, (j - margin) * stepMm], strokes);
      values[j * nx + i] = Math.exp(-(away * away) / (2 * sigmaMm * sigmaMm));
    }
  }
  const mean = values.reduce((sum, each) => sum + each, 0) / values.length;
  const centred = values.map((each) => each - mean);
  return { nx, ny, values: centred, squares: centred.reduce((sum, each) => sum + each * each, 0) };
}

/** From a place to the nearest stroke. */
function distanceMm([x, y]: Point, strokes: readonly Point[][]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const stroke of strokes) {
    for (let k = 1; k < stroke.length; k++) {
      const [ax, ay] = stroke[k - 1]!;
      const [bx, by] = stroke[k]!;
      const [ux, uy] = [bx - ax, by - ay];
      const along = Math.min(1, Math.max(0, ((x - ax) * ux + (y - ay) * uy) / (ux * ux + uy * uy)));
      least = Math.min(least, Math.hypot(x - ax - along * ux, y - ay - along * uy));
    }
  }
  return least;
}

/** Pearson's correlation of each of some shapes, all as large, with what lies under them, their lower left corner at (i, j). */
function correlations(dark: Values, shapes: readonly Shape[], i: number, j: number): number[] {
  const { nx, ny } = shapes[0]!;
  let [sum, squares] = [0, 0];
  for (let row = 0; row < ny; row++) {
    const from = (j + row) * dark.nx + i;
    for (let column = 0; column < nx; column++) {
      const there = dark.values[from + column]!;
      sum += there;
      squares += there * there;
    }
  }
  const spread = squares - (sum * sum) / (nx * ny);
  return shapes.map((shape) =>
    spread > 0 ? productOf(dark, shape, i, j) / Math.sqrt(spread * shape.squares) : 0,
  );
}

/** The sum of a shape times what lies under it. */
function productOf(dark: Values, { nx, ny, values }: Shape, i: number, j: number): number {
  let product = 0;
  for (let row = 0, at = 0; row < ny; row++) {
    const from = (j + row) * dark.nx + i;
    for (let column = 0; column < nx; column++, at++) product += dark.values[from + column]! * values[at]!;
  }
  return product;
}
