import type { GridFrame } from '../grid.ts';
import type { GreyImage } from '../photo/photo.ts';

/** Where on an image of squares a pattern of as large cells goes best, turned by some angle. */
export interface Place {
  /** The pattern's middle, squares. */
  readonly x: number;
  readonly y: number;
  readonly correlation: number;
}

const KEPT_EACH = 3;

/** The cells of a pattern that count, one after the other; together they have no mean. */
export interface Pattern {
  readonly values: Float64Array;
  /** Where each one's middle lies from the pattern's own, cells. */
  readonly u: Float64Array;
  readonly v: Float64Array;
  readonly norm: number;
}

/** @param values row by row of the frame's cells; NaN: does not count. */
export function patternOf({ nx, ny }: GridFrame, values: Float32Array): Pattern {
  const cells = Array.from(values.keys()).filter((k) => !Number.isNaN(values[k]!));
  return {
    values: Float64Array.from(cells, (k) => values[k]!),
    u: Float64Array.from(cells, (k) => (k % nx) + 0.5 - nx / 2),
    v: Float64Array.from(cells, (k) => Math.floor(k / nx) + 0.5 - ny / 2),
    norm: Math.sqrt(cells.reduce((sum, k) => sum + values[k]! ** 2, 0)),
  };
}

/** Places are gone through so many at a time: one sum need not wait for another. */
const TOGETHER = 4;

/** An image whose last places may be gone through with some that lie beyond it. */
export function searchedOf({ width, height, values }: GreyImage): GreyImage {
  const longer = new Float32Array(values.length + TOGETHER - 1);
  longer.set(values);
  return { width, height, values: longer };
}

/** A pattern turned: where its cells fall on the image, from its middle, and how far they reach. */
interface Turned {
  readonly offsets: Int32Array;
  readonly left: number;
  readonly right: number;
  readonly up: number;
  readonly down: number;
}

function turnedBy({ u, v }: Pattern, angle: number, width: number): Turned {
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const offsets = new Int32Array(u.length);
  let [left, right, up, down] = [0, 0, 0, 0];
  for (let k = 0; k < offsets.length; k++) {
    // The job's y points up, the photo's down.
    const x = Math.round(u[k]! * cos - v[k]! * sin);
    const y = Math.round(-(u[k]! * sin + v[k]! * cos));
    offsets[k] = y * width + x;
    left = Math.max(left, -x);
    right = Math.max(right, x);
    up = Math.max(up, -y);
    down = Math.max(down, y);
  }
  return { offsets, left, right, up, down };
}

/** Every so many cells tell most places to be none of the best. */
const SOME = 5;

/** The few best places that are no neighbours, the best first. @param image by {@link searchedOf}. */
export function bestPlaces(pattern: Pattern, angle: number, image: GreyImage): Place[] {
  const { width, height, values } = image;
  const { offsets, left, right, up, down } = turnedBy(pattern, angle, width);
  const some = offsets.filter((_, k) => k % SOME === 0);
  const places = width - right - left;
  const products = new Float64Array(TOGETHER * Math.ceil(Math.max(0, places) / TOGETHER));
  const best: Place[] = [];
  for (let y = up; y < height - down; y++) {
    setProducts(products, pattern.values, offsets, values, y * width + left);
    for (let k = 0; k < places; k++) {
      const both = products[k]! / pattern.norm;
      if (!(both > 0)) continue;
      const at = y * width + left + k;
      // Some cells differ from their mean by less than all do from theirs.
      const least = best.length < KEPT_EACH ? 0 : best.at(-1)!.correlation;
      if (both < least * Math.sqrt(spreadAt(values, some, at))) continue;
      const spread = spreadAt(values, offsets, at);
      if (spread > 0) keep(best, { x: left + k, y, correlation: both / Math.sqrt(spread) });
    }
  }
  return best;
}

/** Light times pattern, summed, at so many places beside each other. */
function setProducts(
  products: Float64Array,
  pattern: Float64Array,
  offsets: Int32Array,
  values: Float32Array,
  at: number,
): void {
  for (let x = 0; x < products.length; x += TOGETHER) {
    let first = 0;
    let second = 0;
    let third = 0;
    let fourth = 0;
    for (let k = 0; k < pattern.length; k++) {
      const mark = pattern[k]!;
      const from = at + x + offsets[k]!;
      first += mark * values[from]!;
      second += mark * values[from + 1]!;
      third += mark * values[from + 2]!;
      fourth += mark * values[from + 3]!;
    }
    products[x] = first;
    products[x + 1] = second;
    products[x + 2] = third;
    products[x + 3] = fourth;
  }
}

/** The sum of squares of what light differs from its mean. */
function spreadAt(values: Float32Array, offsets: Int32Array, at: number): number {
  let sum = 0;
  let squares = 0;
  for (let k = 0; k < offsets.length; k++) {
    const light = values[at + offsets[k]!]!;
    sum += light;
    squares += light * light;
  }
  return squares - (sum * sum) / offsets.length;
}

/** Keeps the best few that are no neighbours. */
function keep(best: Place[], place: Place): void {
  const near = best.findIndex(({ x, y }) => Math.abs(x - place.x) < 3 && Math.abs(y - place.y) < 3);
  if (near >= 0) {
    if (best[near]!.correlation >= place.correlation) return;
    best.splice(near, 1);
  } else if (best.length === KEPT_EACH) {
    if (best.at(-1)!.correlation >= place.correlation) return;
    best.pop();
  }
  best.push(place);
  best.sort((a, b) => b.correlation - a.correlation);
}
