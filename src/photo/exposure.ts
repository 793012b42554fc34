import { InputError } from '../errors.ts';
import type { Bounds } from '../grid.ts';
import type { Homography } from './homography.ts';
import { LINEAR, type LinearRgb, type Photo, threeOf } from './photo.ts';
import { eachPixelIn } from './pixels.ts';

/** How much light a photo has: the mean over an area of the board, and what is refused as too dark or too bright. */

/** Bare wood darker than this linear light drowns in noise. */
const DARKEST_BARE = 0.045;
/** A coded value from which on a camera may have cut light off, and the share of an area that may be so. */
export const CLIPPED_CODE = 252;
export const MOST_CLIPPED = 0.02;
/** Pixels looked at in one area, at most. */
const AREA_PX = 40_000;

/** Nothing is found on fewer pixels along the longer side. */
const LEAST_PX = 100;

/** A photo that is hardly one, or in which next to nothing is light, is refused before anything is looked for in it. */
export function refuseUselessPhoto({ width, height, data }: Photo): void {
  if (Math.max(width, height) < LEAST_PX) {
    throw new InputError(
      `found a photo that is too small, ${width} × ${height} pixels; expected at least ${LEAST_PX} along its longer side, so take the photo as the camera made it`,
    );
  }
  const pixels = data.length / 4;
  const step = Math.max(1, Math.floor(pixels / 50_000));
  const counts = new Uint32Array(256);
  let seen = 0;
  for (let k = 0; k < pixels; k += step, seen++) counts[data[4 * k + 1]!]!++;
  let bright = 255;
  for (let above = counts[255]!; bright > 0 && above < 0.1 * seen; above += counts[bright]!) bright--;
  if (LINEAR[bright]! < DARKEST_BARE) throw tooDark();
}

const tooDark = (): InputError =>
  new InputError(
    'found a photo that is too dark: the bare wood is nearly as black as the char; expected daylight or a lamp, and no shadow over the board',
  );

/** @param clipped the share of the bare wood that is at the brightest the camera can tell. */
export function refuseBareLight(bare: LinearRgb, clipped: number): void {
  if (bare[1] < DARKEST_BARE) throw tooDark();
  if (clipped > MOST_CLIPPED) {
    throw new InputError(
      `found a photo that is overexposed: ${Math.round(100 * clipped)} % of the bare wood is at the brightest the camera can tell; expected less light, and no glare on the board`,
    );
  }
}

export interface MeanColour {
  readonly rgb: LinearRgb;
  /** Shares of the pixels with a channel at its darkest, and at its brightest. */
  readonly black: number;
  readonly white: number;
}

/** Mean light over a rectangle of the board; null where no pixel of the photo lies in it. */
export function meanColour(photo: Photo, map: Homography, back: Homography, area: Bounds): MeanColour | null {
  const linear = LINEAR;
  const { data } = photo;
  // In an array: numbers that a visit adds to would each be made anew.
  const sums = new Float64Array(3);
  let count = 0;
  let black = 0;
  let white = 0;
  eachPixelIn(photo, map, back, area, AREA_PX, (_x, _y, at) => {
    const red = data[at]!;
    const green = data[at + 1]!;
    const blue = data[at + 2]!;
    sums[0]! += linear[red]!;
    sums[1]! += linear[green]!;
    sums[2]! += linear[blue]!;
    count++;
    if (red === 0 || green === 0 || blue === 0) black++;
    if (red >= CLIPPED_CODE || green >= CLIPPED_CODE || blue >= CLIPPED_CODE) white++;
  });
  if (count === 0) return null;
  return {
    rgb: threeOf((c) => sums[c]! / count),
    black: black / count,
    white: white / count,
  };
}
