import type { Burn } from '../burn/burn.ts';
import { labOf } from '../burn/colour.ts';
import { floorShade } from '../burn/floor-shade.ts';
import type { Material } from '../burn/material.ts';
import { type Bounds, frameOver, type Grid } from '../grid.ts';
import { linearOfLab } from '../photo/colour-space.ts';
import { codedOf, linearOf, luminance } from '../photo/photo.ts';

/**
 * What a burn shows from above, as light over the light of bare wood: the marks by which a photo of the piece is laid on
 * its forecast.
 */

/** A gap shows the dark below, or charred walls: little light in any case. */
const GAP_LIGHT = 0.03;
const TONE_STEPS = 500;

/** Light over that of bare wood by tone, in even steps from 0 to 1. */
export function lightByTone(material: Material): Float64Array {
  const bare = luminanceOfTone(0, material);
  return Float64Array.from(
    { length: TONE_STEPS + 1 },
    (_, k) => luminanceOfTone(k / TONE_STEPS, material) / bare,
  );
}

const luminanceOfTone = (tone: number, material: Material): number =>
  luminance(...linearOfLab(labOf(tone, material)));

/**
 * The light that a photo shows of a cell, over that of bare wood: as {@link marksOf} has it, its colours being worth as much
 * as they are of this wood's bare light.
 * @returns a function of what the photo shows over bare wood, R, G, B, three numbers a cell, and the cell.
 */
export function startLightSeen(material: Material): (ratio: Float32Array, cell: number) => number {
  const [r, g, b] = linearOfLab(labOf(0, material));
  const all = luminance(r, g, b);
  return (ratio, cell) =>
    luminance(r * ratio[3 * cell]!, g * ratio[3 * cell + 1]!, b * ratio[3 * cell + 2]!) / all;
}

/** How much of its light a floor of this depth keeps. @param light linear, of the same wood on the surface. */
export const lightOfFloor = (light: number, depthMm: number): number =>
  depthMm > 0 ? linearOf(codedOf(light) * floorShade(depthMm)) : light;

/**
 * The marks as light over that of bare wood, averaged over cells of about `cellMm` that cover `bounds`; what lies beside
 * the burn's own grid is bare.
 */
export function marksOf(burn: Burn, material: Material, bounds: Bounds, cellMm: number): Grid {
  const frame = frameOver(bounds, cellMm);
  const byTone = lightByTone(material);
  const bare = luminanceOfTone(0, material);
  const sums = new Float64Array(frame.nx * frame.ny);
  const counts = new Uint32Array(sums.length);
  const { tone, depthMm, through, frame: fine } = burn;
  const cellOf = (at: number, from: number) => Math.floor((at - from) / frame.cellMm);
  const columns = Int32Array.from({ length: fine.nx }, (_, i) =>
    cellOf(fine.x0Mm + (i + 0.5) * fine.cellMm, frame.x0Mm),
  );
  for (let j = 0; j < fine.ny; j++) {
    const row = cellOf(fine.y0Mm + (j + 0.5) * fine.cellMm, frame.y0Mm);
    if (row < 0 || row >= frame.ny) continue;
    for (let i = 0, k = j * fine.nx; i < fine.nx; i++, k++) {
      const column = columns[i]!;
      if (column < 0 || column >= frame.nx) continue;
      const cell = row * frame.nx + column;
      counts[cell]!++;
      if (through?.[k] === 1) sums[cell]! += GAP_LIGHT;
      else if (tone[k] === 0) sums[cell]! += 1;
      else {
        const light = byTone[Math.round(tone[k]! * TONE_STEPS)]!;
        sums[cell]! += lightOfFloor(light * bare, depthMm[k]!) / bare;
      }
    }
  }
  const data = Float32Array.from(sums, (sum, k) => (counts[k]! > 0 ? sum / counts[k]! : 1));
  return { ...frame, unit: 'light over bare wood', data };
}

/** The same on cells `times` as wide; what is left over at the far edges is left out. */
export function coarser(grid: Grid, times: number): Grid {
  const nx = Math.max(1, Math.floor(grid.nx / times));
  const ny = Math.max(1, Math.floor(grid.ny / times));
  const data = new Float32Array(nx * ny);
  const [wide, high] = [Math.min(times, grid.nx), Math.min(times, grid.ny)];
  for (let j = 0; j < ny * high; j++) {
    for (let i = 0; i < nx * wide; i++) {
      const to = Math.floor(j / high) * nx + Math.floor(i / wide);
      data[to]! += grid.data[j * grid.nx + i]! / (wide * high);
    }
  }
  return { ...grid, nx, ny, cellMm: grid.cellMm * times, data };
}
