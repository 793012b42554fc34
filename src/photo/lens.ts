import { type Homography, mapped } from './homography.ts';
import type { PhotoPoint } from './photo.ts';

/**
 * How a camera sees a flat board: a projective map, then what the lens does to it, two radial terms about the middle of
 * the photo (D. C. Brown, *Photogrammetric Engineering* 32, 444 (1966); reference from memory).
 */
export interface CameraView {
  /** From the board's millimetres to pixels, as a lens without distortion would have it. */
  readonly map: Homography;
  readonly lens: Lens;
}

/** A pixel at r from the middle, in half diagonals, is seen at r·(1 + k1·r² + k2·r⁴). */
export interface Lens {
  readonly middlePx: PhotoPoint;
  readonly halfDiagonalPx: number;
  readonly k1: number;
  readonly k2: number;
}

/** What lenses do, as one standard deviation of each term (wide phone lenses lie within; a judgement). */
export const LENS_SIGMA = [0.05, 0.03] as const;

/** A lens that bends nothing, for a photo of this size. */
export const straightLens = ({ width, height }: { width: number; height: number }): Lens => ({
  middlePx: [width / 2, height / 2],
  halfDiagonalPx: Math.hypot(width, height) / 2,
  k1: 0,
  k2: 0,
});

/** Where a place of the board is seen. */
export function seenAt({ map, lens }: CameraView, xMm: number, yMm: number): [xPx: number, yPx: number] {
  const [x, y] = mapped(map, [xMm, yMm]);
  return bent(lens, x, y);
}

/** Where the lens shows what it would have shown there if it bent nothing. */
export function bent(
  { middlePx: [mx, my], halfDiagonalPx, k1, k2 }: Lens,
  x: number,
  y: number,
): [number, number] {
  if (k1 === 0 && k2 === 0) return [x, y];
  const square = ((x - mx) ** 2 + (y - my) ** 2) / (halfDiagonalPx * halfDiagonalPx);
  const by = 1 + square * (k1 + k2 * square);
  return [mx + (x - mx) * by, my + (y - my) * by];
}

const UNBENDING_STEPS = 20;

/** Where a lens without distortion would have seen what is seen here: {@link bent} turned round, step by step. */
export function unbent(lens: Lens, [xPx, yPx]: PhotoPoint): [xPx: number, yPx: number] {
  const { middlePx } = lens;
  let [x, y] = [xPx, yPx];
  for (let step = 0; step < UNBENDING_STEPS; step++) {
    const [u, v] = bent(lens, x, y);
    [x, y] = [x + xPx - u, y + yPx - v];
  }
  return Number.isFinite(x) && Number.isFinite(y) ? [x, y] : [...middlePx];
}
