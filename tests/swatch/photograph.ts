import type { Burn } from '../../src/burn/burn.ts';
import { labOf } from '../../src/burn/colour.ts';
import type { Material } from '../../src/burn/material.ts';
import type { Bounds } from '../../src/grid.ts';
import { homographyOf, inverted } from '../../src/photo/homography.ts';
import { codedOf, LINEAR, type Photo, type PhotoPoint } from '../../src/photo/photo.ts';
import { viewOver } from '../../src/picture/view.ts';
import { woodRaster } from '../../src/picture/wood.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { throughJpeg } from '../support/jpeg.ts';

/**
 * A camera made of arithmetic: takes the project's own burn picture of a swatch and photographs it, with a
 * slanting view, uneven light, a wrong exposure and white balance, contrast, blur, noise and JPEG.
 */
export interface Camera {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Where the board's lower left, lower right, upper right and upper left corners come to lie, in pixels. */
  readonly corners: readonly PhotoPoint[];
  /** Standard deviation of the blur, pixels. */
  readonly blurPx: number;
  /** Light over the board: factor exp(ax·u + ay·v + axx·u² + ayy·v² + axy·u·v), u and v from −1 to 1. */
  readonly light: readonly [ax: number, ay: number, axx: number, ayy: number, axy: number];
  /** Exposure times white balance for each channel. */
  readonly gain: readonly [number, number, number];
  /** Light is raised to this power about the bare wood: what cameras do to contrast. */
  readonly contrast: number;
  /** Standard deviation of a pixel's noise at mid light, as a share of full light. */
  readonly noise: number;
  /** JPEG quality, 1 to 100; null: no JPEG. */
  readonly quality: number | null;
  /** Linear light of the table under the board. */
  readonly table: readonly [number, number, number];
  /** A strip of white paper of this linear light along the board's lower edge; null: none. */
  readonly paper: readonly [number, number, number] | null;
  /** What the lens does: r half diagonals from the middle are seen at r·(1 + k1·r² + k2·r⁴); left out: nothing. */
  readonly lens?: readonly [k1: number, k2: number];
  /** Where the board is wood, mm from its lower left corner, and table beside it; left out: everywhere. */
  readonly isWood?: (xMm: number, yMm: number) => boolean;
}

export const PAPER_GAP_MM = 2;
export const PAPER_DEEP_MM = 6;

/** The whole way: the board as the burn picture shows it, then the camera. */
export function photograph(
  burn: Burn,
  material: Material,
  swatch: Swatch,
  camera: Camera,
  random: () => number,
): Photo {
  const { at_mm, width_mm, height_mm } = swatch.stock;
  const bounds = {
    minXMm: at_mm[0],
    minYMm: at_mm[1],
    maxXMm: at_mm[0] + width_mm,
    maxYMm: at_mm[1] + height_mm,
  };
  return photographBoard(burn, material, bounds, camera, random, 0.5);
}

/**
 * The same of any burned board.
 * @param pxPerCell how many pixels a cell of the burn is painted with, along a side: half of one is quicker.
 */
export function photographBoard(
  burn: Burn,
  material: Material,
  bounds: Bounds,
  camera: Camera,
  random: () => number,
  pxPerCell: 1 | 0.5 = 1,
): Photo {
  const board = boardSeen(burn, material, bounds, pxPerCell);
  return written(exposed(board, bounds, camera, random), camera);
}

/** Photos are taken one after another: each takes the last one's sheets, or there would be much to clear away. */
const sheets = new Map<string, Float32Array>();

function sheet(name: string, length: number): Float32Array {
  const known = sheets.get(name);
  if (known?.length === length) return known;
  const made = new Float32Array(length);
  sheets.set(name, made);
  return made;
}

/** The burned board from above in linear light, `perMm` pixels to the millimetre, row 0 at the top. */
interface Board {
  readonly width: number;
  readonly height: number;
  readonly perMm: number;
  readonly light: Float32Array;
}

/** What the board's sheet shows: the same board is often photographed many times in a row. */
let shown: { burn: Burn; material: Material; bounds: Bounds; pxPerCell: number; board: Board } | null = null;

function boardSeen(burn: Burn, material: Material, bounds: Bounds, pxPerCell: number): Board {
  const isSame =
    shown?.burn === burn &&
    shown.material === material &&
    shown.pxPerCell === pxPerCell &&
    (['minXMm', 'minYMm', 'maxXMm', 'maxYMm'] as const).every((side) => shown!.bounds[side] === bounds[side]);
  if (!isSame)
    shown = { burn, material, bounds, pxPerCell, board: boardOf(burn, material, bounds, pxPerCell) };
  return shown!.board;
}

/** Cells of the burn to a pixel of the board, along a side: light, not tone, must be averaged. */
const CELLS = 2;

function boardOf(burn: Burn, material: Material, bounds: Bounds, pxPerCell: number): Board {
  const sides = [bounds.maxXMm - bounds.minXMm, bounds.maxYMm - bounds.minYMm];
  const finest = Math.min(4000, Math.max(...sides) / burn.frame.cellMm);
  const view = viewOver(bounds, burn.frame, finest * pxPerCell);
  const path = Array.from({ length: 41 }, (_, k) => ({ tone: k / 40, lab: labOf(k / 40, material) }));
  const raster = woodRaster(burn, view, path);
  const painted = CELLS * pxPerCell;
  /** What a painted pixel of such a value gives to the light of the board's. */
  const given = LINEAR.map((light) => light / painted ** 2);
  const width = Math.floor(raster.width / painted);
  const height = Math.floor(raster.height / painted);
  const light = sheet('board', width * height * 3).fill(0);
  const { data } = raster;
  for (let y = 0, from = 0; y < height * painted; y++, from = y * raster.width * 4) {
    let to = Math.floor(y / painted) * width * 3;
    for (let x = 0; x < width; x++, to += 3) {
      for (let k = 0; k < painted; k++, from += 4) {
        light[to]! += given[data[from]!]!;
        light[to + 1]! += given[data[from + 1]!]!;
        light[to + 2]! += given[data[from + 2]!]!;
      }
    }
  }
  return { width, height, perMm: view.pxPerMm / painted, light };
}

/** What falls on the sensor, row by row, as coded values. */
function exposed(board: Board, bounds: Bounds, camera: Camera, random: () => number): Photo {
  const { widthPx, heightPx, corners, paper, noise, lens, isWood } = camera;
  const [width, height] = [bounds.maxXMm - bounds.minXMm, bounds.maxYMm - bounds.minYMm];
  const map = homographyOf(
    [
      [0, 0],
      [width, 0],
      [width, height],
      [0, height],
    ],
    corners,
  )!;
  const [b0, b1, b2, b3, b4, b5, b6, b7, b8] = inverted(map);
  const pxPerMm = Math.hypot(corners[1]![0] - corners[0]![0], corners[1]![1] - corners[0]![1]) / width;
  const sharp = blurred(board, (camera.blurPx / pxPerMm) * board.perMm);
  const steepened = contrastTable(camera.contrast);
  const data = new Uint8ClampedArray(widthPx * heightPx * 4);
  const exposure = new Float32Array(widthPx * 3);
  const { table: normal, state: seed } = noiseFrom(random);
  let state = seed;
  const wood = new Float64Array(3);
  const [table, white] = [Float64Array.from(camera.table), Float64Array.from(paper ?? [])];
  const gain = Float64Array.from(camera.gain);
  const half = Math.hypot(widthPx, heightPx) / 2;
  for (let y = 0; y < heightPx; y++) {
    let lamp = 1;
    let exponent = 0;
    for (let x = 0, to = 0; x < widthPx; x++, to += 3) {
      let px = x + 0.5;
      let py = y + 0.5;
      if (lens) {
        const [dx, dy] = [px - widthPx / 2, py - heightPx / 2];
        const nearer = straightening(lens, Math.sqrt(dx * dx + dy * dy) / half);
        px = widthPx / 2 + dx * nearer;
        py = heightPx / 2 + dy * nearer;
      }
      const w = b6 * px + b7 * py + b8;
      const xMm = (b0 * px + b1 * py + b2) / w;
      const yMm = (b3 * px + b4 * py + b5) / w;
      const before = exponent;
      exponent = lampExponent(camera.light, xMm / width, yMm / height);
      // From pixel to pixel it hardly changes: the exponential's first terms do, but for the first of a row.
      const rise = exponent - before;
      lamp = x === 0 ? Math.exp(exponent) : lamp * (1 + rise + (rise * rise) / 2);
      const onBoard =
        xMm >= 0 && yMm >= 0 && xMm < width && yMm < height && (isWood === undefined || isWood(xMm, yMm));
      if (onBoard) sampled(board, sharp, xMm, height - yMm, wood);
      const seen = onBoard ? wood : paper && isOnPaper(xMm / width, yMm) ? white : table;
      for (let c = 0; c < 3; c++) {
        const own = gain[c]! * between(steepened, seen[c]! * lamp * STEPS_PER_LIGHT);
        state = (Math.imul(state, 1664525) + 1013904223) | 0; // a linear congruential step: its high bits are good
        exposure[to + c] = own + noise * Math.sqrt(Math.max(0.02, own)) * normal[state >>> 16]!;
      }
    }
    setCoded(data, 4 * y * widthPx, exposure);
  }
  return { width: widthPx, height: heightPx, data };
}

const isOnPaper = (part: number, yMm: number): boolean =>
  part > 0.2 && part < 0.8 && yMm < -PAPER_GAP_MM && yMm > -PAPER_GAP_MM - PAPER_DEEP_MM;

/**
 * How much nearer to the middle a lens that bends nothing would have seen what is seen so far from it, in half diagonals:
 * by Newton's steps.
 */
function straightening([k1, k2]: readonly [k1: number, k2: number], seen: number): number {
  let r = seen;
  for (let step = 0; step < 6; step++) {
    const square = r * r;
    const [first, second] = [k1 * square, k2 * square * square];
    r -= (r * (1 + first + second) - seen) / (1 + 3 * first + 5 * second);
  }
  return seen > 0 ? r / seen : 1;
}

/** Light about which contrast turns: near that of bare wood. */
const PIVOT = 0.58;
const TABLE_STEPS = 16_384;
const TABLE_TO = 3;
const STEPS_PER_LIGHT = TABLE_STEPS / TABLE_TO;

/** PIVOT·(light/PIVOT)^contrast in even steps of light: it is asked for three times a pixel. */
const contrastTable = (contrast: number): Float64Array =>
  new Float64Array(TABLE_STEPS + 2).map((_, k) => PIVOT * (k / STEPS_PER_LIGHT / PIVOT) ** contrast);

/** A table's value at a place in its steps, by straight lines. */
function between(table: Float64Array, place: number): number {
  const at = Math.min(table.length - 2, Math.max(0, place));
  const k = at | 0;
  return table[k]! + (table[k + 1]! - table[k]!) * (at - k);
}

function lampExponent([ax, ay, axx, ayy, axy]: Camera['light'], part: number, partUp: number): number {
  const u = Math.min(1.5, Math.max(-1.5, 2 * part - 1));
  const v = Math.min(1.5, Math.max(-1.5, 2 * partUp - 1));
  return ax * u + ay * v + axx * u * u + ayy * v * v + axy * u * v;
}

function sampled(
  { width, height, perMm }: Board,
  light: Float32Array,
  xMm: number,
  downMm: number,
  out: Float64Array,
): void {
  const x = Math.min(Math.max(xMm * perMm - 0.5, 0), width - 1.001);
  const y = Math.min(Math.max(downMm * perMm - 0.5, 0), height - 1.001);
  const column = x | 0;
  const row = y | 0;
  const fx = x - column;
  const fy = y - row;
  const k = (row * width + column) * 3;
  for (let c = 0; c < 3; c++) {
    const upper = light[k + c]! * (1 - fx) + light[k + 3 + c]! * fx;
    const lower = light[k + width * 3 + c]! * (1 - fx) + light[k + width * 3 + 3 + c]! * fx;
    out[c] = upper * (1 - fy) + lower * fy;
  }
}

/** The board through a Gaussian blur of so many of its pixels. */
function blurred({ width, height, light }: Board, sigma: number): Float32Array {
  if (sigma < 0.2) return light;
  const reach = Math.ceil(3 * sigma);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, k) =>
    Math.exp(-((k - reach) ** 2) / (2 * sigma ** 2)),
  );
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  /** Of a pixel itself, and of those that lie so far on either side of it. */
  const shares = Float64Array.from(weights.slice(reach), (weight) => weight / total);
  const line = width * 3;
  const half = sheet('half blurred', (height + 2 * reach) * line);
  const whole = sheet('blurred', light.length);
  // Along the rows, whose ends go on as they are; then down the columns, which do so too.
  const longer = new Float32Array(line + 6 * reach);
  for (let y = 0; y < height; y++) {
    longer.set(light.subarray(y * line, (y + 1) * line), 3 * reach);
    for (let k = 0; k < 3 * reach; k++) {
      longer[k] = light[y * line + (k % 3)]!;
      longer[line + 3 * reach + k] = light[(y + 1) * line - 3 + (k % 3)]!;
    }
    weighted(longer, 3, shares, half.subarray((reach + y) * line, (reach + y + 1) * line));
  }
  for (let k = 0; k < reach; k++) {
    half.copyWithin(k * line, reach * line, (reach + 1) * line);
    half.copyWithin((height + reach + k) * line, (height + reach - 1) * line, (height + reach) * line);
  }
  weighted(half, line, shares, whole);
  return whole;
}

/**
 * Each number becomes the weighted sum of itself and of those so many steps before and after it; `from` goes on at either
 * end for as many steps as there are shares beside its own.
 */
function weighted(from: Float32Array, step: number, shares: Float64Array, to: Float32Array): void {
  const farthest = (shares.length - 1) * step;
  for (let k = 0; k < to.length; k++) {
    const middle = k + farthest;
    let sum = shares[0]! * from[middle]!;
    for (let far = shares.length - 1, away = farthest; far > 0; far--, away -= step)
      sum += shares[far]! * (from[middle - away]! + from[middle + away]!);
    to[k] = sum;
  }
}

/** A photo of such light, three numbers a pixel. */
export function develop(light: Float32Array, camera: Camera): Photo {
  const { widthPx: width, heightPx: height } = camera;
  const data = new Uint8ClampedArray(width * height * 4);
  setCoded(data, 0, light);
  return written({ width, height, data }, camera);
}

/** Through JPEG and back where the camera writes it. */
const written = (photo: Photo, { quality }: Camera): Photo =>
  quality === null ? photo : throughJpeg(photo, quality);

function setCoded(data: Uint8ClampedArray, begin: number, light: Float32Array): void {
  for (let from = 0, to = begin; from < light.length; from += 3, to += 4) {
    data[to] = coded(light[from]!);
    data[to + 1] = coded(light[from + 1]!);
    data[to + 2] = coded(light[from + 2]!);
    data[to + 3] = 255;
  }
}

/** The sRGB curve from a table of what a photo can hold: it is asked for millions of times. */
const CODED = Uint8ClampedArray.from({ length: 4097 }, (_, k) => codedOf(k / 4096));
/** Where it is steep, by straight lines between places that lie nearer together. */
const DARK = 0.02;
const CODED_DARK = Float64Array.from({ length: 4098 }, (_, k) => codedOf((DARK * k) / 4096));
function coded(light: number): number {
  if (light >= DARK) return CODED[Math.min(4096, (light * 4096 + 0.5) | 0)]!;
  const at = (Math.max(0, light) * 4096) / DARK;
  const below = Math.floor(at);
  return CODED_DARK[below]! + (CODED_DARK[below + 1]! - CODED_DARK[below]!) * (at - below);
}

/** Standard normal numbers, two at a time (G. Box, M. Muller 1958). */
export function gaussian(random: () => number): () => number {
  let spare: number | null = null;
  return () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - random()));
    const angle = 2 * Math.PI * random();
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}

/** Normal numbers for millions of pixels: 2¹⁶ of them, and where to begin to take them in an order that the pixels do not show. */
function noiseFrom(random: () => number): { table: Float32Array; state: number } {
  const normal = gaussian(random);
  const table = new Float32Array(1 << 16);
  for (let k = 0; k < table.length; k++) table[k] = normal();
  return { table, state: Math.floor(random() * 2 ** 32) | 1 };
}

/** A photo's pixels, each one number. */
export const pixelsOf = ({ data }: Photo): Uint32Array =>
  new Uint32Array(data.buffer, data.byteOffset, data.length / 4);

/** The photo turned by quarter turns clockwise. */
export function turned(photo: Photo, quarters: number): Photo {
  let result = photo;
  for (let k = 0; k < quarters % 4; k++) {
    const { width, height } = result;
    const pixels = pixelsOf(result);
    const next = new Uint32Array(pixels.length);
    for (let y = 0, from = 0; y < height; y++)
      for (let x = 0; x < width; x++, from++) next[x * height + (height - 1 - y)] = pixels[from]!;
    result = { width: height, height: width, data: new Uint8ClampedArray(next.buffer) };
  }
  return result;
}
