import { lookUp } from '../burn/octave-table.ts';
import {
  addCells,
  addPoint,
  type Box,
  densityAt,
  emptyCells,
  HALVING_SMEAR,
  type HeatCells,
  pointSmear,
} from './heat-cells.ts';

/**
 * The heat that has come so far, by its age. Fresh heat is kept as the points it came in; what is older lies in
 * buckets, each of which covers a span of time that doubles from step to step of the ladder, as its cells
 * double from every other one. How old the heat of a bucket is at a place is told by the
 * moments of place and time: right for a straight stretch, the mean where the beam went to and fro.
 *
 * A bucket's cells are made when it is first asked for something within its reach: most of the heat of a long
 * row never is before it has become part of a coarse bucket.
 */
export interface Ladder {
  /** Adds the first `count` of these; times must not fall, neither here nor from call to call. */
  add(heat: Readonly<HeatPoints>, count: number): void;
  /**
   * The skin's rise at a place at `tS` from all heat that came at or before `untilS`, K. `tS` must not lie before
   * any heat that was added or before an earlier question's.
   */
  warmthK(xMm: number, yMm: number, tS: number, untilS: number): number;
}

/** Heat that comes to points, each between tS − halfS and tS + halfS. */
export interface HeatPoints {
  readonly xMm: Float64Array;
  readonly yMm: Float64Array;
  readonly tS: Float64Array;
  readonly halfS: Float64Array;
  readonly heatJ: Float64Array;
}

export interface LadderHeat {
  readonly diffusivityMm2PerS: number;
  /** Heat per volume and kelvin, J/(mm³·K). */
  readonly volumetricJPerMm3K: number;
  /** Octave table of the share of the heat in the skin over age, 1/mm (`depth-kernel.ts`). */
  readonly skin: Float32Array;
  /** Variance of the spot along each axis, mm². */
  readonly spotVarianceMm2: number;
}

/** The span of the first step, whose heat stays in points, s. */
export const FIRST_SPAN_S = 0.025;
/** A pair of buckets moves up once the younger one ended this many of its spans ago. */
const SPANS_KEPT = 1;
/** Cells are so many times narrower than the σ that the youngest heat in them has reached. */
const CELLS_PER_SIGMA = 1.2;
/**
 * Warmth falls with age ever less steeply, so heat of mixed age gives more than heat of its mean age: by this times the
 * square of its relative spread. ⅜ for a layer (age^−½), 1 for a line (age^−1), 15/8 for a point.
 */
const AGE_BEND = 1;
/** Points within so many cells of one another go into cells as one. */
const NEAR_CELLS = 0.6;
/** Buckets of this step and below are made of points, those above of the two they come from. */
const FROM_POINTS = 5;
/** What lies so many σ² away is left out: e^(−R/2) of what a bucket would give if all its heat were on the spot. */
export const REACH_SIGMA2 = 12;

/** The heat of one span of time. */
interface Bucket extends Box {
  readonly step: number;
  /** The span is index·span … (index + 1)·span. */
  readonly index: number;
  /** Points from … to − 1, counted from the first of the job. */
  from: number;
  to: number;
  firstS: number;
  lastS: number;
  heatJ: number;
  /** Sums of heat times place and time, see {@link MOMENTS}. */
  readonly moments: Float64Array;
  /** Mean place and time, and the covariances that are needed; set when the bucket is complete. */
  meanX: number;
  meanY: number;
  meanS: number;
  xx: number;
  xy: number;
  yy: number;
  xt: number;
  yt: number;
  tt: number;
  cells: HeatCells | null;
  /** Variance the cells have added. */
  smearX: number;
  smearY: number;
  readonly parts: Bucket[];
}

/** Starts an empty ladder. */
export function startLadder(heat: LadderHeat): Ladder {
  const { diffusivityMm2PerS, volumetricJPerMm3K, skin, spotVarianceMm2 } = heat;
  const perK = 1 / volumetricJPerMm3K;
  const steps: Bucket[][] = [[]];
  const points = startPoints();
  let open: Bucket | null = null;
  let nextMoveS = -Infinity;

  const spreadAt = (ageS: number): number => spotVarianceMm2 + 2 * diffusivityMm2PerS * ageS;

  /** Moves up whatever is old enough at `tS`, and says when the next will be. */
  const advance = (tS: number): void => {
    nextMoveS = Infinity;
    for (let step = 0; step < steps.length; step++) {
      const spanS = spanOf(step);
      const here = steps[step]!;
      while (here.length > 0) {
        const parent = here[0]!.index >> 1;
        const dueS = (2 * parent + 2 + SPANS_KEPT) * spanS;
        if (tS < dueS) {
          nextMoveS = Math.min(nextMoveS, dueS);
          break;
        }
        const isPair = here.length > 1 && here[1]!.index >> 1 === parent;
        const up = merged(parent, step + 1, here.splice(0, isPair ? 2 : 1));
        if (step === FROM_POINTS) {
          for (const part of up.parts) cellsOf(part);
          points.forget(up.to);
        }
        (steps[step + 1] ??= []).push(up);
      }
    }
  };

  /** A bucket's cells, made when first asked for. */
  const cellsOf = (bucket: Bucket): HeatCells => {
    if (bucket.cells) return bucket.cells;
    const cells = emptyCells(bucket, cellMmOf(bucket.step, diffusivityMm2PerS, spotVarianceMm2));
    if (bucket.step <= FROM_POINTS) fillFromPoints(bucket, cells);
    else fillFromParts(bucket, cells);
    bucket.cells = cells;
    return cells;
  };

  const fillFromPoints = (bucket: Bucket, cells: HeatCells): void => {
    const { x, y, heatJ } = points;
    const end = bucket.to - points.first;
    const nearMm = NEAR_CELLS * cells.cellMm;
    for (let k = bucket.from - points.first; k < end; ) {
      // Points near one another go in as one, at their middle.
      const x0 = x[k]!;
      const y0 = y[k]!;
      let q = 0;
      let qx = 0;
      let qy = 0;
      do {
        q += heatJ[k]!;
        qx += heatJ[k]! * x[k]!;
        qy += heatJ[k]! * y[k]!;
        k++;
      } while (k < end && Math.abs(x[k]! - x0) < nearMm && Math.abs(y[k]! - y0) < nearMm);
      addPoint(cells, qx / q, qy / q, q);
      bucket.smearX += q * pointSmear(qx / q, cells.cellMm);
      bucket.smearY += q * pointSmear(qy / q, cells.cellMm);
    }
    bucket.smearX /= bucket.heatJ;
    bucket.smearY /= bucket.heatJ;
  };

  const fillFromParts = (bucket: Bucket, cells: HeatCells): void => {
    for (const part of bucket.parts) {
      const finer = cellsOf(part);
      addCells(cells, finer);
      const added = finer.cellMm === cells.cellMm ? 0 : HALVING_SMEAR * cells.cellMm * cells.cellMm;
      bucket.smearX += (part.heatJ / bucket.heatJ) * (part.smearX + added);
      bucket.smearY += (part.heatJ / bucket.heatJ) * (part.smearY + added);
    }
    bucket.parts.length = 0;
  };

  /** What single points give, K. */
  const fromPoints = (bucket: Bucket, xMm: number, yMm: number, tS: number, untilS: number): number => {
    const { x, y, t, halfS, heatJ } = points;
    let sum = 0;
    for (let k = bucket.from - points.first; k < bucket.to - points.first; k++) {
      const ageS = tS - t[k]!;
      const half = halfS[k]!;
      if (untilS < t[k]! - half) break;
      const dx = xMm - x[k]!;
      const dy = yMm - y[k]!;
      const variance = spreadAt(ageS);
      const away = (dx * dx + dy * dy) / variance;
      if (away > REACH_SIGMA2) continue;
      const came = untilS >= t[k]! + half ? 1 : (untilS - t[k]! + half) / (2 * half);
      sum += ((came * heatJ[k]! * Math.exp(-away / 2)) / variance) * lookUp(skin, ageS);
    }
    return (sum * perK) / (2 * Math.PI);
  };

  const fromCells = (bucket: Bucket, xMm: number, yMm: number, tS: number): number => {
    const cells = cellsOf(bucket);
    const { xy, xt, yt } = bucket;
    // The time at which the heat came that is felt here, after spreading: its mean given the place, as if heat lay
    // normally distributed over place and time, t̄ + cov(t, p)·(cov(p) + σ²)⁻¹·(p − p̄); and how wide it is.
    const meanVariance = spreadAt(tS - bucket.meanS);
    const xx = bucket.xx + meanVariance;
    const yy = bucket.yy + meanVariance;
    const det = xx * yy - xy * xy;
    const slopeX = (yy * xt - xy * yt) / det;
    const slopeY = (xx * yt - xy * xt) / det;
    const cameS = bucket.meanS + slopeX * (xMm - bucket.meanX) + slopeY * (yMm - bucket.meanY);
    const ageS = tS - Math.min(bucket.lastS, Math.max(bucket.firstS, cameS));
    const spreadS2 = Math.max(0, bucket.tt - slopeX * xt - slopeY * yt);
    const variance = spreadAt(ageS);
    const density = densityAt(cells, xMm, yMm, variance - bucket.smearX, variance - bucket.smearY);
    return density * lookUp(skin, ageS) * perK * (1 + (AGE_BEND * spreadS2) / (ageS * ageS));
  };

  return {
    add(heat, count) {
      for (let k = 0; k < count; ) {
        const index = Math.floor(heat.tS[k]! / FIRST_SPAN_S);
        if (open === null || open.index !== index) {
          if (heat.tS[k]! >= nextMoveS) advance(heat.tS[k]!);
          open = emptyBucket(0, index, points.count());
          steps[0]!.push(open);
          nextMoveS = Math.min(nextMoveS, (2 * (index >> 1) + 2 + SPANS_KEPT) * FIRST_SPAN_S);
        }
        const endS = (index + 1) * FIRST_SPAN_S;
        let to = k + 1;
        while (to < count && heat.tS[to]! < endS) to++;
        points.add(heat, k, to);
        take(open, heat, k, to);
        k = to;
      }
    },
    warmthK(xMm, yMm, tS, untilS) {
      if (tS >= nextMoveS) advance(tS);
      let sum = 0;
      for (let step = 0; step < steps.length; step++) {
        const here = steps[step]!;
        for (let k = 0; k < here.length; k++) {
          const bucket = here[k]!;
          const dx = xMm < bucket.minX ? bucket.minX - xMm : xMm > bucket.maxX ? xMm - bucket.maxX : 0;
          const dy = yMm < bucket.minY ? bucket.minY - yMm : yMm > bucket.maxY ? yMm - bucket.maxY : 0;
          if (dx * dx + dy * dy > REACH_SIGMA2 * spreadAt(tS - bucket.firstS)) continue;
          if (step === 0 || (bucket.lastS > untilS && step <= FROM_POINTS)) {
            sum += fromPoints(bucket, xMm, yMm, tS, untilS);
          } else if (bucket.meanS <= untilS) sum += fromCells(bucket, xMm, yMm, tS);
        }
      }
      return sum;
    },
  };
}

const spanOf = (step: number): number => FIRST_SPAN_S * 2 ** step;

/** Width of a step's cells: it doubles from every other step to the next. */
function cellMmOf(step: number, diffusivityMm2PerS: number, spotVarianceMm2: number): number {
  // The youngest heat in the second step is at least half a pair's wait old, and half its span on the mean.
  const youngestS = ((SPANS_KEPT + 1) / 2) * spanOf(1);
  const sigmaMm = Math.sqrt(spotVarianceMm2 + 2 * diffusivityMm2PerS * youngestS);
  return (sigmaMm / CELLS_PER_SIGMA) * 2 ** ((step - 1) >> 1);
}

/** Points in the order they came, in arrays that grow; the oldest can be let go. */
interface Points {
  /** How many have been let go. */
  first: number;
  x: Float64Array;
  y: Float64Array;
  t: Float64Array;
  halfS: Float64Array;
  heatJ: Float64Array;
  count(): number;
  add(heat: Readonly<HeatPoints>, from: number, to: number): void;
  forget(before: number): void;
}

function startPoints(): Points {
  let size = 0;
  const room = (length: number) => new Float64Array(length);
  const regrown = (old: Float64Array, from: number, length: number): Float64Array => {
    const made = room(length);
    made.set(old.subarray(from, from + size));
    return made;
  };
  const resize = (from: number, length: number): void => {
    points.x = regrown(points.x, from, length);
    points.y = regrown(points.y, from, length);
    points.t = regrown(points.t, from, length);
    points.halfS = regrown(points.halfS, from, length);
    points.heatJ = regrown(points.heatJ, from, length);
  };
  const points: Points = {
    first: 0,
    x: room(4096),
    y: room(4096),
    t: room(4096),
    halfS: room(4096),
    heatJ: room(4096),
    count: () => points.first + size,
    add(heat, from, to) {
      if (size + to - from > points.x.length) resize(0, 2 * (size + to - from));
      for (let k = from; k < to; k++) {
        points.x[size] = heat.xMm[k]!;
        points.y[size] = heat.yMm[k]!;
        points.t[size] = heat.tS[k]!;
        points.halfS[size] = heat.halfS[k]!;
        points.heatJ[size] = heat.heatJ[k]!;
        size++;
      }
    },
    forget(before) {
      const gone = before - points.first;
      if (gone < size / 2) return;
      size -= gone;
      points.x.copyWithin(0, gone, gone + size);
      points.y.copyWithin(0, gone, gone + size);
      points.t.copyWithin(0, gone, gone + size);
      points.halfS.copyWithin(0, gone, gone + size);
      points.heatJ.copyWithin(0, gone, gone + size);
      points.first = before;
    },
  };
  return points;
}

function emptyBucket(step: number, index: number, from: number): Bucket {
  return {
    step,
    index,
    from,
    to: from,
    minX: Infinity,
    minY: Infinity,
    maxX: -Infinity,
    maxY: -Infinity,
    firstS: Infinity,
    lastS: -Infinity,
    heatJ: 0,
    moments: new Float64Array(MOMENTS),
    meanX: 0,
    meanY: 0,
    meanS: 0,
    xx: 0,
    xy: 0,
    yy: 0,
    xt: 0,
    yt: 0,
    tt: 0,
    cells: null,
    smearX: 0,
    smearY: 0,
    parts: [],
  };
}

/** Σ of heat times x, y, t, x², xy, y², xt, yt, t². */
const MOMENTS = 9;

function take(bucket: Bucket, heat: Readonly<HeatPoints>, from: number, to: number): void {
  const m = bucket.moments;
  let { minX, minY, maxX, maxY, heatJ } = bucket;
  for (let k = from; k < to; k++) {
    const x = heat.xMm[k]!;
    const y = heat.yMm[k]!;
    const t = heat.tS[k]!;
    const q = heat.heatJ[k]!;
    heatJ += q;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
    m[0] = m[0]! + q * x;
    m[1] = m[1]! + q * y;
    m[2] = m[2]! + q * t;
    m[3] = m[3]! + q * x * x;
    m[4] = m[4]! + q * x * y;
    m[5] = m[5]! + q * y * y;
    m[6] = m[6]! + q * x * t;
    m[7] = m[7]! + q * y * t;
    m[8] = m[8]! + q * t * t;
  }
  bucket.to += to - from;
  bucket.heatJ = heatJ;
  bucket.minX = minX;
  bucket.minY = minY;
  bucket.maxX = maxX;
  bucket.maxY = maxY;
  if (bucket.firstS === Infinity) bucket.firstS = heat.tS[from]!;
  bucket.lastS = heat.tS[to - 1]!;
}

/** One or two neighbours of a step as a bucket of the next. */
function merged(index: number, step: number, parts: Bucket[]): Bucket {
  const up = emptyBucket(step, index, parts[0]!.from);
  for (const part of parts) {
    up.to = part.to;
    up.minX = Math.min(up.minX, part.minX);
    up.minY = Math.min(up.minY, part.minY);
    up.maxX = Math.max(up.maxX, part.maxX);
    up.maxY = Math.max(up.maxY, part.maxY);
    up.firstS = Math.min(up.firstS, part.firstS);
    up.lastS = Math.max(up.lastS, part.lastS);
    up.heatJ += part.heatJ;
    for (let k = 0; k < MOMENTS; k++) up.moments[k] = up.moments[k]! + part.moments[k]!;
    // Up to here all can be made of points, and nothing else need be kept.
    if (step > FROM_POINTS) up.parts.push(part);
  }
  completed(up);
  return up;
}

/** Means and covariances from a bucket's sums. */
function completed(bucket: Bucket): void {
  const { heatJ, moments: m } = bucket;
  const [meanX, meanY, meanS] = [m[0]! / heatJ, m[1]! / heatJ, m[2]! / heatJ];
  bucket.meanX = meanX;
  bucket.meanY = meanY;
  bucket.meanS = meanS;
  bucket.xx = m[3]! / heatJ - meanX * meanX;
  bucket.xy = m[4]! / heatJ - meanX * meanY;
  bucket.yy = m[5]! / heatJ - meanY * meanY;
  bucket.xt = m[6]! / heatJ - meanX * meanS;
  bucket.yt = m[7]! / heatJ - meanY * meanS;
  bucket.tt = m[8]! / heatJ - meanS * meanS;
}
