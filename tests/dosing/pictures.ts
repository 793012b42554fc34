import { gcode } from '../change/support.ts';

/** A picture as a function of place, both 0 … 1, to darkness 0 … 1. */
export type Picture = (x: number, y: number) => number;

export const PICTURES: Readonly<Record<string, Picture>> = {
  ramp: (x) => x,
  steps: (x) => (Math.floor(x * 8) + 1) / 8,
  /** A zone plate's slow middle: soft waves in all directions. */
  waves: (x, y) => 0.5 + 0.5 * Math.cos(20 * ((x - 0.5) ** 2 + (y - 0.5) ** 2)),
  bump: (x, y) => Math.exp(-8 * ((x - 0.5) ** 2 + (y - 0.5) ** 2)),
};

export interface Raster {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly spacingMm: number;
  readonly pixelMm: number;
  readonly feedMmPerMin: number;
  readonly sMax: number;
  readonly beamWord: 'M3' | 'M4';
  /** Dark run-up and run-out, mm. */
  readonly overscanMm: number;
}

/** A small raster without run-up. */
export const SMALL: Raster = {
  widthMm: 12,
  heightMm: 3,
  spacingMm: 0.1,
  pixelMm: 0.2,
  feedMmPerMin: 3000,
  sMax: 900,
  beamWord: 'M3',
  overscanMm: 0,
};

/** A picture in rows there and back, S being darkness: 256 levels, white not burned. */
export function rasterJob(picture: Picture, raster: Raster): string {
  const { widthMm, heightMm, spacingMm, pixelMm, sMax, overscanMm } = raster;
  const lines = ['G21 G90', `${raster.beamWord} S0`, `F${raster.feedMmPerMin}`];
  const rows = Math.round(heightMm / spacingMm);
  const pixels = Math.round(widthMm / pixelMm);
  for (let row = 0; row < rows; row++) {
    const y = (5 + row * spacingMm).toFixed(3);
    const onward = row % 2 === 0;
    const at = (x: number) => (5 + (onward ? x : widthMm - x)).toFixed(3);
    lines.push(`G0 X${at(-overscanMm)} Y${y} S0`);
    if (overscanMm > 0) lines.push(`G1 X${at(0)} S0`);
    for (let k = 0; k < pixels; k++) {
      const x = (k + 0.5) / pixels;
      const level = Math.round(255 * picture(onward ? x : 1 - x, row / (rows - 1)));
      lines.push(`G1 X${at((k + 1) * pixelMm)} S${Math.round((level / 255) * sMax)}`);
    }
    if (overscanMm > 0) lines.push(`G1 X${at(widthMm + overscanMm)} S0`);
  }
  lines.push('M5');
  return gcode(...lines);
}
