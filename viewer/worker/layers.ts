import type { Burn } from '../../src/burn/burn.ts';
import type { Grid } from '../../src/grid.ts';
import type { Arrival } from './arrival.ts';
import { SHOWN_FROM_J_PER_MM2 } from './surface.ts';

/**
 * What the maps of speed, power, time and depth draw from, four bytes a texel of the arrival's frame. Each value
 * comes times the share of the texel that has it, and the share beside it: averaged with bare wood, a thin line
 * seen from afar still knows its own value.
 */
export interface Layers {
  /** Of the last visit: speed, power and time, each as a part of its greatest; the share that bears a dose. */
  readonly visit: Uint8Array;
  /** √(depth / deepest); the share that has a depth; the share cut through; the share that comes free. */
  readonly depth: Uint8Array;
  /** Whether it is cut through anywhere. */
  readonly isCut: boolean;
}

/** Shallower than this is no depth that anyone sees or feels, mm. */
const SEEN_FROM_MM = 0.004;

export const layersOf = (
  burn: Burn,
  dose: Grid,
  arrival: Arrival,
  deepestMm: number,
  durationS: number,
  marks: Uint8Array | null,
): Layers => ({
  visit: visitLayerOf(dose, arrival, durationS),
  depth: depthLayerOf(burn, dose, arrival, deepestMm, marks),
  isCut: isCut(burn),
});

export const isCut = ({ through }: Burn): boolean => through?.includes(1) ?? false;

function visitLayerOf(dose: Grid, { frame, marks, spanS, move }: Arrival, durationS: number): Uint8Array {
  const { nx, ny, cellMm, data } = dose;
  const times = Math.round(frame.cellMm / cellMm);
  const visit = new Uint8Array(4 * frame.nx * frame.ny);
  for (let j = 0, k = 0; j < frame.ny; j++) {
    const jEnd = Math.min(ny, (j + 1) * times);
    for (let i = 0; i < frame.nx; i++, k++) {
      if (move[k] === 0) continue;
      const iEnd = Math.min(nx, (i + 1) * times);
      let dosed = 0;
      for (let jj = j * times; jj < jEnd; jj++)
        for (let ii = i * times; ii < iEnd; ii++) if (data[jj * nx + ii]! >= SHOWN_FROM_J_PER_MM2) dosed++;
      if (dosed === 0) continue;
      const share = dosed / (times * times);
      const at = 4 * k;
      visit[at] = Math.round(share * marks[at + 1]!);
      visit[at + 1] = Math.round(share * marks[at + 2]!);
      visit[at + 2] = Math.round(share * 255 * Math.min(1, spanS[2 * k + 1]! / durationS));
      visit[at + 3] = Math.round(share * 255);
    }
  }
  return visit;
}

/** @param marks the parts that come free; null: none does, or nobody asks. */
export function depthLayerOf(
  { depthMm, through }: Burn,
  dose: Grid,
  { frame, move }: Arrival,
  deepestMm: number,
  marks: Uint8Array | null,
): Uint8Array {
  const { nx, ny, cellMm, data } = dose;
  const times = Math.round(frame.cellMm / cellMm);
  const count = times * times;
  const depth = new Uint8Array(4 * frame.nx * frame.ny);
  for (let j = 0, k = 0; j < frame.ny; j++) {
    const jEnd = Math.min(ny, (j + 1) * times);
    for (let i = 0; i < frame.nx; i++, k++) {
      if (marks && marks[k] !== 0) depth[4 * k + 3] = 255;
      if (move[k] === 0) continue;
      const iEnd = Math.min(nx, (i + 1) * times);
      let deep = 0;
      let root = 0;
      let open = 0;
      for (let jj = j * times; jj < jEnd; jj++) {
        for (let ii = i * times; ii < iEnd; ii++) {
          const cell = jj * nx + ii;
          const mm = depthMm[cell]!;
          if (mm < SEEN_FROM_MM || data[cell]! < SHOWN_FROM_J_PER_MM2) continue;
          deep++;
          root += Math.sqrt(mm / deepestMm);
          if (through?.[cell] === 1) open++;
        }
      }
      if (deep === 0) continue;
      depth[4 * k] = Math.round((255 * Math.min(deep, root)) / count);
      depth[4 * k + 1] = Math.round((255 * deep) / count);
      depth[4 * k + 2] = Math.round((255 * open) / count);
    }
  }
  return depth;
}
