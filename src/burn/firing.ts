import type { Points } from '../dose/point-dose.ts';
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
}

/** {@link firedNeed} of the cells of a finer frame, even between the middles of the maps' own. */
interface NeedTimes {
  readonly least: number;
  /** Writes that of the cells from … to − 1 to the beginning of `out`. */
  fill(from: number, to: number, out: Float32Array): void;
  /** That of a point. */
  at(xMm: number, yMm: number): number;
}

/** {@link firedNeed} of points. */
export function needTimesOf(points: Points, firings: Firings, material: Material): Float64Array {
  const { at } = startNeedTimes(firings.warmth, firings, material);
  const { count, xMm, yMm } = points;
  return Float64Array.from({ length: count }, (_, k) => at(xMm[k]!, yMm[k]!));
}

export function startNeedTimes(frame: GridFrame, { warmth, count }: Firings, material: Material): NeedTimes {
  const { nx, ny, cellMm } = warmth;
  const times = warmth.data.map((warmthK, k) => firedNeed(count.data[k]!, warmthK, material));
  const scale = frame.cellMm / cellMm;
  const left = (frame.x0Mm + frame.cellMm / 2 - warmth.x0Mm) / cellMm - 0.5;
  const bottom = (frame.y0Mm + frame.cellMm / 2 - warmth.y0Mm) / cellMm - 0.5;
  const within = (at: number, cells: number) => Math.min(Math.max(cells - 1 - 1e-9, 0), Math.max(0, at));
  return {
    least: times.reduce((least, value) => Math.min(least, value), 1),
    at(xMm, yMm) {
      const x = within((xMm - warmth.x0Mm) / cellMm - 0.5, nx);
      const y = within((yMm - warmth.y0Mm) / cellMm - 0.5, ny);
      const below = (y | 0) * nx + (x | 0);
      const right = (x | 0) < nx - 1 ? 1 : 0;
      const above = (y | 0) < ny - 1 ? below + nx : below;
      const low = times[below]! + (times[below + right]! - times[below]!) * (x - (x | 0));
      const high = times[above]! + (times[above + right]! - times[above]!) * (x - (x | 0));
      return low + (high - low) * (y - (y | 0));
    },
    fill(from, to, out) {
      for (let k = from; k < to; ) {
        const row = Math.floor(k / frame.nx);
        const end = Math.min(to, (row + 1) * frame.nx);
        if (bottom + row * scale < -1 || bottom + row * scale > ny) {
          out.fill(1, k - from, end - from);
          k = end;
          continue;
        }
        const y = within(bottom + row * scale, ny);
        const below = (y | 0) * nx;
        const above = Math.min(below + nx, (ny - 1) * nx);
        const up = y - (y | 0);
        for (let i = k - row * frame.nx; k < end; i++, k++) {
          const x = within(left + i * scale, nx);
          const at = x | 0;
          const next = Math.min(at + 1, nx - 1);
          const low = times[below + at]! + (times[below + next]! - times[below + at]!) * (x - at);
          const high = times[above + at]! + (times[above + next]! - times[above + at]!) * (x - at);
          out[k - from] = low + (high - low) * up;
        }
      }
    },
  };
}
