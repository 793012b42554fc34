import { lab } from 'd3-color';
import type { Burn } from '../burn/burn.ts';
import { labOf } from '../burn/colour.ts';
import type { Material } from '../burn/material.ts';
import { type Bounds, frameBounds } from '../grid.ts';
import { refuseUnknownOptions } from '../options.ts';
import { PICTURE_DEFAULTS } from './burn-picture.ts';
import type { Picture, Rgb } from './picture.ts';
import { tonePathOf } from './tone.ts';
import { viewOver } from './view.ts';
import { woodRaster } from './wood.ts';

/** Colours without a sheet around them: for programs that lay out their own. */
export interface PaintOptions {
  /** The rectangle to show, mm, in the job's coordinates; default: the burn's whole grid. */
  readonly bounds?: Bounds;
  /** About how many pixels its longer side gets, 16 … 8192; default 1800. */
  readonly longSidePx?: number;
  /** How strongly the grain shows: 1 as on poplar (the default), 0 for board and card that have none. */
  readonly grain?: number;
}

const PAINT_OPTIONS: Readonly<Record<keyof PaintOptions, true>> = {
  bounds: true,
  longSidePx: true,
  grain: true,
};

/**
 * The colour of a tone on a wood.
 * @param tone 0 bare … 0.9 darkest char … 1 beyond; values outside are taken as the nearer end.
 * @returns R, G, B, sRGB, 0 … 255, not rounded. Source of the way through CIELAB: src/burn/MODEL.md; of CIELAB
 *   (D50) to sRGB: d3-color.
 */
export function colourOfTone(tone: number, material: Material): Rgb {
  const { r, g, b } = lab(...labOf(tone, material)).rgb();
  const within = (channel: number) => Math.min(255, Math.max(0, channel));
  return [within(r), within(g), within(b)];
}

/**
 * Paints the wood as it will look from above: tone, grain, relief and cuts; nothing around it.
 * @param burn from `burnDose`, or a forecast's `burn`.
 * @returns a new picture, row 0 at the highest y, R, G, B, A a pixel.
 * @throws {RangeError} for bounds without a size, or a size that is not 16 … 8192 pixels.
 * @throws {InputError} for an unknown option.
 */
export function paintBurn(burn: Burn, material: Material, options: PaintOptions = {}): Picture {
  refuseUnknownOptions(options, PAINT_OPTIONS, 'paintBurn');
  const whole = frameBounds(burn.frame);
  const { bounds = whole, longSidePx, grain } = { ...PICTURE_DEFAULTS, ...options };
  return woodRaster(burn, viewOver(bounds, burn.frame, longSidePx), tonePathOf(material), grain);
}
