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
  const colours = new Uint32Array(opaque(scale.table).buffer);
  const { atLeast, ends } = shadesOf(scale);
  const bits = new Uint32Array(pixels.buffer, pixels.byteOffset, pixels.length);
  const data = new Uint8ClampedArray(4 * pixels.length);
  const painted = new Uint32Array(data.buffer);
  for (let k = 0; k < bits.length; k++) {
    let shade = atLeast[bits[k]! >>> BIN_SHIFT]!;
    while (pixels[k]! >= ends[shade]!) shade++;
    painted[k] = colours[shade]!;
  }
  return { width: widthPx, height: heightPx, data };
}

/** The colours of a table as pixels. */
function opaque(table: Float32Array): Uint8ClampedArray {
  const pixels = new Uint8ClampedArray((table.length / 3) * 4).fill(255);
  for (let k = 0; k < table.length; k++) pixels[k + Math.floor(k / 3)] = table[k]!;
  return pixels;
}

/**
 * Which colour of its table a number gets on a scale. To ask {@link placeOn} for each of millions, and with it a logarithm,
 * takes three times as long.
 */
interface Shades {
  /** By the top bits of a number: the colour of the least number that has these. */
  readonly atLeast: Uint16Array;
  /** The least number that has a later colour; NaN for the last. */
  readonly ends: Float32Array;
}

/** Sign, exponent and 9 bits of the fraction: bins 0.2 % wide or less. */
const BIN_SHIFT = 14;
const BINS = 1 << (32 - BIN_SHIFT);
const INFINITY_BITS = 0x7f800000;

const number = new Float32Array(1);
const numberBits = new Uint32Array(number.buffer);
/** Single-precision numbers in order, from −∞ (−{@link INFINITY_BITS}) over 0 to ∞: positive ones sort as their bits do. */
function inOrder(place: number): number {
  numberBits[0] = Math.abs(place);
  return place < 0 ? -number[0]! : number[0]!;
}

function shadesOf(scale: ColourScale): Shades {
  const top = scale.table.length / 3 - 1;
  const shadeAt = (place: number): number =>
    (Math.min(1, Math.max(0, placeOn(scale, inOrder(place)))) * top + 0.5) | 0;
  const ends = new Float32Array(top + 1).fill(Number.NaN);
  const halve = (from: number, to: number, shadeFrom: number, shadeTo: number): void => {
    if (shadeFrom === shadeTo) return;
    if (to - from === 1) {
      ends.fill(inOrder(to), shadeFrom, shadeTo);
      return;
    }
    const middle = Math.floor((from + to) / 2);
    const shade = shadeAt(middle);
    halve(from, middle, shadeFrom, shade);
    halve(middle, to, shade, shadeTo);
  };
  halve(-INFINITY_BITS, INFINITY_BITS, shadeAt(-INFINITY_BITS), shadeAt(INFINITY_BITS));

  const atLeast = new Uint16Array(BINS);
  let shade = 0;
  const lay = (bin: number, least: number): void => {
    while (least >= ends[shade]!) shade++;
    atLeast[bin] = shade;
  };
  // The least of a negative bin is the one farthest from 0, next to the bin after it; the last holds no numbers.
  for (let bin = BINS - 2; bin >= BINS / 2; bin--) lay(bin, -inOrder((bin + 1 - BINS / 2) << BIN_SHIFT));
  for (let bin = 0; bin < BINS / 2; bin++) lay(bin, inOrder(bin << BIN_SHIFT));
  return { atLeast, ends };
}
