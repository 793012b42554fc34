import { InputError } from '../../errors.ts';
import { type Bounds, overlaps } from '../../grid.ts';
import { refuseUnknownOptions } from '../../options.ts';
import { type BareLight, type BareSample, bareLight } from '../../photo/bare.ts';
import { MOST_CLIPPED, meanColour, refuseBareLight, refuseUselessPhoto } from '../../photo/exposure.ts';
import { type Homography, inverted, mapped, scaleAt } from '../../photo/homography.ts';
import { bent, unbent } from '../../photo/lens.ts';
import { type LinearRgb, type Photo, type PhotoPoint, threeOf } from '../../photo/photo.ts';
import { straightened } from '../../photo/straighten.ts';
import { codeWidthMm } from '../code.ts';
import { digitsWidthMm } from '../digits.ts';
import { readArea } from '../replay.ts';
import type { Swatch } from '../swatch.ts';
import { equivalentWidth, type LineWidth } from './line-width.ts';
import { edgeWidthMm, findSwatch, markDiametersMm, swatchAt } from './marks.ts';
import { type CodeReading, readCode } from './read-code.ts';
import { strangeness } from './strangeness.ts';
import { type SwatchLens, swatchLens } from './swatch-lens.ts';

export interface ReadPhotoOptions {
  /** Centres of the four marks in pixels, the one with the hole first, then anticlockwise; default: find them. */
  readonly corners?: readonly PhotoPoint[] | null;
  /** A place on plain white paper that lies beside the board in the same light; default: none. */
  readonly white?: PhotoPoint | null;
}

/** What a photo of a burned swatch says, light evened out: ratios to the bare wood that would be there. */
export interface PhotoReading {
  /** In the order of the swatch's patches; light of the patch over light of bare wood. */
  readonly patches: readonly PatchReading[];
  /** In the order of the swatch's lines. */
  readonly lines: readonly LineWidth[];
  /** Covariance of ln R, G, B of bare places about what their surroundings say, row by row. */
  readonly scatter: readonly number[];
  /** Light of white paper over light of the bare wood; null: none was shown. */
  readonly whiteOverBare: LinearRgb | null;
  /** Where the centres of the four marks lie on the photo, the one with the hole first. */
  readonly cornersPx: readonly PhotoPoint[];
  readonly pxPerMm: number;
  /** 10 to 90 % of the marks' rims, mm. */
  readonly edgeMm: number | null;
  /** `bent`: the lens bends straight lines, and that was taken out; `untold`: too little of the swatch shows to tell. */
  readonly lens: SwatchLens['kind'];
  /** The photo's own light of bare wood, mean over the swatch, linear sRGB. */
  readonly bare: LinearRgb;
  /** The engraved code; null: the key has none. */
  readonly code: CodeReading | null;
  /** What says that photo and key do not belong together; empty: nothing does. Clauses: `it shows the code 1234, …`. */
  readonly doubts: readonly string[];
}

interface PatchReading {
  readonly ratio: LinearRgb;
  /** Share of its pixels that are all black or all white in some channel, which says nothing of their light. */
  readonly clipped: number;
}

/** Below this a photo cannot tell a line from the wood beside it. */
const LEAST_PX_PER_MM = 6;
const MOST_EDGE_MM = 0.6;
/** Bare wood is sampled in squares of this side, tried at every quarter of it: they fit between two patches. */
export const SAMPLE_MM = 1.12;
const TRIES = 4;
/** They keep clear of what is burned by the spot's own reach and more the more the photo is blurred, mm. */
const CLEAR_MM = 0.22;
const CLEAR_EDGES = 0.6;
const BOARD_EDGE_MM = 0.8;
const LEAST_SAMPLES = 40;
/**
 * Reads a photo of a burned swatch.
 * @param photo R, G, B, A a pixel, sRGB, row 0 at the top.
 * @param options places in pixels from the upper left corner.
 * @returns ratios of light to that of bare wood, widths in mm; in the order of the swatch's patches and lines.
 * @throws {InputError} one plain sentence where the photo cannot be read: marks not found, too small, out of
 *   focus, too dark, overexposed; or for an unknown option.
 */
export function readPhoto(photo: Photo, swatch: Swatch, options: ReadPhotoOptions = {}): PhotoReading {
  refuseUnknownOptions(options, { corners: true, white: true }, 'readPhoto');
  refuseUselessPhoto(photo);
  const { corners = null, white = null } = options;
  const seen = corners === null ? findSwatch(photo, swatch) : swatchAt(corners, photo, swatch);
  const lens = swatchLens(photo, seen, swatch);
  if (lens.kind !== 'bent') return readStraight(photo, seen, swatch, white, lens.kind);
  const { map, lens: bending } = lens.view;
  const place = white && unbent(bending, white);
  const reading = readStraight(straightened(photo, bending), map, swatch, place, 'bent');
  return { ...reading, cornersPx: reading.cornersPx.map(([x, y]) => bent(bending, x, y)) };
}

/** Reads a photo on which straight lines are straight. */
function readStraight(
  photo: Photo,
  map: Homography,
  swatch: Swatch,
  white: PhotoPoint | null,
  lens: PhotoReading['lens'],
): PhotoReading {
  const { at_mm, size_mm } = swatch.area;
  const pxPerMm = scaleAt(map, [at_mm[0] + size_mm[0] / 2, at_mm[1] + size_mm[1] / 2]);
  if (pxPerMm < LEAST_PX_PER_MM) {
    throw new InputError(
      `found ${pxPerMm.toFixed(1)} pixels per mm of the swatch; expected at least ${LEAST_PX_PER_MM}, so go nearer or use a finer photo`,
    );
  }
  const edgeMm = edgeWidthMm(map, photo, swatch);
  if (edgeMm !== null && edgeMm > MOST_EDGE_MM) {
    throw new InputError(
      `found a photo out of focus: the rims of the marks are blurred over ${edgeMm.toFixed(1)} mm; expected at most ${MOST_EDGE_MM} mm, so take it again with the camera still and focused on the board`,
    );
  }
  const back = inverted(map);
  const samples = bareSamples(photo, map, back, swatch, CLEAR_MM + CLEAR_EDGES * (edgeMm ?? 0.3));
  const light = bareLight(samples.bare);
  const code = swatch.code ? readCode(photo, map, light, swatch.code, edgeMm) : null;
  return {
    patches: swatch.patches.map((patch) => patchReading(photo, map, back, readArea(patch), light)),
    lines: swatch.lines.map((line) => equivalentWidth(photo, map, back, line)),
    scatter: light.scatter,
    whiteOverBare: white === null ? null : whiteOverBare(photo, white, map, back, swatch, light),
    cornersPx: swatch.marks.at_mm.map((mark) => mapped(map, mark)),
    pxPerMm,
    edgeMm,
    lens,
    bare: samples.mean,
    code,
    doubts: strangeness(swatch, {
      code,
      samples: samples.bare,
      light,
      marksMm: markDiametersMm(map, photo, swatch),
    }),
  };
}

/** Squares of bare wood wherever one finds room, none over another. */
function bareSamples(
  photo: Photo,
  map: Homography,
  back: Homography,
  swatch: Swatch,
  clearMm: number,
): { bare: BareSample[]; mean: LinearRgb } {
  const { at_mm, size_mm } = swatch.area;
  const burned = burnedAreas(swatch, clearMm);
  const step = SAMPLE_MM / TRIES;
  const columns = Math.floor((size_mm[0] - 2 * BOARD_EDGE_MM) / step);
  const rows = Math.floor((size_mm[1] - 2 * BOARD_EDGE_MM) / step);
  const taken = new Uint8Array(columns * rows);
  const bare: BareSample[] = [];
  const sum = [0, 0, 0];
  let clipped = 0;
  for (let j = 0; j + TRIES <= rows; j++) {
    const y = at_mm[1] + BOARD_EDGE_MM + j * step;
    const beside = burned.filter(({ minYMm, maxYMm }) => y < maxYMm && minYMm < y + SAMPLE_MM);
    for (let i = 0; i + TRIES <= columns; i++) {
      if (taken[j * columns + i] || taken[j * columns + i + TRIES - 1]) continue;
      const x = at_mm[0] + BOARD_EDGE_MM + i * step;
      const area = { minXMm: x, minYMm: y, maxXMm: x + SAMPLE_MM, maxYMm: y + SAMPLE_MM };
      if (beside.some((other) => overlaps(area, other))) continue;
      const colour = meanColour(photo, map, back, area);
      if (colour === null) continue;
      for (let row = j; row < j + TRIES; row++) taken.fill(1, row * columns + i, row * columns + i + TRIES);
      bare.push({ xMm: x + SAMPLE_MM / 2, yMm: y + SAMPLE_MM / 2, rgb: colour.rgb });
      for (let c = 0; c < 3; c++) sum[c]! += colour.rgb[c]!;
      clipped += colour.white;
    }
  }
  if (bare.length < LEAST_SAMPLES) {
    throw new InputError(
      `found only ${bare.length} places of bare wood on the photo; expected the whole swatch, its edges too`,
    );
  }
  const mean = threeOf((c) => sum[c]! / bare.length);
  refuseBareLight(mean, clipped / bare.length);
  return { bare, mean };
}

/** Everything that is burned, with the clear distance around it. */
function burnedAreas({ marks, patches, lines, cuts, labels, code }: Swatch, clearMm: number): Bounds[] {
  const around = (x: number, y: number, width: number, height: number): Bounds => ({
    minXMm: x - clearMm,
    minYMm: y - clearMm,
    maxXMm: x + width + clearMm,
    maxYMm: y + height + clearMm,
  });
  const r = marks.radius_mm;
  return [
    ...marks.at_mm.map(([x, y]) => around(x - r, y - r, 2 * r, 2 * r)),
    ...patches.map(({ at_mm: [x, y], size_mm }) => around(x, y, ...size_mm)),
    ...lines.map(({ at_mm: [x, y], along, length_mm }) =>
      along === 'x' ? around(x, y, length_mm, 0) : around(x, y, 0, length_mm),
    ),
    ...cuts.map(({ at_mm: [x, y], length_mm }) => around(x, y, 0, length_mm)),
    ...labels.items.map(({ text, at_mm: [x, y] }) =>
      around(x, y, digitsWidthMm(text, labels.height_mm), labels.height_mm),
    ),
    ...(code ? [around(...code.at_mm, codeWidthMm(code), code.height_mm)] : []),
  ];
}

function patchReading(
  photo: Photo,
  map: Homography,
  back: Homography,
  area: Bounds,
  light: BareLight,
): PatchReading {
  const colour = meanColour(photo, map, back, area);
  if (colour === null)
    throw new InputError('found patches that lie off the photo; expected the whole swatch on it');
  const bare = meanBare(light, area);
  return {
    ratio: threeOf((c) => colour.rgb[c] / bare[c]!),
    clipped: Math.max(colour.black, colour.white),
  };
}

/** Mean of the bare light over an area, from nine places in it. */
function meanBare(light: BareLight, { minXMm, minYMm, maxXMm, maxYMm }: Bounds): number[] {
  const sum = [0, 0, 0];
  for (const u of [1 / 6, 1 / 2, 5 / 6]) {
    for (const v of [1 / 6, 1 / 2, 5 / 6]) {
      const there = light.at(minXMm + u * (maxXMm - minXMm), minYMm + v * (maxYMm - minYMm));
      for (let c = 0; c < 3; c++) sum[c]! += there[c]! / 9;
    }
  }
  return sum;
}

/** Radius around the place on the paper, mm as they are at the board. */
const PAPER_MM = 1.5;

function whiteOverBare(
  photo: Photo,
  white: PhotoPoint,
  map: Homography,
  back: Homography,
  { area }: Swatch,
  light: BareLight,
): LinearRgb {
  const [x, y] = mapped(back, white);
  const colour = meanColour(photo, map, back, {
    minXMm: x - PAPER_MM,
    minYMm: y - PAPER_MM,
    maxXMm: x + PAPER_MM,
    maxYMm: y + PAPER_MM,
  });
  if (colour === null) throw new InputError('found the white paper off the photo; expected a place on it');
  if (colour.white > MOST_CLIPPED) {
    throw new InputError(
      'found white paper that is overexposed; expected a photo with less light, so that paper and wood can be compared',
    );
  }
  // The light beside the board is not known; that at the nearest place on it is.
  const inside = (at: number, from: number, size: number) =>
    Math.min(Math.max(at, from + 1), from + size - 1);
  const bare = light.at(inside(x, area.at_mm[0], area.size_mm[0]), inside(y, area.at_mm[1], area.size_mm[1]));
  const ratio = threeOf((c) => colour.rgb[c] / bare[c]!);
  if (ratio[1] < 1) {
    throw new InputError(
      'found a place darker than the bare wood where white paper was said to be; expected paper',
    );
  }
  return ratio;
}
