import { labOf } from '../burn/colour.ts';
import type { Material } from '../burn/material.ts';
import { cellAt } from '../grid.ts';
import type { Moves } from '../program/program.ts';
import { strip } from './strip.ts';
import type { Tones } from './tones-within.ts';

/** Lightness of every tone, by a table: a picture has millions of cells. */
const TONES = 2048;

export function lightnessTable(material: Material): (tone: number) => number {
  const table = Float32Array.from({ length: TONES + 1 }, (_, k) => labOf(k / TONES, material)[0]);
  return (tone) => table[Math.round(Math.min(1, Math.max(0, tone)) * TONES)]!;
}

/** The mean lightness L* of the strip of move k, `widthMm` wide; NaN where it lies outside the grid. */
export function stripLightness(
  moves: Moves,
  k: number,
  widthMm: number,
  tones: Tones,
  lightness: (tone: number) => number,
): number {
  const [x0, y0] = k > 0 ? [moves.xMm[k - 1]!, moves.yMm[k - 1]!] : [0, 0];
  const [x1, y1] = [moves.xMm[k]!, moves.yMm[k]!];
  const half = widthMm / 2;
  if (y0 === y1)
    return areaLightness(tones, Math.min(x0, x1), Math.max(x0, x1), [y0 - half, y0 + half], lightness);
  if (x0 === x1)
    return areaLightness(tones, x0 - half, x0 + half, [Math.min(y0, y1), Math.max(y0, y1)], lightness);
  const { frame, tone } = tones;
  let sum = 0;
  let count = 0;
  strip(moves, k, widthMm, frame.cellMm, (x, y) => {
    const cell = cellAt(frame, x, y);
    if (cell < 0) return;
    sum += lightness(tone[cell]!);
    count++;
  });
  return count > 0 ? sum / count : Number.NaN;
}

/**
 * The mean L* of an upright rectangle, every cell by the part of it that lies within: where the middle of a row falls among
 * the cells makes no difference then, so that rows alike look alike.
 */
function areaLightness(
  { frame, tone }: Tones,
  fromXMm: number,
  toXMm: number,
  [fromYMm, toYMm]: readonly [number, number],
  lightness: (tone: number) => number,
): number {
  const { x0Mm, y0Mm, nx, ny, cellMm } = frame;
  // In cells from the frame's edge.
  const left = (fromXMm - x0Mm) / cellMm;
  const right = (toXMm - x0Mm) / cellMm;
  const low = (fromYMm - y0Mm) / cellMm;
  const high = (toYMm - y0Mm) / cellMm;
  const lastI = Math.min(nx, Math.ceil(right)) - 1;
  const lastJ = Math.min(ny, Math.ceil(high)) - 1;
  let sum = 0;
  let area = 0;
  for (let j = Math.max(0, Math.floor(low)); j <= lastJ; j++) {
    const tall = Math.min(j + 1, high) - Math.max(j, low);
    for (let i = Math.max(0, Math.floor(left)); i <= lastI; i++) {
      const part = tall * (Math.min(i + 1, right) - Math.max(i, left));
      sum += part * lightness(tone[j * nx + i]!);
      area += part;
    }
  }
  return area > 0 ? sum / area : Number.NaN;
}
