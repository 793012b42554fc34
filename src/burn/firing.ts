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
export function firedNeed(firings: number, warmthK: number, material: Material): number {
  const saved = warmthK / material.warmth_scale_k.value;
  const again = Math.max(0, material.firing_cost.value - saved);
  return Math.max(LEAST, 1 - saved + (Math.max(1, firings) - 1) * again);
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
  /**
   * Writes that of the cells from … to − 1 to the beginning of `out`; where `dose` is not above `leastJPerMm2` nobody
   * asks, and what stood there stays.
   */
  fill(from: number, to: number, dose: Float32Array, leastJPerMm2: number, out: Float32Array): void;
  /** That of a point. */
  at(xMm: number, yMm: number): number;
}

/** {@link firedNeed} of any place, as a function of x and y, mm; 1 everywhere without firings. */
export const needTimesAt = (
  firings: Firings | null,
  material: Material,
): ((xMm: number, yMm: number) => number) =>
  firings ? startNeedTimes(firings.warmth, firings, material).at : () => 1;

/** {@link firedNeed} of the places along lines. */
export const needTimesOfLines = (firings: Firings, material: Material): Float64Array =>
  Float64Array.from(firings.lines?.count ?? [], (count, k) =>
    firedNeed(count, firings.lines!.warmthK[k]!, material),
  );

export function startNeedTimes(frame: GridFrame, { warmth, count }: Firings, material: Material): NeedTimes {
  const { nx, ny, cellMm } = warmth;
  const times = new Float32Array(nx * ny);
  let least = 1;
  for (let k = 0; k < times.length; k++) {
    const value = firedNeed(count.data[k]!, warmth.data[k]!, material);
    times[k] = value;
    if (value < least) least = value;
  }
  const within = (at: number, cells: number) => Math.min(Math.max(cells - 1 - 1e-9, 0), Math.max(0, at));
  const rowAt = (yMm: number) => within((yMm - warmth.y0Mm) / cellMm - 0.5, ny);
  const columnAt = (xMm: number) => within((xMm - warmth.x0Mm) / cellMm - 0.5, nx);
  // Where each column of the finer frame lies among the map's own: the same in every row.
  const columns = new Int32Array(frame.nx);
  const parts = new Float64Array(frame.nx);
  for (let i = 0; i < frame.nx; i++) {
    const x = columnAt(frame.x0Mm + (i + 0.5) * frame.cellMm);
    columns[i] = x | 0;
    parts[i] = x - (x | 0);
  }
  // A row of the map between two of its own; one more, as long as the last has no neighbour.
  const between = new Float64Array(nx + 1);
  const layRow = (y: number): void => {
    const below = (y | 0) * nx;
    const above = (y | 0) < ny - 1 ? below + nx : below;
    const up = y - (y | 0);
    for (let i = 0; i < nx; i++) {
      between[i] = times[below + i]! + (times[above + i]! - times[below + i]!) * up;
    }
    between[nx] = between[nx - 1]!;
  };
  return {
    least,
    at(xMm, yMm) {
      const x = columnAt(xMm);
      const y = rowAt(yMm);
      const below = (y | 0) * nx + (x | 0);
      const right = (x | 0) < nx - 1 ? 1 : 0;
      const above = (y | 0) < ny - 1 ? below + nx : below;
      const low = times[below]! + (times[below + right]! - times[below]!) * (x - (x | 0));
      const high = times[above]! + (times[above + right]! - times[above]!) * (x - (x | 0));
      return low + (high - low) * (y - (y | 0));
    },
    fill(from, to, dose, leastJPerMm2, out) {
      for (let k = from; k < to; ) {
        const row = Math.floor(k / frame.nx);
        const end = Math.min(to, (row + 1) * frame.nx);
        while (k < end && !(dose[k]! > leastJPerMm2)) k++;
        if (k === end) continue;
        layRow(rowAt(frame.y0Mm + (row + 0.5) * frame.cellMm));
        for (let i = k - row * frame.nx; k < end; i++, k++) {
          if (!(dose[k]! > leastJPerMm2)) continue;
          const at = columns[i]!;
          out[k - from] = between[at]! + (between[at + 1]! - between[at]!) * parts[i]!;
        }
      }
    },
  };
}
