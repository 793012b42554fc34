import type { LineDose } from '../dose/land.ts';
import type { Grid, GridFrame } from '../grid.ts';
import type { Material } from './material.ts';

/**
 * What warmth and repeated firing do to the dose a place needs; MODEL.md has the reasons. One cool firing needs what
 * `need.ts` says. Each further one must first warm the wood again, which costs its own share; warmth that is left from
 * before is paid for already, whichever firing finds it.
 */

/** However warm, wood needs at least this part of what it needs cool: the linear law is not carried beyond. */
const LEAST = 0.25;

/**
 * The dose of all firings of a place together, as a multiple of what one cool firing needs:
 * 1 − X/X₀ + (n − 1)·max(0, c − X/X₀), with n firings, each finding the wood X warmer than the room.
 */
export const firedNeed = (firings: number, warmthK: number, material: Material): number =>
  needOfFirings(firings, warmthK / material.warmth_scale_k.value, material.firing_cost.value);

/** The same by what warmth saves, X/X₀, and what each further firing costs, c: shares of what one cool firing needs. */
export function needOfFirings(firings: number, saved: number, cost: number): number {
  const again = Math.max(0, cost - saved);
  return Math.max(LEAST, 1 - saved + (Math.max(1, firings) - 1) * again);
}

/** What warmth and repeated firing made of the need of a place. */
export interface Fired {
  /** How many times the need of one cool firing all of them have. */
  readonly needTimes: number;
  /** As how many equal firings what landed there counts; null: not followed, they count as one. */
  readonly firings: number | null;
}

/** What a place counts as where firings are not followed. */
export const NOT_FOLLOWED: Fired = { needTimes: 1, firings: null };

/** What warmth saves, X/X₀, read back from the need: the inverse of {@link needOfFirings} above its least. */
export function savedByWarmth(needTimes: number, firings: number, cost: number): number {
  const count = Math.max(1, firings);
  const saved = (1 + (count - 1) * cost - needTimes) / count;
  return saved < cost ? saved : 1 - needTimes;
}

/** How often, and how warm, each place of a board was fired; two maps on one frame, coarser than the dose's. */
export interface Firings {
  /** Mean warmth on arrival of what landed there, K. */
  readonly warmth: Grid;
  /** As how many equal firings what landed there counts, 1 and more: 1 where nothing did. */
  readonly count: Grid;
  /** The same at places along the job's lines, worked out on their path itself; null where it has none. */
  readonly lines: PlaceFirings | null;
}

/** How often and how warm places were fired; index k is place k. */
export interface PlaceFirings {
  readonly warmthK: Float64Array;
  readonly count: Float64Array;
}

/** {@link firedNeed} of the cells of a finer frame, even between the middles of the maps' own. */
interface NeedTimes {
  readonly least: number;
  readonly fill: Fill;
}

/**
 * Writes what the cells from … to − 1 have to the beginning of `out`; where `dose` is not above `leastJPerMm2` nobody
 * asks, and what stood there stays.
 */
type Fill = (from: number, to: number, dose: Float32Array, leastJPerMm2: number, out: Float32Array) => void;

/** {@link firedNeed} of any place, as a function of x and y, mm; 1 everywhere without firings. */
export const needTimesAt = (
  firings: Firings | null,
  material: Material,
): ((xMm: number, yMm: number) => number) =>
  firings ? evenBetween(firings.warmth, needTimesOfCells(firings, material)) : () => 1;

/** {@link Fired} of any place, by x and y, mm. */
export type FiredAt = (xMm: number, yMm: number) => Fired;

/** The same for the places of a job; {@link NOT_FOLLOWED} everywhere without firings. */
export function firedAt(firings: Firings | null, material: Material): FiredAt {
  if (firings === null) return () => NOT_FOLLOWED;
  const timesAt = needTimesAt(firings, material);
  const countAt = evenBetween(firings.count, firings.count.data);
  return (xMm, yMm) => ({ needTimes: timesAt(xMm, yMm), firings: countAt(xMm, yMm) });
}

/** The values of a map's cells at any point, even between their middles. */
function evenBetween(
  { nx, ny, x0Mm, y0Mm, cellMm }: GridFrame,
  values: Float32Array,
): (xMm: number, yMm: number) => number {
  return (xMm, yMm) => {
    const x = withinCells((xMm - x0Mm) / cellMm - 0.5, nx);
    const y = withinCells((yMm - y0Mm) / cellMm - 0.5, ny);
    const below = (y | 0) * nx + (x | 0);
    const right = (x | 0) < nx - 1 ? 1 : 0;
    const above = (y | 0) < ny - 1 ? below + nx : below;
    const low = values[below]! + (values[below + right]! - values[below]!) * (x - (x | 0));
    const high = values[above]! + (values[above + right]! - values[above]!) * (x - (x | 0));
    return low + (high - low) * (y - (y | 0));
  };
}

const withinCells = (at: number, cells: number): number =>
  Math.min(Math.max(cells - 1 - 1e-9, 0), Math.max(0, at));

/** {@link firedNeed} of a map's cells, for pictures and verdicts alike. */
function needTimesOfCells(firings: Firings, material: Material): Float32Array {
  const [scaleK, cost] = [material.warmth_scale_k.value, material.firing_cost.value];
  const known = timesOfFirings.get(firings);
  if (known?.scaleK === scaleK && known.cost === cost) return known.times;
  const [warmthK, counts] = [firings.warmth.data, firings.count.data];
  const times = new Float32Array(warmthK.length).fill(1);
  for (let k = 0; k < times.length; k++) {
    // Most cells were never fired, or once on cool wood.
    if (warmthK[k]! > 0 || counts[k]! > 1) times[k] = firedNeed(counts[k]!, warmthK[k]!, material);
  }
  timesOfFirings.set(firings, { scaleK, cost, times });
  return times;
}

const timesOfFirings = new WeakMap<Firings, { scaleK: number; cost: number; times: Float32Array }>();

/** The most by which what warmth saves anywhere divides a need; 1 without firings. */
export function mostSaved(firings: Firings | null, material: Material): number {
  if (firings === null) return 1;
  const { warmth, count, lines } = firings;
  return Math.max(
    mostSavedOf(count.data, warmth.data, material),
    lines ? mostSavedOf(lines.count, lines.warmthK, material) : 1,
  );
}

function mostSavedOf(counts: ArrayLike<number>, warmthK: ArrayLike<number>, material: Material): number {
  let times = 1;
  for (let k = 0; k < counts.length; k++) {
    if (!(warmthK[k]! > 0)) continue;
    const saves = firedNeed(counts[k]!, 0, material) / firedNeed(counts[k]!, warmthK[k]!, material);
    if (saves > times) times = saves;
  }
  return times;
}

/** What lines get, with {@link Fired} of their places; as they are where firings are not followed. */
export function firedLines(lines: LineDose, firings: Firings | null, material: Material): LineDose {
  if (!firings?.lines) return lines;
  const { count, warmthK } = firings.lines;
  const needTimes = count.map((often, k) => firedNeed(often, warmthK[k]!, material));
  return { ...lines, needTimes, firings: count };
}

export function startNeedTimes(frame: GridFrame, firings: Firings, material: Material): NeedTimes {
  const times = needTimesOfCells(firings, material);
  let least = 1;
  for (let k = 0; k < times.length; k++) if (times[k]! < least) least = times[k]!;
  return { least, fill: startFill(frame, firings.warmth, times) };
}

/** The same of how many firings count. */
export const startCounts = (frame: GridFrame, { count }: Firings): Fill =>
  startFill(frame, count, count.data);

/** Values of a coarse map for the cells of a finer frame, even between the middles of the map's own. */
function startFill(frame: GridFrame, map: GridFrame, values: Float32Array): Fill {
  const finer = overMap(frame, map, values);
  return (from, to, dose, leastJPerMm2, out) => fill(finer, from, to, dose, leastJPerMm2, out);
}

/** A finer frame over a coarse map. */
interface OverMap {
  readonly frame: GridFrame;
  readonly map: GridFrame;
  readonly values: Float32Array;
  /** Where each column of the frame lies among the map's own: the same in every row. */
  readonly columns: Int32Array;
  readonly parts: Float64Array;
  /** A row of the map between two of its own; one more, as long as the last has no neighbour. */
  readonly between: Float64Array;
}

function overMap(frame: GridFrame, map: GridFrame, values: Float32Array): OverMap {
  const columns = new Int32Array(frame.nx);
  const parts = new Float64Array(frame.nx);
  for (let i = 0; i < frame.nx; i++) {
    const xMm = frame.x0Mm + (i + 0.5) * frame.cellMm;
    const x = withinCells((xMm - map.x0Mm) / map.cellMm - 0.5, map.nx);
    columns[i] = x | 0;
    parts[i] = x - (x | 0);
  }
  return { frame, map, values, columns, parts, between: new Float64Array(map.nx + 1) };
}

/** Lays the row between two of the map's own that lies at a height. */
function layRow({ map, values, between }: OverMap, yMm: number): void {
  const { nx, ny } = map;
  const y = withinCells((yMm - map.y0Mm) / map.cellMm - 0.5, ny);
  const below = (y | 0) * nx;
  const above = (y | 0) < ny - 1 ? below + nx : below;
  const up = y - (y | 0);
  for (let i = 0; i < nx; i++) {
    between[i] = values[below + i]! + (values[above + i]! - values[below + i]!) * up;
  }
  between[nx] = between[nx - 1]!;
}

/** {@link Fill} of a frame over a map. */
function fill(
  over: OverMap,
  from: number,
  to: number,
  dose: Float32Array,
  leastJPerMm2: number,
  out: Float32Array,
): void {
  const { frame, columns, parts, between } = over;
  for (let k = from; k < to; ) {
    const row = Math.floor(k / frame.nx);
    const end = Math.min(to, (row + 1) * frame.nx);
    while (k < end && !(dose[k]! > leastJPerMm2)) k++;
    if (k === end) continue;
    layRow(over, frame.y0Mm + (row + 0.5) * frame.cellMm);
    for (let i = k - row * frame.nx; k < end; i++, k++) {
      if (!(dose[k]! > leastJPerMm2)) continue;
      const at = columns[i]!;
      out[k - from] = between[at]! + (between[at + 1]! - between[at]!) * parts[i]!;
    }
  }
}
