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
 * The marks as light over that of bare wood, averaged over cells of about `cellMm`, no finer than the burn's, that cover
 * `bounds`; what lies beside the burn's own grid is bare. A cell of the burn that lies in several counts in each by its
 * share: taken as a whole by one of them, cells of a fill would be now lighter, now darker, in a pattern that no wood shows
 * and that pulls a photo out of place.
 */
export function marksOf(burn: Burn, material: Material, bounds: Bounds, cellMm: number): Grid {
  const frame = frameOver(bounds, cellMm);
  const { nx, ny } = frame;
  const byTone = lightByTone(material);
  const bare = luminanceOfTone(0, material);
  const { tone, depthMm, through, frame: fine } = burn;
  const columns = sharesAlong(fine.nx, fine.cellMm, fine.x0Mm - frame.x0Mm, frame.cellMm);
  const rows = sharesAlong(fine.ny, fine.cellMm, fine.y0Mm - frame.y0Mm, frame.cellMm);
  const data = new Float32Array(nx * ny).fill(1);
  for (let j = 0, k = 0; j < fine.ny; j++) {
    for (let i = 0; i < fine.nx; i++, k++) {
      const isGap = through?.[k] === 1;
      if (!isGap && tone[k] === 0) continue;
      const plain = byTone[Math.round(tone[k]! * TONE_STEPS)]!;
      const light = isGap ? GAP_LIGHT : lightOfFloor(plain * bare, depthMm[k]!) / bare;
      for (let b = 0; b < 2; b++) {
        const row = rows.first[j]! + b;
        if (row < 0 || row >= ny) continue;
        for (let a = 0; a < 2; a++) {
          const column = columns.first[i]! + a;
          if (column < 0 || column >= nx) continue;
          data[row * nx + column]! += rows.share[2 * j + b]! * columns.share[2 * i + a]! * (light - 1);
        }
      }
    }
  }
  return { ...frame, unit: 'light over bare wood', data };
}

/** Where fine cells lie along an axis of wider ones. */
interface SharesAlong {
  /** The wide cell in which each begins. */
  readonly first: Int32Array;
  /** Which part of that wide cell each takes, and which of the next; two numbers a fine cell. */
  readonly share: Float64Array;
}

/** @param fromMm where the first of the fine cells begins, from the first wide one's edge. */
function sharesAlong(count: number, fineMm: number, fromMm: number, wideMm: number): SharesAlong {
  const first = new Int32Array(count);
  const share = new Float64Array(2 * count);
  const part = fineMm / wideMm;
  for (let k = 0; k < count; k++) {
    const begin = fromMm / wideMm + k * part;
    first[k] = Math.floor(begin);
    share[2 * k] = Math.min(part, first[k]! + 1 - begin);
    share[2 * k + 1] = part - share[2 * k]!;
  }
  return { first, share };
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
