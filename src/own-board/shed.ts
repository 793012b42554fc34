import { labOfLinear } from '../photo/colour-space.ts';
import type { Plan } from './flatten.ts';

/** CIELAB of a plan, three planes, smoothed; NaN is carried along as the colour of the nearest seen place in its row. */
export function labsOf({ nx, ny, light }: Plan, reach: number): Float32Array[] {
  const planes = [0, 1, 2].map(() => new Float32Array(nx * ny));
  const last: [number, number, number] = [0, 0, 0];
  for (let k = 0; k < nx * ny; k++) {
    const [r, g, b] = [light[3 * k]!, light[3 * k + 1]!, light[3 * k + 2]!];
    if (!Number.isNaN(r)) {
      const lab = labOfLinear([r, g, b]);
      last[0] = lab[0];
      last[1] = lab[1];
      last[2] = lab[2];
    }
    for (let c = 0; c < 3; c++) planes[c]![k] = last[c]!;
  }
  const between = new Float32Array(nx * ny);
  for (const plane of planes) for (let time = 0; time < 2; time++) smooth(plane, between, nx, ny, reach);
  return planes;
}

/** In place, the mean over squares of 2·reach + 1 pixels; beyond the rim the rim's own. @param between is written on. */
function smooth(values: Float32Array, between: Float32Array, nx: number, ny: number, reach: number): void {
  if (reach < 1) return;
  setAlong(between, values, nx, ny, reach);
  setUpAndDown(values, between, nx, ny, reach);
}

/** The mean of so many pixels along each row. */
function setAlong(means: Float32Array, values: Float32Array, nx: number, ny: number, reach: number): void {
  for (let j = 0; j < ny; j++) {
    const [first, last] = [j * nx, (j + 1) * nx - 1];
    let sum = 0;
    for (let i = -reach; i <= reach; i++) sum += values[Math.min(last, Math.max(first, first + i))]!;
    for (let k = first; k <= last; k++) {
      means[k] = sum / (2 * reach + 1);
      sum += values[Math.min(last, k + reach + 1)]! - values[Math.max(first, k - reach)]!;
    }
  }
}

/** The mean of so many pixels up and down, all columns at once. */
function setUpAndDown(
  means: Float32Array,
  values: Float32Array,
  nx: number,
  ny: number,
  reach: number,
): void {
  const sums = new Float64Array(nx);
  const rowAt = (j: number): number => nx * Math.min(ny - 1, Math.max(0, j));
  for (let j = -reach; j <= reach; j++) {
    const row = rowAt(j);
    for (let i = 0; i < nx; i++) sums[i]! += values[row + i]!;
  }
  for (let j = 0, k = 0; j < ny; j++) {
    const [next, past] = [rowAt(j + reach + 1), rowAt(j - reach)];
    for (let i = 0; i < nx; i++, k++) {
      means[k] = sums[i]! / (2 * reach + 1);
      sums[i]! += values[next + i]! - values[past + i]!;
    }
  }
}

/** How steeply the colour changes at each pixel, in CIELAB units over two pixels. */
export function steepness(planes: readonly Float32Array[], nx: number, ny: number): Float32Array {
  const steep = new Float32Array(nx * ny);
  for (let j = 0; j < ny; j++) {
    const [up, down] = [j < ny - 1 ? nx : 0, j > 0 ? nx : 0];
    for (let i = 0, k = j * nx; i < nx; i++, k++) {
      const [right, left] = [i < nx - 1 ? 1 : 0, i > 0 ? 1 : 0];
      let sum = 0;
      for (const plane of planes) {
        sum += (plane[k + right]! - plane[k - left]!) ** 2 + (plane[k + up]! - plane[k - down]!) ** 2;
      }
      steep[k] = Math.sqrt(sum);
    }
  }
  return steep;
}

/** How finely steepness is told apart. */
const LEVELS = 1024;
const LEVELS_PER_UNIT = 8;
/** No pixel. */
const NONE = -1;

/**
 * Shares a plan out between basins that water would fill from marked places, where steepness is height: they meet on the
 * steepest line between them (F. Meyer's flooding; reference from memory).
 * @param marks 0: to be shared out; else the number of a basin. Written over with the answer.
 */
export function flood(steep: Float32Array, marks: Uint8Array, nx: number, ny: number): void {
  // Of each level those pixels that wait to be spread from, in a row: the first, the last, and of each the one after it.
  const firsts = new Int32Array(LEVELS).fill(NONE);
  const lasts = new Int32Array(LEVELS);
  const nexts = new Int32Array(nx * ny);
  let level = 0;
  const wait = (k: number, at: number): void => {
    nexts[k] = NONE;
    if (firsts[at] === NONE) firsts[at] = k;
    else nexts[lasts[at]!] = k;
    lasts[at] = k;
  };
  const reach = (next: number, mark: number): void => {
    if (marks[next] !== 0) return;
    marks[next] = mark;
    wait(next, Math.max(level, Math.min(LEVELS - 1, Math.floor(steep[next]! * LEVELS_PER_UNIT))));
  };
  for (let k = 0, count = nx * ny; k < count; k++) if (marks[k] !== 0) wait(k, 0);
  for (; level < LEVELS; level++) {
    for (let k = firsts[level]!; k !== NONE; k = nexts[k]!) {
      const i = k % nx;
      const mark = marks[k]!;
      if (i > 0) reach(k - 1, mark);
      if (i < nx - 1) reach(k + 1, mark);
      if (k >= nx) reach(k - nx, mark);
      if (k < nx * (ny - 1)) reach(k + nx, mark);
    }
  }
}
