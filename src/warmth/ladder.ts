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
 * The heat that has come so far, by its age. Fresh heat is kept as the pieces it came in; what is older lies in
 * buckets, each of which covers a span of time that doubles from step to step of the ladder, as its cells
 * double from about every other one. How old the heat of a bucket is at a place is told by the
 * moments of place and time: right for a straight stretch, the mean where the beam went to and fro.
 *
 * A bucket's cells are made when it is first asked for something within its reach: most of the heat of a long
 * row never is before it has become part of a coarse bucket.
 */
export interface Ladder extends LadderHeat {
  /** The buckets of each step, the oldest first. */
  readonly steps: Bucket[][];
  readonly pieces: Pieces;
  /** The bucket of the first step that still takes pieces. */
  open: Bucket | null;
  /** When the next buckets are old enough to move up, s. */
  nextMoveS: number;
  /** Buckets and cells that are done with, to be used again. */
  readonly spent: Bucket[];
  readonly spentCells: HeatCells[];
}

/**
 * Heat that comes evenly along short straight pieces of way: from (x − halfX, y − halfY) at t − halfS to
 * (x + halfX, y + halfY) at t + halfS. Their middles in order of time; 0 where the head rests.
 */
export interface HeatPieces {
  readonly xMm: Float64Array;
  readonly yMm: Float64Array;
  readonly halfXMm: Float64Array;
  readonly halfYMm: Float64Array;
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

/** The span of the first step, whose heat stays in pieces, s. */
export const FIRST_SPAN_S = 0.025;
/** A pair of buckets moves up once the younger one ended this many of its spans ago. */
const SPANS_KEPT = 1;
/** Cells are at most so many σ wide that the youngest heat in them has reached, else they would be felt. */
const WIDEST_CELL = 1.1;
/**
 * Warmth falls with age ever less steeply, so heat of mixed age gives more than heat of its mean age: by this times the
 * square of its relative spread. Where it falls as age^−n that is n(n + 1)/2: ⅜ for a layer (n = ½), 1 for a line (n = 1),
 * and between them as long as much of a line's width is the spot's own.
 */
function ageBend(variance: number, spotVarianceMm2: number): number {
  const n = 1 - spotVarianceMm2 / variance / 2;
  return (n * (n + 1)) / 2;
}
/** Pieces within so many cells of one another go into cells as one. */
const NEAR_CELLS = 0.6;
/** Buckets of this step and below are made of pieces, those above of the two they come from. */
const FROM_PIECES = 5;
/** Pieces count as points at most so many σ apart, squared: their sum is then within 0.2 % of an even line's. */
const APART_SIGMA2 = 2.5;
/** What lies so many σ² away is left out: e^(−R/2) of what a bucket would give if all its heat were on the spot. */
export const REACH_SIGMA2 = 12;

/** The heat of one span of time. */
interface Bucket extends Box {
  step: number;
  /** The span is index·span … (index + 1)·span. */
  index: number;
  /** Pieces from … to − 1, counted from the first of the job. */
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
export const startLadder = ({
  diffusivityMm2PerS,
  volumetricJPerMm3K,
  skin,
  spotVarianceMm2,
}: LadderHeat): Ladder => ({
  diffusivityMm2PerS,
  volumetricJPerMm3K,
  skin,
  spotVarianceMm2,
  steps: [[]],
  pieces: noPieces(),
  open: null,
  nextMoveS: -Infinity,
  spent: [],
  spentCells: [],
});

/** Adds those from `first` to `end` − 1; times must not fall, neither here nor from call to call. */
export function addHeat(ladder: Ladder, heat: Readonly<HeatPieces>, first: number, end: number): void {
  const { pieces, steps } = ladder;
  for (let k = first; k < end; ) {
    const index = Math.floor(heat.tS[k]! / FIRST_SPAN_S);
    if (ladder.open === null || ladder.open.index !== index) {
      if (heat.tS[k]! >= ladder.nextMoveS) advance(ladder, heat.tS[k]!);
      ladder.open = freshBucket(ladder, 0, index, pieces.first + pieces.size);
      steps[0]!.push(ladder.open);
      const dueS = (2 * (index >> 1) + 2 + SPANS_KEPT) * FIRST_SPAN_S;
      ladder.nextMoveS = Math.min(ladder.nextMoveS, dueS);
    }
    const endS = (index + 1) * FIRST_SPAN_S;
    let to = k + 1;
    while (to < end && heat.tS[to]! < endS) to++;
    addPieces(pieces, heat, k, to);
    take(ladder.open, heat, k, to);
    k = to;
  }
}

/**
 * The skin's rise at a place at `tS` from all heat that came at or before `untilS`, K. `tS` must not lie before
 * any heat that was added or before an earlier question's.
 */
export function warmthAt(ladder: Ladder, xMm: number, yMm: number, tS: number, untilS: number): number {
  if (tS >= ladder.nextMoveS) advance(ladder, tS);
  const { steps } = ladder;
  let sum = 0;
  for (let step = 0; step < steps.length; step++) {
    const here = steps[step]!;
    for (let k = 0; k < here.length; k++) {
      const bucket = here[k]!;
      const dx = xMm < bucket.minX ? bucket.minX - xMm : xMm > bucket.maxX ? xMm - bucket.maxX : 0;
      const dy = yMm < bucket.minY ? bucket.minY - yMm : yMm > bucket.maxY ? yMm - bucket.maxY : 0;
      if (dx * dx + dy * dy > REACH_SIGMA2 * spreadAt(ladder, tS - bucket.firstS)) continue;
      if (step === 0 || (bucket.lastS > untilS && step <= FROM_PIECES)) {
        sum += fromPieces(ladder, bucket, xMm, yMm, tS, untilS);
      } else if (bucket.meanS <= untilS) sum += fromCells(ladder, bucket, xMm, yMm, tS);
    }
  }
  return sum;
}

/** Variance of a spot's heat along each axis once it is this old, mm². */
const spreadAt = ({ spotVarianceMm2, diffusivityMm2PerS }: Ladder, ageS: number): number =>
  spotVarianceMm2 + 2 * diffusivityMm2PerS * ageS;

const freshBucket = ({ spent }: Ladder, step: number, index: number, from: number): Bucket =>
  emptied(spent.pop() ?? newBucket(), step, index, from);

function discard({ spent, spentCells }: Ladder, bucket: Bucket): void {
  if (bucket.cells) spentCells.push(bucket.cells);
  bucket.cells = null;
  spent.push(bucket);
}

/** Moves up whatever is old enough at `tS`, and says when the next will be. */
function advance(ladder: Ladder, tS: number): void {
  const { steps } = ladder;
  ladder.nextMoveS = Infinity;
  for (let step = 0; step < steps.length; step++) {
    const spanS = spanOf(step);
    const here = steps[step]!;
    while (here.length > 0) {
      const first = here[0]!;
      const parent = first.index >> 1;
      const dueS = (2 * parent + 2 + SPANS_KEPT) * spanS;
      if (tS < dueS) {
        ladder.nextMoveS = Math.min(ladder.nextMoveS, dueS);
        break;
      }
      here.shift();
      const isPair = here.length > 0 && here[0]!.index >> 1 === parent;
      const second = isPair ? here.shift()! : null;
      const up = freshBucket(ladder, step + 1, parent, first.from);
      takeIn(up, first);
      if (second) takeIn(up, second);
      completed(up);
      if (step === FROM_PIECES) {
        cellsOf(ladder, first);
        if (second) cellsOf(ladder, second);
        forgetPieces(ladder.pieces, up.to);
      }
      // As long as all can be made of pieces, nothing else need be kept.
      for (const part of second ? [first, second] : [first]) {
        if (step >= FROM_PIECES) up.parts.push(part);
        else discard(ladder, part);
      }
      (steps[step + 1] ??= []).push(up);
    }
  }
}

/** A bucket's cells, made when first asked for. */
function cellsOf(ladder: Ladder, bucket: Bucket): HeatCells {
  if (bucket.cells) return bucket.cells;
  const cellMm = cellMmOf(bucket.step, ladder.diffusivityMm2PerS, ladder.spotVarianceMm2);
  const cells = emptyCells(bucket, cellMm, ladder.spentCells.pop() ?? null);
  if (bucket.step <= FROM_PIECES) fillFromPieces(ladder.pieces, bucket, cells);
  else fillFromParts(ladder, bucket, cells);
  bucket.cells = cells;
  return cells;
}

function fillFromPieces(pieces: Pieces, bucket: Bucket, cells: HeatCells): void {
  const { x, y, halfX, halfY, heatJ } = pieces;
  const { cellMm } = cells;
  const end = bucket.to - pieces.first;
  const nearMm = NEAR_CELLS * cellMm;
  let smearX = 0;
  let smearY = 0;
  for (let k = bucket.from - pieces.first; k < end; ) {
    const lengthMm = 2 * Math.max(Math.abs(halfX[k]!), Math.abs(halfY[k]!));
    if (lengthMm > cellMm) {
      const count = Math.ceil(lengthMm / cellMm);
      const q = heatJ[k]! / count;
      for (let part = 0; part < count; part++) {
        const along = (2 * part + 1) / count - 1;
        const xHere = x[k]! + along * halfX[k]!;
        const yHere = y[k]! + along * halfY[k]!;
        addPoint(cells, xHere, yHere, q);
        smearX += q * pointSmear(xHere, cellMm);
        smearY += q * pointSmear(yHere, cellMm);
      }
      k++;
      continue;
    }
    // Pieces near one another go in as one, at their middle.
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
    smearX += q * pointSmear(qx / q, cellMm);
    smearY += q * pointSmear(qy / q, cellMm);
  }
  bucket.smearX = smearX / bucket.heatJ;
  bucket.smearY = smearY / bucket.heatJ;
}

function fillFromParts(ladder: Ladder, bucket: Bucket, cells: HeatCells): void {
  for (const part of bucket.parts) {
    const finer = cellsOf(ladder, part);
    addCells(cells, finer);
    const added = finer.cellMm === cells.cellMm ? 0 : HALVING_SMEAR * cells.cellMm * cells.cellMm;
    bucket.smearX += (part.heatJ / bucket.heatJ) * (part.smearX + added);
    bucket.smearY += (part.heatJ / bucket.heatJ) * (part.smearY + added);
    discard(ladder, part);
  }
  bucket.parts.length = 0;
}

/** What single pieces give, K. */
function fromPieces(
  ladder: Ladder,
  bucket: Bucket,
  xMm: number,
  yMm: number,
  tS: number,
  untilS: number,
): number {
  const { pieces, skin, volumetricJPerMm3K } = ladder;
  const { x, y, halfX, halfY, t, halfS, heatJ } = pieces;
  const end = bucket.to - pieces.first;
  let sum = 0;
  for (let k = bucket.from - pieces.first; k < end; k++) {
    const beganS = t[k]! - halfS[k]!;
    if (untilS < beganS) break;
    // Only its first part has come yet: a shorter piece with its middle farther back.
    const came = untilS >= t[k]! + halfS[k]! ? 1 : (untilS - beganS) / (2 * halfS[k]!);
    const hx = halfX[k]! * came;
    const hy = halfY[k]! * came;
    const dx = xMm - (x[k]! - halfX[k]! + hx);
    const dy = yMm - (y[k]! - halfY[k]! + hy);
    const ageS = tS - (beganS + halfS[k]! * came);
    const variance = spreadAt(ladder, ageS);
    const half2 = hx * hx + hy * hy;
    // (a + b)² ≤ 2a² + 2b²: nothing within reach is left out.
    if (dx * dx + dy * dy > 2 * (half2 + REACH_SIGMA2 * variance)) continue;
    const heat = came * heatJ[k]!;
    const count = Math.ceil(Math.sqrt((4 * half2) / (APART_SIGMA2 * variance)));
    if (count <= 1) {
      sum += ((heat * Math.exp((-dx * dx - dy * dy) / (2 * variance))) / variance) * lookUp(skin, ageS);
      continue;
    }
    for (let part = 0; part < count; part++) {
      const along = (2 * part + 1) / count - 1;
      const age = ageS - along * halfS[k]! * came;
      const spread = spreadAt(ladder, age);
      const away = (dx - along * hx) ** 2 + (dy - along * hy) ** 2;
      sum += ((heat * Math.exp(-away / (2 * spread))) / (count * spread)) * lookUp(skin, age);
    }
  }
  return (sum * (1 / volumetricJPerMm3K)) / (2 * Math.PI);
}

/** What a bucket gives as a whole, K. */
function fromCells(ladder: Ladder, bucket: Bucket, xMm: number, yMm: number, tS: number): number {
  const { skin, volumetricJPerMm3K, spotVarianceMm2 } = ladder;
  const cells = cellsOf(ladder, bucket);
  const { xy, xt, yt } = bucket;
  // The time at which the heat came that is felt here, after spreading: its mean given the place, as if heat lay
  // normally distributed over place and time, t̄ + cov(t, p)·(cov(p) + σ²)⁻¹·(p − p̄); and how wide it is.
  const meanVariance = spreadAt(ladder, tS - bucket.meanS);
  const xx = bucket.xx + meanVariance;
  const yy = bucket.yy + meanVariance;
  const det = xx * yy - xy * xy;
  const slopeX = (yy * xt - xy * yt) / det;
  const slopeY = (xx * yt - xy * xt) / det;
  const cameS = bucket.meanS + slopeX * (xMm - bucket.meanX) + slopeY * (yMm - bucket.meanY);
  const ageS = tS - Math.min(bucket.lastS, Math.max(bucket.firstS, cameS));
  const spreadS2 = Math.max(0, bucket.tt - slopeX * xt - slopeY * yt);
  const variance = spreadAt(ladder, ageS);
  const density = densityAt(cells, xMm, yMm, variance - bucket.smearX, variance - bucket.smearY);
  return (
    density *
    lookUp(skin, ageS) *
    (1 / volumetricJPerMm3K) *
    (1 + (ageBend(variance, spotVarianceMm2) * spreadS2) / (ageS * ageS))
  );
}

/** The span of each step, s: a power for each of them, whenever buckets move up, would take longer than all that they do. */
const SPANS_S = Float64Array.from({ length: 64 }, (_, step) => FIRST_SPAN_S * 2 ** step);
const spanOf = (step: number): number => SPANS_S[step]!;

/** Width of a step's cells: it doubles wherever they are then at most {@link WIDEST_CELL} σ of that step's youngest heat. */
function cellMmOf(step: number, diffusivityMm2PerS: number, spotVarianceMm2: number): number {
  // The youngest heat in a step is at least half a pair's wait old: its own span, the second step's on the mean.
  const sigmaAt = (of: number): number =>
    Math.sqrt(spotVarianceMm2 + diffusivityMm2PerS * (SPANS_KEPT + 1) * spanOf(of));
  const narrowest = sigmaAt(1);
  return narrowest * 2 ** Math.floor(Math.log2((WIDEST_CELL * sigmaAt(step)) / narrowest));
}

/** Pieces in the order they came, in columns that grow; the oldest can be let go. */
interface Pieces {
  /** How many have been let go, and how many are still here. */
  first: number;
  size: number;
  x: Float64Array;
  y: Float64Array;
  halfX: Float64Array;
  halfY: Float64Array;
  t: Float64Array;
  halfS: Float64Array;
  heatJ: Float64Array;
}

const COLUMNS = ['x', 'y', 'halfX', 'halfY', 't', 'halfS', 'heatJ'] as const;

function noPieces(): Pieces {
  const room = () => new Float64Array(4096);
  return {
    first: 0,
    size: 0,
    x: room(),
    y: room(),
    halfX: room(),
    halfY: room(),
    t: room(),
    halfS: room(),
    heatJ: room(),
  };
}

function addPieces(pieces: Pieces, heat: Readonly<HeatPieces>, from: number, to: number): void {
  let at = pieces.size;
  pieces.size += to - from;
  if (pieces.size > pieces.x.length) {
    for (const column of COLUMNS) {
      const longer = new Float64Array(2 * pieces.size);
      longer.set(pieces[column].subarray(0, at));
      pieces[column] = longer;
    }
  }
  const { x, y, halfX, halfY, t, halfS, heatJ } = pieces;
  for (let k = from; k < to; k++, at++) {
    x[at] = heat.xMm[k]!;
    y[at] = heat.yMm[k]!;
    halfX[at] = heat.halfXMm[k]!;
    halfY[at] = heat.halfYMm[k]!;
    t[at] = heat.tS[k]!;
    halfS[at] = heat.halfS[k]!;
    heatJ[at] = heat.heatJ[k]!;
  }
}

/** Lets go of those before this one, once they are half of all. */
function forgetPieces(pieces: Pieces, before: number): void {
  const gone = before - pieces.first;
  if (gone < pieces.size / 2) return;
  pieces.size -= gone;
  for (const column of COLUMNS) pieces[column].copyWithin(0, gone, gone + pieces.size);
  pieces.first = before;
}

const newBucket = (): Bucket => ({
  step: 0,
  index: 0,
  from: 0,
  to: 0,
  minX: 0.5,
  minY: 0.5,
  maxX: 0.5,
  maxY: 0.5,
  firstS: 0.5,
  lastS: 0.5,
  heatJ: 0.5,
  moments: new Float64Array(MOMENTS),
  meanX: 0.5,
  meanY: 0.5,
  meanS: 0.5,
  xx: 0.5,
  xy: 0.5,
  yy: 0.5,
  xt: 0.5,
  yt: 0.5,
  tt: 0.5,
  cells: null,
  smearX: 0.5,
  smearY: 0.5,
  parts: [],
});

/** A bucket to begin with; what is worked out when it is complete is left as it was. */
function emptied(bucket: Bucket, step: number, index: number, from: number): Bucket {
  bucket.step = step;
  bucket.index = index;
  bucket.from = from;
  bucket.to = from;
  bucket.minX = Infinity;
  bucket.minY = Infinity;
  bucket.maxX = -Infinity;
  bucket.maxY = -Infinity;
  bucket.firstS = Infinity;
  bucket.lastS = -Infinity;
  bucket.heatJ = 0;
  bucket.moments.fill(0);
  bucket.smearX = 0;
  bucket.smearY = 0;
  return bucket;
}

/** Σ of heat times x, y, t, x², xy, y², xt, yt, t². */
const MOMENTS = 9;

/** Adds pieces to the bucket of the first step that is still open. */
function take(bucket: Bucket, heat: Readonly<HeatPieces>, from: number, to: number): void {
  const m = bucket.moments;
  let { minX, minY, maxX, maxY, heatJ } = bucket;
  for (let k = from; k < to; k++) {
    const x = heat.xMm[k]!;
    const y = heat.yMm[k]!;
    const t = heat.tS[k]!;
    const q = heat.heatJ[k]!;
    const halfX = Math.abs(heat.halfXMm[k]!);
    const halfY = Math.abs(heat.halfYMm[k]!);
    heatJ += q;
    if (x - halfX < minX) minX = x - halfX;
    if (x + halfX > maxX) maxX = x + halfX;
    if (y - halfY < minY) minY = y - halfY;
    if (y + halfY > maxY) maxY = y + halfY;
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

/** Adds a bucket to the one of the next step that it is a part of. */
function takeIn(up: Bucket, part: Bucket): void {
  up.to = part.to;
  up.minX = Math.min(up.minX, part.minX);
  up.minY = Math.min(up.minY, part.minY);
  up.maxX = Math.max(up.maxX, part.maxX);
  up.maxY = Math.max(up.maxY, part.maxY);
  up.firstS = Math.min(up.firstS, part.firstS);
  up.lastS = Math.max(up.lastS, part.lastS);
  up.heatJ += part.heatJ;
  for (let k = 0; k < MOMENTS; k++) up.moments[k] = up.moments[k]! + part.moments[k]!;
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
