import { lab, rgb } from 'd3-color';
import { interpolateArray } from 'd3-interpolate';
import { scaleLinear } from 'd3-scale';
import { labOf } from '../burn/colour.ts';
import type { Material } from '../burn/material.ts';
import { lately } from '../lately.ts';
import type { Rgb } from './picture.ts';

/**
 * What wood looks like from bare (tone 0) over the darkest char to what lies beyond it (tone 1): places on
 * its way through CIELAB (D50, as d3-color has it), tones rising from 0 to 1, straight lines in between.
 * `lab` is [L*, a*, b*].
 */
export type TonePath = readonly TonePlace[];

interface TonePlace {
  readonly tone: number;
  readonly lab: readonly [l: number, a: number, b: number];
}

/** The path of a material that is known as a function of the tone: places every 1/`steps`. */
export const sampledTonePath = (labAt: (tone: number) => TonePlace['lab'], steps = 40): TonePath =>
  Array.from({ length: steps + 1 }, (_, k) => ({ tone: k / steps, lab: labAt(k / steps) }));

/**
 * A material's own way from bare to beyond full char, for pictures: a place every fortieth of the way, tones 0 … 1 rising.
 */
export const tonePathOf = (material: Material): TonePath => sampledTonePath((tone) => labOf(tone, material));

/** A place in CIELAB (D50), what it is in sRGB (0 … 255, not held within), and as CSS writes it. */
export interface ToneColour {
  readonly l: number;
  readonly a: number;
  readonly b: number;
  rgb(): { readonly r: number; readonly g: number; readonly b: number };
  formatRgb(): string;
}

/**
 * The colour of a tone as a function, tones beyond 0…1 taken as the nearer end.
 * @throws {RangeError} when the path has fewer than two places, or its tones do not rise from 0 to 1.
 */
export function toneColour(path: TonePath): (tone: number) => ToneColour {
  const tones = path.map((place) => place.tone);
  const rises = tones.every((tone, k) => k === 0 || tone > tones[k - 1]!);
  if (path.length < 2 || tones[0] !== 0 || tones.at(-1) !== 1 || !rises) {
    throw new RangeError(`invalid tone path: ${tones.join(', ')}; expected tones that rise from 0 to 1`);
  }
  const scale = scaleLinear<number[], number[]>()
    .domain(tones)
    .range(path.map((place) => [...place.lab]))
    .interpolate((a, b) => interpolateArray(a, b))
    .clamp(true);
  return (tone) => {
    const [l, a, b] = scale(tone);
    return lab(l!, a!, b!);
  };
}

/** Several pictures show the same wood. */
const tablesLately = lately<Float32Array>(4);

/**
 * `size` colours at evenly spaced tones from 0 to 1: R, G, B of colour k at 3k, 0…255, not rounded. Nobody may write into it:
 * who asks for the same again gets the same.
 */
export const toneTable = (path: TonePath, size = 1024): Float32Array =>
  tablesLately([size, ...path.flatMap(({ tone, lab }) => [tone, ...lab])], () => {
    const colour = toneColour(path);
    return colourTable((t) => {
      const { r, g, b } = colour(t).rgb();
      return [r, g, b];
    }, size);
  });

/** The same table for any map from 0…1 to a colour. */
export function colourTable(colour: (t: number) => Rgb, size = 1024): Float32Array {
  const table = new Float32Array(size * 3);
  for (let k = 0; k < size; k++) {
    const channels = colour(k / (size - 1));
    for (let c = 0; c < 3; c++) table[k * 3 + c] = Math.min(255, Math.max(0, channels[c]!));
  }
  return table;
}

/** R, G and B of a CSS colour, as the maps of d3-scale-chromatic give them. */
export function channelsOf(css: string): Rgb {
  const { r, g, b } = rgb(css);
  return [r, g, b];
}
