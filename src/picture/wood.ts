import type { Burn } from '../burn/burn.ts';
import { floorShade } from '../burn/floor-shade.ts';
import type { BoardFace } from '../own-board/own-board.ts';
import { linearOf, luminance, threeOf } from '../photo/photo.ts';
import { grainOver } from './grain.ts';
import { paintOwnWood } from './own-wood.ts';
import type { Picture } from './picture.ts';
import { resample } from './resample.ts';
import { type TonePath, toneTable } from './tone.ts';
import type { View } from './view.ts';

/**
 * The board as it will look from straight above, lit warmly from the upper left: colour from tone, grain over
 * it, walls of the engraving lit or in shade, cuts as dark gaps. Nothing is added to what the burn says but
 * grain and light.
 */

/** Grain takes this much of red, green and blue at full streak: darker streaks are also warmer. */
const GRAIN_RED = 0.105;
const GRAIN_GREEN = 0.125;
const GRAIN_BLUE = 0.17;
/** How much of the grain is left on full char. */
const GRAIN_ON_CHAR = 0.8;
/** Brightness from the lit corner to the far one. */
const LIGHT_NEAR = 1.035;
const LIGHT_FAR = 0.965;
/** How strongly a wall that faces the light brightens, and one that faces away darkens. */
const RELIEF = 0.21;
/** What one sees through a cut: the dark below, and the wall that catches some light. */
const GAP = [27, 20, 16] as const;
const LIT_WALL = [96, 66, 44] as const;
/** The thin light edge on the rim behind a cut. */
const RIM_LIGHT = [40, 29, 16] as const;
const RIM_MM = 0.05;
const RIM_MOST_PX = 3;

/**
 * @param view what to show; it may be the whole board or a close-up of a spot.
 * @param grain how strongly the grain shows: 1 as on poplar, 0 for board and card that have none.
 * @param face a photo of the board, in the place of drawn wood.
 * @returns a new opaque picture of exactly the view.
 */
export function woodRaster(
  burn: Burn,
  view: View,
  tonePath: TonePath,
  grain = 1,
  face: BoardFace | null = null,
): Picture {
  const { widthPx: width, heightPx: height } = view;
  const table = toneTable(tonePath);
  const tone = toneByLight(burn, view, table);
  const data = new Uint8ClampedArray(width * height * 4);
  if (face) paintOwnWood(data, tone, view, table, face);
  else paintTone(data, tone, view, table, grain);
  // Millions of pixels: each of what is laid over the colours takes the array of what was before it.
  const over = (values: Float32Array | Uint8Array): Float32Array =>
    resample(values, burn.frame, view, 'soft', null, tone.fill(0));
  if (anyAbove0(burn.depthMm)) carve(data, over(burn.depthMm), view);
  if (burn.through !== null && anyAbove0(burn.through)) {
    const pxPerCell = burn.frame.cellMm * view.pxPerMm;
    openGaps(data, sharpened(over(burn.through), pxPerCell), view);
  }
  return { width, height, data };
}

/** Light is told apart in so many steps. */
const LIGHT_STEPS = 4096;
/** Beyond the darkest tone light no longer falls: the tones from there to 1 count as if it fell by this much more. */
const BEYOND_DARKEST = 0.01;

/**
 * The tone that has the light of each pixel: light is what adds up in an eye, and what the mean of the tones of a dark line
 * and the bare wood beside it would show is darker than the two are from afar.
 * @param table colours by tone, R, G, B each, the first bare.
 */
function toneByLight({ tone, frame }: Burn, view: View, table: Float32Array): Float32Array {
  const taken = lightTaken(table);
  const top = taken.length - 1;
  const perTaken = LIGHT_STEPS / taken[top]!;
  const toneOf = new Float32Array(LIGHT_STEPS + 2);
  for (let k = 1, t = 0; k < toneOf.length; k++) {
    const wanted = k / perTaken;
    while (t < top - 1 && taken[t + 1]! < wanted) t++;
    toneOf[k] = Math.min(1, (t + (wanted - taken[t]!) / (taken[t + 1]! - taken[t]!)) / top);
  }
  const pixels = resample(tone, frame, view, 'soft', taken);
  for (let k = 0; k < pixels.length; k++) {
    if (pixels[k] === 0) continue;
    const at = Math.min(LIGHT_STEPS, pixels[k]! * perTaken);
    const low = at | 0;
    pixels[k] = toneOf[low]! + (at - low) * (toneOf[low + 1]! - toneOf[low]!);
  }
  return pixels;
}

/** By tone, the part of bare wood's light that is gone, rising all the way. */
function lightTaken(table: Float32Array): Float32Array {
  const count = table.length / 3;
  const lightAt = (t: number): number => luminance(...threeOf((c) => linearOf(table[3 * t + c]!)));
  const bare = lightAt(0);
  const taken = new Float32Array(count);
  for (let t = 1; t < count; t++) {
    const least = taken[t - 1]! + BEYOND_DARKEST / count;
    taken[t] = Math.max(least, 1 - lightAt(t) / bare);
  }
  return taken;
}

function anyAbove0(values: ArrayLike<number>): boolean {
  for (let k = 0; k < values.length; k++) if (values[k]! > 0) return true;
  return false;
}

/** Colour by tone, under the grain and the light. */
function paintTone(
  data: Uint8ClampedArray,
  tone: Float32Array,
  view: View,
  table: Float32Array,
  strength: number,
): void {
  const { widthPx: width, heightPx: height } = view;
  const top = table.length / 3 - 1;
  const grain = grainOver(view);
  const streaks = new Float32Array(width);
  const lightStep = (LIGHT_FAR - LIGHT_NEAR) / (2 * width);
  for (let y = 0, k = 0, to = 0; y < height; y++) {
    grain.row(y, streaks);
    let light = LIGHT_NEAR + ((LIGHT_FAR - LIGHT_NEAR) * y) / (2 * height);
    for (let x = 0; x < width; x++, k++, to += 4, light += lightStep) {
      const t = Math.min(1, Math.max(0, tone[k]!));
      const streak = strength * streaks[x]! * (1 - (1 - GRAIN_ON_CHAR) * t);
      const from = ((t * top + 0.5) | 0) * 3;
      data[to] = table[from]! * light * (1 + GRAIN_RED * streak);
      data[to + 1] = table[from + 1]! * light * (1 + GRAIN_GREEN * streak);
      data[to + 2] = table[from + 2]! * light * (1 + GRAIN_BLUE * streak);
      data[to + 3] = 255;
    }
  }
}

/** Light and shade on what is carved: Lambert's law on the slope of the floor, softened on steep walls. */
function carve(data: Uint8ClampedArray, depthMm: Float32Array, { widthPx, heightPx, pxPerMm }: View): void {
  for (let y = 0, k = 0; y < heightPx; y++) {
    const up = y > 0 ? widthPx : 0;
    const down = y < heightPx - 1 ? widthPx : 0;
    for (let x = 0; x < widthPx; x++, k++) {
      const before = depthMm[x > 0 ? k - 1 : k]!;
      const after = depthMm[x < widthPx - 1 ? k + 1 : k]!;
      const fall = before - after + depthMm[k - up]! - depthMm[k + down]!;
      const depth = depthMm[k]!;
      if (depth === 0 && fall === 0) continue;
      const slope = fall * pxPerMm * 0.5;
      const factor = (1 + (RELIEF * slope) / (1 + Math.abs(slope))) * floorShade(depth);
      scale3(data, k * 4, factor);
    }
  }
}

function scale3(data: Uint8ClampedArray, at: number, factor: number): void {
  data[at] = data[at]! * factor;
  data[at + 1] = data[at + 1]! * factor;
  data[at + 2] = data[at + 2]! * factor;
}

/** Magnified cells of 0 and 1 blur into slopes; this gives them back an edge of about one and a half pixels. */
function sharpened(through: Float32Array, pxPerCell: number): Float32Array {
  const gain = Math.max(1, pxPerCell / 1.5);
  if (gain === 1) return through;
  for (let k = 0; k < through.length; k++) {
    through[k] = Math.min(1, Math.max(0, (through[k]! - 0.5) * gain + 0.5));
  }
  return through;
}

/** Where the board is cut through: the dark below, its far wall and the rim behind it catching the light. */
function openGaps(
  data: Uint8ClampedArray,
  through: Float32Array,
  { widthPx, heightPx, pxPerMm }: View,
): void {
  const reach = Math.min(RIM_MOST_PX, Math.max(1, Math.round(RIM_MM * pxPerMm)));
  for (let y = 0, k = 0; y < heightPx; y++) {
    const up = Math.min(y, reach);
    const down = Math.min(heightPx - 1 - y, reach);
    for (let x = 0; x < widthPx; x++, k++) {
      const open = through[k]!;
      const behind = through[k - up * widthPx - Math.min(x, reach)]!;
      if (open === 0 && behind === 0) continue;
      const ahead = through[k + down * widthPx + Math.min(widthPx - 1 - x, reach)]!;
      const lit = Math.max(0, behind - ahead);
      for (let c = 0, at = k * 4; c < 3; c++, at++) {
        const gap = GAP[c]! + lit * (LIT_WALL[c]! - GAP[c]!);
        data[at] = (1 - open) * (data[at]! + lit * RIM_LIGHT[c]!) + open * gap;
      }
    }
  }
}
