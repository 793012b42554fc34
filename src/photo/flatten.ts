import type { GridFrame } from '../grid.ts';
import { type CameraView, seenAt } from './lens.ts';
import { LINEAR, type Photo } from './photo.ts';

/** A photo of a board made flat: what each cell of a frame shows. */
export interface FlatPhoto {
  readonly frame: GridFrame;
  /** Linear R, G, B, three numbers a cell, in the grid's order (row 0 lowest); NaN where the photo ends. */
  readonly rgb: Float32Array;
}

/** At most so many places a cell along either side are looked at. */
const MOST_PLACES = 4;

/** @param pxPerMm of the photo, about: from it follows how many places of a cell are looked at. */
export function flattened(photo: Photo, view: CameraView, frame: GridFrame, pxPerMm: number): FlatPhoto {
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const places = Math.min(MOST_PLACES, Math.max(1, Math.round(cellMm * pxPerMm)));
  const rgb = new Float32Array(3 * nx * ny);
  const sum = new Float64Array(3);
  for (let j = 0, to = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, to += 3) {
      sum.fill(0);
      for (let v = 0; v < places; v++) {
        for (let u = 0; u < places; u++) {
          const xMm = x0Mm + (i + (u + 0.5) / places) * cellMm;
          const yMm = y0Mm + (j + (v + 0.5) / places) * cellMm;
          addLight(photo, ...seenAt(view, xMm, yMm), sum);
        }
      }
      for (let c = 0; c < 3; c++) rgb[to + c] = sum[c]! / (places * places);
    }
  }
  return { frame, rgb };
}

/** Adds the light of a place, R, G, B, straight lines between pixels; NaN where it lies off the photo. */
export function addLight({ width, height, data }: Photo, xPx: number, yPx: number, sum: Float64Array): void {
  if (!(xPx >= 0 && yPx >= 0 && xPx <= width && yPx <= height)) {
    sum.fill(Number.NaN);
    return;
  }
  const x = Math.min(Math.max(xPx - 0.5, 0), width - 1);
  const y = Math.min(Math.max(yPx - 0.5, 0), height - 1);
  const [left, top] = [Math.floor(x), Math.floor(y)];
  const right = left + 1 < width ? 4 : 0;
  const down = top + 1 < height ? 4 * width : 0;
  const [fx, fy] = [x - left, y - top];
  const at = 4 * (top * width + left);
  for (let c = 0; c < 3; c++) {
    const above = (1 - fx) * LINEAR[data[at + c]!]! + fx * LINEAR[data[at + right + c]!]!;
    const below = (1 - fx) * LINEAR[data[at + down + c]!]! + fx * LINEAR[data[at + down + right + c]!]!;
    sum[c]! += (1 - fy) * above + fy * below;
  }
}
