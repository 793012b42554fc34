import type { Grid, GridFrame } from '../grid.ts';
import type { CameraView } from '../photo/lens.ts';
import type { GreyImage } from '../photo/photo.ts';

/** Marks as they are laid: the logarithm of their light over bare wood, row by row of the cells; 0 where not looked at. */
export interface LogMarks {
  readonly frame: GridFrame;
  readonly logs: Float64Array;
  readonly isLookedAt: Uint8Array;
  /** One, x and x² at the cells of a row; x goes from −1 to 1. */
  readonly along: readonly [Float64Array, Float64Array, Float64Array];
}

const LEAST_LIGHT = 0.01;

/** @param marks light over bare wood; NaN: not looked at. */
export function logMarksOf(marks: Grid): LogMarks {
  const { data, nx } = marks;
  const logs = new Float64Array(data.length);
  const isLookedAt = new Uint8Array(data.length);
  for (let k = 0; k < data.length; k++) {
    if (Number.isNaN(data[k]!)) continue;
    logs[k] = Math.log(Math.max(LEAST_LIGHT, data[k]!));
    isLookedAt[k] = 1;
  }
  const x = Float64Array.from({ length: nx }, (_, i) => (2 * (i + 0.5)) / nx - 1);
  return {
    frame: marks,
    logs,
    isLookedAt,
    along: [new Float64Array(nx).fill(1), x, x.map((each) => each * each)],
  };
}

/** What the photo shows on every cell, row by row, and how that changes from pixel to pixel; 0 where nothing is seen. */
export interface Look {
  readonly light: Float64Array;
  /** Light to the right and down, a pixel of the photo. */
  readonly slopeX: Float64Array;
  readonly slopeY: Float64Array;
  /** As the lens's two terms grow, two numbers a cell; null where not asked for. */
  readonly slopeLens: Float64Array | null;
  /** 1 where the cell is looked at and lies on the photo, else 0: a weight. */
  readonly isSeen: Float64Array;
}

/** An image of the photo's squares. */
export type Squares = GreyImage & { readonly sidePx: number };

/** Slopes are differences over one square: between its middles the image is a straight line, whose own slope would jump. */
export function lookAt(marks: LogMarks, image: Squares, view: CameraView, withLens: boolean): Look {
  const { nx, ny, x0Mm, y0Mm, cellMm } = marks.frame;
  const { sidePx, width, height } = image;
  const { map, lens } = view;
  const { k1, k2, halfDiagonalPx } = lens;
  const [middleX, middleY] = lens.middlePx;
  const empty = () => new Float64Array(nx * ny);
  const [light, slopeX, slopeY, isSeen] = [empty(), empty(), empty(), empty()];
  const slopeLens = withLens ? new Float64Array(2 * nx * ny) : null;
  const at = new Float64Array(3);
  for (let j = 0, k = 0; j < ny; j++) {
    const yMm = y0Mm + (j + 0.5) * cellMm;
    for (let i = 0; i < nx; i++, k++) {
      if (marks.isLookedAt[k] === 0) continue;
      const xMm = x0Mm + (i + 0.5) * cellMm;
      // As `mapped` and `bent` have it, without a pair of numbers for each cell.
      const w = map[6] * xMm + map[7] * yMm + map[8];
      const dx = (map[0] * xMm + map[1] * yMm + map[2]) / w - middleX;
      const dy = (map[3] * xMm + map[4] * yMm + map[5]) / w - middleY;
      const square = (dx * dx + dy * dy) / (halfDiagonalPx * halfDiagonalPx);
      const by = 1 + square * (k1 + k2 * square);
      const x = (middleX + dx * by) / sidePx;
      const y = (middleY + dy * by) / sidePx;
      if (!(x >= 0 && y >= 0 && x <= width && y <= height)) continue;
      setSloped(at, image, x, y);
      isSeen[k] = 1;
      light[k] = at[0]!;
      slopeX[k] = at[1]! / sidePx;
      slopeY[k] = at[2]! / sidePx;
      if (slopeLens === null) continue;
      const outwards = (slopeX[k]! * dx + slopeY[k]! * dy) * square;
      slopeLens[2 * k] = outwards;
      slopeLens[2 * k + 1] = outwards * square;
    }
  }
  return { light, slopeX, slopeY, slopeLens, isSeen };
}

/**
 * The image at a place in its own pixels, straight lines between their middles, and its differences from half a pixel to
 * the left to half a pixel to the right, and from above to below: all from the nine pixels about it. Beyond the edge the
 * edge's own.
 * @param out what is found, three numbers.
 */
export function setSloped(out: Float64Array, image: GreyImage, x: number, y: number): void {
  const { width, height, values } = image;
  const column = Math.min(Math.floor(x), width - 1);
  const row = Math.min(Math.floor(y), height - 1);
  const left = Math.max(column - 1, 0);
  const right = Math.min(column + 1, width - 1);
  const above = Math.max(row - 1, 0) * width;
  const here = row * width;
  const below = Math.min(row + 1, height - 1) * width;
  // How far the place lies from the middle of its pixel.
  const u = x - 0.5 - column;
  const v = y - 0.5 - row;
  const lefts = between(values[above + left]!, values[here + left]!, values[below + left]!, v);
  const owns = between(values[above + column]!, values[here + column]!, values[below + column]!, v);
  const rights = between(values[above + right]!, values[here + right]!, values[below + right]!, v);
  const uppers = between(values[above + left]!, values[above + column]!, values[above + right]!, u);
  const middles = between(values[here + left]!, values[here + column]!, values[here + right]!, u);
  const lowers = between(values[below + left]!, values[below + column]!, values[below + right]!, u);
  out[0] = between(lefts, owns, rights, u);
  out[1] = rise(lefts, owns, rights, u);
  out[2] = rise(uppers, middles, lowers, v);
}

/** Between three values in a row, so far beyond the middle one, −½ to ½. */
const between = (before: number, own: number, after: number, off: number): number =>
  off < 0 ? own + off * (own - before) : own + off * (after - own);

/** What that becomes larger by over a whole step, half of it before the place and half after it. */
const rise = (before: number, own: number, after: number, off: number): number =>
  (0.5 - off) * (own - before) + (0.5 + off) * (after - own);
