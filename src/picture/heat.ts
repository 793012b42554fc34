import type { GridFrame } from '../grid.ts';
import type { Picture } from './picture.ts';
import { resample } from './resample.ts';
import type { View } from './view.ts';

/** A false-colour scale: the colours of `table` (see colourTable) spread over from … to. */
export interface ColourScale {
  readonly from: number;
  readonly to: number;
  readonly table: Float32Array;
  /**
   * null: evenly. Otherwise by log(1 + |value| / bendAt): about even below `bendAt`, by ratio well above it;
   * `from` is then 0, or −to for a scale that diverges from 0. For doses in which engraving and cutting
   * stand side by side.
   */
  readonly bendAt: number | null;
}

/** Where on the scale a value lies, 0…1 from end to end; beyond it less than 0 or more than 1. */
export function placeOn({ from, to, bendAt }: ColourScale, value: number): number {
  if (bendAt === null) return (value - from) / (to - from);
  const share = Math.log1p(Math.abs(value) / bendAt) / Math.log1p(to / bendAt);
  return from < 0 ? 0.5 + 0.5 * Math.sign(value) * share : Math.sign(value) * share;
}

/** The view of a grid's values in the colours of a scale; what lies beyond it takes the end colour. */
export function heatRaster(values: Float32Array, frame: GridFrame, view: View, scale: ColourScale): Picture {
  return coloured(resample(values, frame, view), view, scale);
}

/** Pixels already brought to the view (row 0 at the top) in the colours of a scale. */
export function coloured(pixels: Float32Array, { widthPx, heightPx }: View, scale: ColourScale): Picture {
  const { table } = scale;
  const top = table.length / 3 - 1;
  const bare = placeOn(scale, 0);
  const data = new Uint8ClampedArray(pixels.length * 4);
  for (let k = 0, to = 0; k < pixels.length; k++, to += 4) {
    const value = pixels[k]!;
    const place = value === 0 ? bare : placeOn(scale, value);
    const at = ((Math.min(1, Math.max(0, place)) * top + 0.5) | 0) * 3;
    data[to] = table[at]!;
    data[to + 1] = table[at + 1]!;
    data[to + 2] = table[at + 2]!;
    data[to + 3] = 255;
  }
  return { width: widthPx, height: heightPx, data };
}
