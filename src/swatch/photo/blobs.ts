import type { GreyImage } from '../../photo/photo.ts';

/**
 * Dark round blobs on a photo: pieces of it that are darker than the brightest wood around them, measured by
 * their moments, and kept where those are a disc's or a ring's, seen at a slant or not.
 */
export interface Blob {
  readonly xPx: number;
  readonly yPx: number;
  /** Mean radius, of the ellipse that has the same second moments as the blob. */
  readonly radiusPx: number;
  /** The farthest point in standard deviations of the blob: about 2 where it is round, more where it has corners. */
  readonly corner: number;
  /** How light the middle is: 0 as dark as the blob, 1 as light as its surroundings. */
  readonly middle: number;
}

/** A blob is darker than this share of the light around it; each is tried, as woods and lights differ. */
const THRESHOLDS = [0.5, 0.35, 0.22] as const;
/** How far around, as a share of the longer side, the brightest place is looked for. */
const NEIGHBOURHOOD = 0.06;
/** The smallest and largest radius of a mark, as shares of the longer side. */
const LEAST_RADIUS = 0.006;
const MOST_RADIUS = 0.07;
const LEAST_RADIUS_PX = 4;
/** Longest over shortest axis. */
const MOST_OBLONG = 3;
/** Area over that of the ellipse with the same moments: 1 for a disc, 0.6 for our ring, 0.95 for a square. */
const FILLED = [0.45, 1.08] as const;
/** The farthest point in standard deviations: 2 for a disc, 1.8 for the ring, 2.45 for a square. */
const FARTHEST = 2.2;

export function findBlobs(image: GreyImage): Blob[] {
  const longPx = Math.max(image.width, image.height);
  const bright = brightAround(image, Math.max(8, NEIGHBOURHOOD * longPx));
  const pixels = image.width * image.height;
  const sheets = { dark: new Uint8Array(pixels), stack: new Int32Array(pixels) };
  const found: Blob[] = [];
  for (const threshold of THRESHOLDS) {
    for (const blob of roundPieces(image, bright, threshold, sheets)) {
      const twin = found.some(
        (other) => Math.hypot(other.xPx - blob.xPx, other.yPx - blob.yPx) < 0.5 * other.radiusPx,
      );
      if (!twin) found.push(blob);
    }
  }
  return found;
}

/** Side of the squares whose mean light is compared, px: single bright pixels do not count. */
const BLOCK_PX = 6;

/** The brightest block within `reachPx`, for every pixel (blocks are pixels of the answer's own). */
function brightAround(
  { width, height, values }: GreyImage,
  reachPx: number,
): (x: number, y: number) => number {
  const columns = Math.max(1, Math.floor(width / BLOCK_PX));
  const rows = Math.max(1, Math.floor(height / BLOCK_PX));
  const means = new Float32Array(columns * rows);
  for (let y = 0; y < Math.min(height, rows * BLOCK_PX); y++) {
    const row = Math.floor(y / BLOCK_PX) * columns;
    for (let x = 0; x < Math.min(width, columns * BLOCK_PX); x++) {
      means[row + Math.floor(x / BLOCK_PX)]! += values[y * width + x]! / (BLOCK_PX * BLOCK_PX);
    }
  }
  const reach = Math.max(1, Math.round(reachPx / BLOCK_PX));
  const across = slidingMax(means, columns, rows, 1, columns, reach);
  const both = slidingMax(across, rows, columns, columns, 1, reach);
  return (x, y) => {
    const column = Math.min(columns - 1, Math.floor(x / BLOCK_PX));
    const row = Math.min(rows - 1, Math.floor(y / BLOCK_PX));
    return both[row * columns + column]!;
  };
}

/** Greatest value within `reach` along one axis: `lines` lines of `length` values, `step` apart. */
function slidingMax(
  values: Float32Array,
  length: number,
  lines: number,
  step: number,
  lineStep: number,
  reach: number,
): Float32Array {
  const result = new Float32Array(values.length);
  for (let line = 0; line < lines; line++) {
    for (let k = 0; k < length; k++) {
      let most = 0;
      for (let at = Math.max(0, k - reach); at <= Math.min(length - 1, k + reach); at++) {
        most = Math.max(most, values[line * lineStep + at * step]!);
      }
      result[line * lineStep + k * step] = most;
    }
  }
  return result;
}

/** What is written on while pieces are looked for, one number a pixel each: a photo has millions. */
interface Sheets {
  readonly dark: Uint8Array;
  readonly stack: Int32Array;
}

function roundPieces(
  image: GreyImage,
  bright: (x: number, y: number) => number,
  threshold: number,
  { dark, stack }: Sheets,
): Blob[] {
  const { width, height, values } = image;
  for (let y = 0, k = 0; y < height; y++) {
    for (let x = 0; x < width; ) {
      const limit = threshold * bright(x, y);
      // All of a block's row has the same light about it.
      for (const end = Math.min(width, x + BLOCK_PX); x < end; x++, k++) dark[k] = values[k]! < limit ? 1 : 0;
    }
  }
  const longPx = Math.max(width, height);
  const leastArea = Math.PI * Math.max(LEAST_RADIUS_PX, LEAST_RADIUS * longPx) ** 2 * FILLED[0];
  const mostArea = Math.PI * (MOST_RADIUS * longPx) ** 2;
  const blobs: Blob[] = [];
  for (let start = 0; start < dark.length; start++) {
    if (dark[start] !== 1) continue;
    const size = flood(dark, width, height, start, stack);
    if (size < leastArea || size > mostArea) continue;
    const blob = measured(image, stack.subarray(0, size), bright);
    if (blob) blobs.push(blob);
  }
  return blobs;
}

/**
 * Collects the piece that `start` belongs to into `pixels` and takes it off the map (1 becomes 2); returns how
 * many pixels it has. The same array serves as the list of what is still to be looked around.
 */
function flood(dark: Uint8Array, width: number, height: number, start: number, pixels: Int32Array): number {
  const last = width * height;
  pixels[0] = start;
  dark[start] = 2;
  let size = 1;
  for (let next = 0; next < size; next++) {
    const at = pixels[next]!;
    const x = at % width;
    if (x > 0) size = taken(dark, at - 1, pixels, size);
    if (x < width - 1) size = taken(dark, at + 1, pixels, size);
    if (at >= width) size = taken(dark, at - width, pixels, size);
    if (at + width < last) size = taken(dark, at + width, pixels, size);
  }
  return size;
}

/** Adds a pixel to a piece of so many if it is dark and in none yet; how many there are then. */
function taken(dark: Uint8Array, at: number, pixels: Int32Array, size: number): number {
  if (dark[at] !== 1) return size;
  dark[at] = 2;
  pixels[size] = at;
  return size + 1;
}

/** The piece as a blob; null when it is not round. */
function measured(
  { width, height, values }: GreyImage,
  pixels: Int32Array,
  bright: (x: number, y: number) => number,
): Blob | null {
  const area = pixels.length;
  let sx = 0;
  let sy = 0;
  let light = 0;
  for (const at of pixels) {
    sx += at % width;
    sy += Math.floor(at / width);
    light += values[at]!;
  }
  const x = sx / area;
  const y = sy / area;
  let xx = 1 / 12;
  let xy = 0;
  let yy = 1 / 12;
  for (const at of pixels) {
    const dx = (at % width) - x;
    const dy = Math.floor(at / width) - y;
    xx += (dx * dx) / area;
    xy += (dx * dy) / area;
    yy += (dy * dy) / area;
  }
  const spread = xx * yy - xy * xy;
  const filled = area / (4 * Math.PI * Math.sqrt(spread));
  const middleSpread = (xx + yy) / 2;
  const lean = Math.hypot((xx - yy) / 2, xy);
  if (Math.sqrt((middleSpread + lean) / Math.max(1e-9, middleSpread - lean)) > MOST_OBLONG) return null;
  if (filled < FILLED[0] || filled > FILLED[1]) return null;

  /** Distance from the middle in standard deviations, squared. */
  const away = (dx: number, dy: number): number => (yy * dx * dx - 2 * xy * dx * dy + xx * dy * dy) / spread;
  let farthest = 0;
  for (const at of pixels) {
    farthest = Math.max(farthest, away((at % width) - x, Math.floor(at / width) - y));
  }
  // Pixels are squares: a small blob's corners stand out by up to half a pixel.
  const radiusPx = 2 * spread ** 0.25;
  const corner = Math.sqrt(farthest) - 1 / radiusPx;
  if (corner > FARTHEST) return null;

  const middle = middleLight(values, width, height, x, y, 0.4 * radiusPx);
  const darkLight = light / area;
  const around = bright(x, y);
  return {
    xPx: x + 0.5,
    yPx: y + 0.5,
    radiusPx,
    corner,
    middle: (middle - darkLight) / (around - darkLight),
  };
}

function middleLight(
  values: Float32Array,
  width: number,
  height: number,
  x: number,
  y: number,
  reach: number,
): number {
  let sum = 0;
  let count = 0;
  for (let row = Math.ceil(y - reach); row <= y + reach; row++) {
    for (let column = Math.ceil(x - reach); column <= x + reach; column++) {
      if (row < 0 || row >= height || column < 0 || column >= width) continue;
      if (Math.hypot(column - x, row - y) > reach) continue;
      sum += values[row * width + column]!;
      count++;
    }
  }
  return count > 0 ? sum / count : 0;
}
