import type { Burn } from '../burn/burn.ts';
import { labOf } from '../burn/colour.ts';
import type { Material } from '../burn/material.ts';
import { cellAt } from '../grid.ts';
import type { Moves } from '../program/program.ts';
import { strip } from './strip.ts';

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
  { frame, tone }: Burn,
  lightness: (tone: number) => number,
): number {
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
