import { type Bounds, EMPTY_BOUNDS, grownBounds, reach } from '../grid.ts';
import { lightnessOfLinear } from '../photo/colour-space.ts';
import { LINEAR, type Photo } from '../photo/photo.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import { strip } from './strip.ts';

/** A picture laid over the rows that burn it, upright, stretched to their extent. */
export interface LaidPicture {
  /** Side of a pixel as it lies on the wood, mm: the smaller one. */
  readonly pixelMm: number;
  /** How dark the strip of move k is meant, 0 white … 1 black: one minus the mean lightness L* (CIE 1976) over 100. */
  darkness(moves: Moves, k: number, widthMm: number): number;
}

export function layPicture(photo: Photo, { minXMm, minYMm, maxXMm, maxYMm }: Bounds): LaidPicture {
  const { width, height } = photo;
  const pixelMm = Math.min((maxXMm - minXMm) / width, (maxYMm - minYMm) / height);
  const at = (share: number, pixels: number) => Math.min(pixels - 1, Math.max(0, Math.floor(share * pixels)));
  return {
    pixelMm,
    darkness(moves, k, widthMm) {
      let sum = 0;
      let count = 0;
      strip(moves, k, widthMm, pixelMm, (x, y) => {
        const column = at((x - minXMm) / (maxXMm - minXMm), width);
        const row = at((maxYMm - y) / (maxYMm - minYMm), height);
        sum += 1 - lightnessOfPixel(photo, row * width + column) / 100;
        count++;
      });
      return sum / count;
    },
  };
}

/** L* of a pixel on white paper. */
function lightnessOfPixel({ data }: Photo, pixel: number): number {
  const opaque = data[4 * pixel + 3]! / 255;
  const channel = (k: number) => opaque * LINEAR[data[4 * pixel + k]!]! + (1 - opaque);
  return lightnessOfLinear(channel(0), channel(1), channel(2));
}

/** The extent of what operations burn, with half a row to either side. */
export function burnedBounds(moves: Moves, operations: readonly Operation[], rowMm: number): Bounds {
  const bounds = { ...EMPTY_BOUNDS };
  for (const { n, firstMove, lastMove } of operations) {
    for (let k = firstMove; k <= lastMove; k++) {
      if (moves.operation[k] !== n || !burnsAtFeed(moves, k)) continue;
      for (const end of [Math.max(0, k - 1), k]) reach(bounds, moves.xMm[end]!, moves.yMm[end]!);
    }
  }
  return grownBounds(bounds, rowMm / 2);
}

/** The extent of strips: by move how wide they are, mm, in the operations of these numbers. */
export const stripsBounds = (
  { moves, operations }: Program,
  numbers: readonly number[],
  widthMm: Float64Array,
): Bounds =>
  burnedBounds(
    moves,
    operations.filter(({ n }) => numbers.includes(n)),
    widthMm.reduce((most, each) => Math.max(most, each), 0),
  );
