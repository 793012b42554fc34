import { defocus, meanWidthMm } from '../laser/spot.ts';
import type { Machine, Spot } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { aimBeam, type BeamKernel, beamAt, beamKernel } from './beam-kernel.ts';
import { depositStepMm, lnDwellOf } from './deposit.ts';
import { burnHeights } from './heights.ts';
import type { BeamVisitor, Stroke } from './visitor.ts';
import { walkBeam } from './walk-beam.ts';

/** Points on the work, mm. */
export interface Points {
  readonly count: number;
  readonly xMm: Float64Array;
  readonly yMm: Float64Array;
}

/**
 * What falls on points, not on cells: index k is point k. The sums are those of the grid (`Dose`), and all that the job
 * burns within the beam's reach is in them: other passes, crossings, rows beneath.
 */
export interface PointDose {
  readonly doseJPerMm2: Float64Array;
  /** Σ dose × ln(dwell in s). */
  readonly doseLnDwell: Float64Array;
  /** Σ dose × (height − `lowestMm`); null where all energy came at one height, `lowestMm`. */
  readonly doseAbove: Float64Array | null;
  readonly lowestMm: number;
}

/** Collects what falls on points. Pass it to `walkBeam`, then read `finish`. */
export interface PointDeposit extends BeamVisitor {
  finish(): PointDose;
}

/**
 * The dose at points, in closed form. Takes one walk of the beam, however many points.
 * @param heights least and greatest height of the whole job's burning, where the motion is a part of it.
 * @param stepCellMm how wide the cells are on which nothing finer need be told apart where speed changes.
 */
export function doseAtPoints(
  points: Points,
  motion: Motion,
  machine: Machine,
  heights: readonly [leastMm: number, mostMm: number] = burnHeights(motion, machine),
  stepCellMm = 0,
): PointDose {
  const deposit = startPointDeposit(points, machine.spot, heights);
  if (points.count > 0) walkBeam(motion, machine, depositStepMm(machine.spot, stepCellMm), deposit);
  return deposit.finish();
}

/** Starts a deposit on points. */
export function startPointDeposit(
  points: Points,
  spot: Spot,
  [lowestMm, highestMm]: readonly [number, number],
): PointDeposit {
  const sums = startPointSums(points, spot, highestMm > lowestMm);
  const focusMm = meanWidthMm(spot);
  const aboveMm = (z: number): number => (z > lowestMm ? z - lowestMm : 0);
  return {
    stroke(stroke) {
      // Most strokes of rows pass no place at all.
      if (!isNearPoints(sums, stroke)) return;
      const { x0, y0, x1, y1, z, durationS } = stroke;
      const dx = x1 - x0;
      const dy = y1 - y0;
      const lnDwell = lnDwellOf(defocus(spot, z) * focusMm, Math.sqrt(dx * dx + dy * dy), durationS);
      giveToNear(sums, stroke, lnDwell, aboveMm(z));
    },
    rest(stroke) {
      addToPoints(sums, stroke, Math.log(stroke.durationS), aboveMm(stroke.z));
    },
    finish() {
      const { dose, first, second } = sumsOf(sums);
      return { doseJPerMm2: dose, doseLnDwell: first, doseAbove: second, lowestMm };
    },
  };
}

/** The dose of strokes and rests on points, which lie sorted into buckets, and it times one or two weights that each has. */
export interface PointSums {
  readonly spot: Spot;
  readonly buckets: Buckets;
  readonly dose: Float64Array;
  readonly firsts: Float64Array;
  readonly seconds: Float64Array | null;
  /** Heights that blur alike share a kernel. */
  readonly kernels: Map<number, BeamKernel>;
  kernel: BeamKernel;
  zMm: number;
  /** What the stroke taken up gives to a few points per J. */
  gives: Float64Array;
  /** Columns and rows of buckets within reach of the stroke asked about last: from … to. */
  readonly near: { i0: number; i1: number; j0: number; j1: number };
}

/** A stroke, or where it has no length a rest, as points are asked about it. */
type Way = Pick<Stroke, 'x0' | 'y0' | 'x1' | 'y1' | 'z' | 'energyJ'>;

/** Starts such sums. */
export function startPointSums(points: Points, spot: Spot, withSecond: boolean): PointSums {
  const kernel = beamKernel(spot, spot.focus_z_mm);
  const buckets = sharedPlaces(sortIntoBuckets(points, kernel.reachMm), meanWidthMm(spot));
  const places = buckets.start[buckets.nx * buckets.ny]!;
  return {
    spot,
    buckets,
    dose: new Float64Array(places),
    firsts: new Float64Array(places),
    seconds: withSecond ? new Float64Array(places) : null,
    kernels: new Map(),
    kernel,
    zMm: Number.NaN,
    gives: new Float64Array(256),
    near: { i0: 0, i1: 0, j0: 0, j1: 0 },
  };
}

function focusAt(sums: PointSums, zMm: number): void {
  const { spot, kernels } = sums;
  sums.zMm = zMm;
  const key = spot.rayleigh_mm === null ? 0 : Math.round((zMm / spot.rayleigh_mm) * FOCUS_GRAINS);
  sums.kernel = kernels.get(key) ?? beamKernel(spot, zMm);
  if (kernels.size < MOST_KERNELS) kernels.set(key, sums.kernel);
}

/** Adds a stroke or a rest; only the points in its reach are asked about it. */
export function addToPoints(sums: PointSums, way: Way, first: number, second: number): void {
  if (isNearPoints(sums, way)) giveToNear(sums, way, first, second);
}

/** Whether there are points in buckets within reach of a stroke, which are then taken down. */
function isNearPoints(sums: PointSums, { x0, y0, x1, y1, z }: Way): boolean {
  if (z !== sums.zMm) focusAt(sums, z);
  const { near } = sums;
  const { nx, ny, sideMm, leftMm, lowMm, start } = sums.buckets;
  const reach = sums.kernel.reachMm;
  const i0 = Math.max(0, Math.floor((Math.min(x0, x1) - reach - leftMm) / sideMm));
  const i1 = Math.min(nx - 1, Math.floor((Math.max(x0, x1) + reach - leftMm) / sideMm));
  if (i0 > i1) return false;
  const j0 = Math.max(0, Math.floor((Math.min(y0, y1) - reach - lowMm) / sideMm));
  const j1 = Math.min(ny - 1, Math.floor((Math.max(y0, y1) + reach - lowMm) / sideMm));
  for (let j = j0; j <= j1; j++) {
    if (start[j * nx + i0]! === start[j * nx + i1 + 1]!) continue;
    near.i0 = i0;
    near.i1 = i1;
    near.j0 = j;
    near.j1 = j1;
    return true;
  }
  return false;
}

/** Adds the stroke that was asked about last to the points near it. */
function giveToNear(sums: PointSums, { x0, y0, x1, y1, energyJ }: Way, first: number, second: number): void {
  const { buckets, kernel } = sums;
  const { i0, i1, j0, j1 } = sums.near;
  const { nx, sideMm, leftMm, lowMm, start } = buckets;
  const reach = kernel.reachMm;
  const dx = x1 - x0;
  const dy = y1 - y0;
  aimBeam(kernel, x0, y0, x1, y1);
  // A slanting stroke passes only some of the buckets of each row of them.
  const slants = dy !== 0 && i1 - i0 > 3 && j1 > j0;
  for (let j = j0; j <= j1; j++) {
    let from = i0;
    let to = i1;
    if (slants) {
      const a = partAt(lowMm + j * sideMm - reach, y0, dy);
      const b = partAt(lowMm + (j + 1) * sideMm + reach, y0, dy);
      const xa = x0 + dx * a;
      const xb = x0 + dx * b;
      from = Math.max(from, Math.floor((Math.min(xa, xb) - reach - leftMm) / sideMm));
      to = Math.min(to, Math.floor((Math.max(xa, xb) + reach - leftMm) / sideMm));
    }
    const begins = start[j * nx + from]!;
    const ends = start[j * nx + to + 1]!;
    if (begins < ends) give(sums, begins, ends, energyJ, first, second);
  }
}

/** What the stroke taken up gives to the sorted points `from` … `to` − 1. */
function give(
  sums: PointSums,
  from: number,
  to: number,
  energyJ: number,
  first: number,
  second: number,
): void {
  if (sums.gives.length < to - from) sums.gives = new Float64Array(2 * (to - from));
  const { buckets, kernel, dose, firsts, seconds, gives } = sums;
  beamAt(kernel, buckets.xMm, buckets.yMm, from, to, gives);
  for (let k = from; k < to; k++) {
    const add = energyJ * gives[k - from]!;
    if (add === 0) continue;
    dose[k] = dose[k]! + add;
    firsts[k] = firsts[k]! + add * first;
    if (seconds) seconds[k] = seconds[k]! + add * second;
  }
}

/** The sums in the points' own order. */
export function sumsOf({ buckets, dose, firsts, seconds }: PointSums): {
  readonly dose: Float64Array;
  readonly first: Float64Array;
  readonly second: Float64Array | null;
} {
  const { placeOf } = buckets;
  return {
    dose: unsorted(dose, placeOf),
    first: unsorted(firsts, placeOf),
    second: seconds && unsorted(seconds, placeOf),
  };
}

function unsorted(sorted: Float64Array, placeOf: Uint32Array): Float64Array {
  const result = new Float64Array(placeOf.length);
  for (let k = 0; k < result.length; k++) result[k] = sorted[placeOf[k]!]!;
  return result;
}

/** Spots are told apart by heights this part of the Rayleigh length apart: widths within 0.1 %. */
const FOCUS_GRAINS = 500;
/** Kernels kept; a long slope in z has more heights. */
const MOST_KERNELS = 4096;
/** More buckets than this, or than {@link PER_POINT} for each point, are no quicker. */
const MOST_BUCKETS = 1_000_000;
const PER_POINT = 2;

/** Which part of a stroke lies at the height `at`, within 0 … 1. */
const partAt = (at: number, from: number, change: number): number =>
  Math.min(1, Math.max(0, (at - from) / change));

/** Points sorted by square buckets, row by row: bucket b holds the sorted points start[b] … start[b + 1] − 1. */
interface Buckets {
  readonly nx: number;
  readonly ny: number;
  readonly sideMm: number;
  readonly leftMm: number;
  readonly lowMm: number;
  readonly start: Uint32Array;
  /** For each point, in their own order, which sorted one it is. */
  readonly placeOf: Uint32Array;
  readonly xMm: Float64Array;
  readonly yMm: Float64Array;
}

function sortIntoBuckets({ count, xMm, yMm }: Points, reachMm: number): Buckets {
  let leftMm = count > 0 ? xMm[0]! : 0;
  let lowMm = count > 0 ? yMm[0]! : 0;
  let rightMm = leftMm;
  let highMm = lowMm;
  for (let k = 1; k < count; k++) {
    const x = xMm[k]!;
    const y = yMm[k]!;
    if (x < leftMm) leftMm = x;
    else if (x > rightMm) rightMm = x;
    if (y < lowMm) lowMm = y;
    else if (y > highMm) highMm = y;
  }
  const width = rightMm - leftMm;
  const height = highMm - lowMm;
  const most = Math.max(1, Math.min(MOST_BUCKETS, PER_POINT * count));
  const sideMm = Math.max(reachMm, Math.sqrt((width * height) / most), Math.max(width, height) / most);
  const nx = Math.floor(width / sideMm) + 1;
  const ny = Math.floor(height / sideMm) + 1;
  const bucket = new Uint32Array(count);
  const start = new Uint32Array(nx * ny + 1);
  for (let k = 0; k < count; k++) {
    const b = Math.floor((yMm[k]! - lowMm) / sideMm) * nx + Math.floor((xMm[k]! - leftMm) / sideMm);
    bucket[k] = b;
    start[b + 1]!++;
  }
  for (let b = 0; b < nx * ny; b++) start[b + 1]! += start[b]!;
  const placeOf = new Uint32Array(count);
  const sortedX = new Float64Array(count);
  const sortedY = new Float64Array(count);
  const left = start.slice(1);
  for (let k = count - 1; k >= 0; k--) {
    const at = --left[bucket[k]!]!;
    placeOf[k] = at;
    sortedX[at] = xMm[k]!;
    sortedY[at] = yMm[k]!;
  }
  return {
    nx,
    ny,
    sideMm,
    leftMm,
    lowMm,
    start,
    placeOf,
    xMm: sortedX,
    yMm: sortedY,
  };
}

/** In a bucket of more points than this, many passes burn along one path … */
const CROWDED = 300;
/** … and points nearer than this part of the spot's width are one: along a path that is none, across it at most 0.4 % of the dose. */
const SAME_PLACE_PER_WIDTH = 1 / 64;

/**
 * Lets points that lie in one place share it: passes along one path have places of their own, and each of their strokes
 * would be asked about all of them. What lies in the very same place gets the very same; where a bucket is crowded, as
 * with ten thousand passes, what lies as good as in one place shares it too.
 */
function sharedPlaces(buckets: Buckets, widthMm: number): Buckets {
  const { nx, ny, start, placeOf, xMm, yMm } = buckets;
  const grainMm = SAME_PLACE_PER_WIDTH * widthMm;
  /** For each sorted point the one whose place it shares, by its number among those kept. */
  const keptOf = new Uint32Array(xMm.length);
  const keptX = new Float64Array(xMm.length);
  const keptY = new Float64Array(xMm.length);
  const keptStart = new Uint32Array(start.length);
  let count = 0;
  for (let b = 0; b < nx * ny; b++) {
    const from = start[b]!;
    const to = start[b + 1]!;
    const keptFrom = count;
    const known = to - from > CROWDED ? new Map<string, number>() : null;
    for (let k = from; k < to; k++) {
      const x = xMm[k]!;
      const y = yMm[k]!;
      let at = keptFrom;
      if (known) {
        const key = `${Math.round(x / grainMm)} ${Math.round(y / grainMm)}`;
        at = known.get(key) ?? count;
        known.set(key, at);
      } else while (at < count && (keptX[at] !== x || keptY[at] !== y)) at++;
      keptOf[k] = at;
      if (at < count) continue;
      keptX[count] = x;
      keptY[count] = y;
      count++;
    }
    keptStart[b + 1] = count;
  }
  return {
    ...buckets,
    start: keptStart,
    placeOf: placeOf.map((sorted) => keptOf[sorted]!),
    xMm: keptX.subarray(0, count),
    yMm: keptY.subarray(0, count),
  };
}
