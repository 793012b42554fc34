import {
  interpolateBuPu,
  interpolateCividis,
  interpolateInferno,
  interpolateMagma,
  interpolateViridis,
} from 'd3-scale-chromatic';
import type { Material } from '../../src/burn/material.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { channelsOf, tonePathOf, toneTable } from '../../src/picture/tone.ts';
import type { View } from '../state/store.ts';
import { doseOfCode } from '../worker/dose-code.ts';

/** Colour maps as rows of 256 RGBA texels. */
export type MapRow = Uint8Array<ArrayBuffer>;
const SIZE = 256;

/** Perceptually uniform maps, dark to light, which survive greyscale and colour blindness. */
export const MAPS: Record<Exclude<View, 'burn'>, (t: number) => string> = {
  dose: interpolateInferno,
  speed: interpolateViridis,
  power: interpolateViridis,
  depth: (t) => interpolateCividis(1 - t),
  arrival: interpolateCividis,
  sure: interpolateBuPu,
  warmth: (t) => interpolateMagma(0.08 + 0.87 * t),
};

export function mapRow(view: Exclude<View, 'burn'>): MapRow {
  const row = new Uint8Array(SIZE * 4);
  for (let k = 0; k < SIZE; k++) {
    const [r, g, b] = channelsOf(MAPS[view](k / (SIZE - 1)));
    row.set([r, g, b, 255], 4 * k);
  }
  return row;
}

/** The wood's colour by tone in RGB; in A the tone by dose (coded as on the surface), dwell left aside. */
export function woodRow(material: Material): MapRow {
  const colours = toneTable(tonePathOf(material), SIZE);
  const row = new Uint8Array(SIZE * 4);
  for (let k = 0; k < SIZE; k++) {
    for (let c = 0; c < 3; c++) row[4 * k + c] = Math.round(colours[3 * k + c]!);
    row[4 * k + 3] = Math.round(255 * toneOf(doseOfCode(k / (SIZE - 1)), 0.005, material));
  }
  return row;
}
