/**
 * What JPEG takes from a photo (ITU-T T.81; colours as JFIF has them, formulas from memory): luma and both chromas of each 8 × 8
 * pixels become sums of cosines in whole steps. To write these into a file and read them again takes nothing more from the
 * photo, but most of the time.
 */

/** Steps at quality 50: tables K.1 for luma and K.2 for chroma of T.81 (values from memory). */
// biome-ignore format: as the tables are printed
const LUMA = [
  16, 11, 10, 16, 24, 40, 51, 61,
  12, 12, 14, 19, 26, 58, 60, 55,
  14, 13, 16, 24, 40, 57, 69, 56,
  14, 17, 22, 29, 51, 87, 80, 62,
  18, 22, 37, 56, 68, 109, 103, 77,
  24, 35, 55, 64, 81, 104, 113, 92,
  49, 64, 78, 87, 103, 121, 120, 101,
  72, 92, 95, 98, 112, 100, 103, 99,
];
// biome-ignore format: as the tables are printed
const CHROMA = [
  17, 18, 24, 47, 99, 99, 99, 99,
  18, 21, 26, 66, 99, 99, 99, 99,
  24, 26, 56, 99, 99, 99, 99, 99,
  47, 66, 99, 99, 99, 99, 99, 99,
  99, 99, 99, 99, 99, 99, 99, 99,
  99, 99, 99, 99, 99, 99, 99, 99,
  99, 99, 99, 99, 99, 99, 99, 99,
  99, 99, 99, 99, 99, 99, 99, 99,
];

/** Steps at another quality, 1 to 100 (common practice, no source). */
function stepsAt(quality: number, at50: readonly number[]): Float64Array {
  const percent = quality < 50 ? 5000 / quality : 200 - 2 * quality;
  return Float64Array.from(at50, (step) =>
    Math.min(255, Math.max(1, Math.floor((step * Math.floor(percent) + 50) / 100))),
  );
}

/** @param data R, G, B, A a pixel, written over. */
export function throughJpeg(data: Uint8ClampedArray, width: number, height: number, quality: number): void {
  const [luma, chroma] = [stepsAt(quality, LUMA), stepsAt(quality, CHROMA)];
  // The samples of a block, 0 to 255 each.
  const y = new Uint8ClampedArray(64);
  const cb = new Uint8ClampedArray(64);
  const cr = new Uint8ClampedArray(64);
  for (let top = 0; top < height; top += 8) {
    for (let left = 0; left < width; left += 8) {
      for (let k = 0; k < 64; k++) {
        // Past the rim the rim goes on.
        const at = 4 * (Math.min(top + (k >> 3), height - 1) * width + Math.min(left + (k & 7), width - 1));
        const r = data[at]!;
        const g = data[at + 1]!;
        const b = data[at + 2]!;
        y[k] = 0.299 * r + 0.587 * g + 0.114 * b;
        cb[k] = -0.168736 * r - 0.331264 * g + 0.5 * b + 128;
        cr[k] = 0.5 * r - 0.418688 * g - 0.081312 * b + 128;
      }
      inSteps(y, luma);
      inSteps(cb, chroma);
      inSteps(cr, chroma);
      const [wide, high] = [Math.min(8, width - left), Math.min(8, height - top)];
      for (let row = 0; row < high; row++) {
        let at = 4 * ((top + row) * width + left);
        for (let k = 8 * row; k < 8 * row + wide; k++, at += 4) {
          const light = y[k]!;
          const blue = cb[k]! - 128;
          const red = cr[k]! - 128;
          // What is left beyond a whole number is cut off, as the library does that reads people's photos.
          data[at] = Math.floor(light + 1.402 * red);
          data[at + 1] = Math.floor(light - 0.344136 * blue - 0.714136 * red);
          data[at + 2] = Math.floor(light + 1.772 * blue);
        }
      }
    }
  }
}

const block = new Float64Array(64);
const half = new Float64Array(64);

/** A block's samples of one kind from its parts, each in whole steps. */
function inSteps(samples: Uint8ClampedArray, steps: Float64Array): void {
  for (let k = 0; k < 64; k++) block[k] = samples[k]! - 128;
  intoParts(block, half);
  intoParts(half, block);
  let isFlat = true;
  for (let k = 0; k < 64; k++) {
    const count = Math.round(block[k]! / steps[k]!);
    if (count !== 0 && k > 0) isFlat = false;
    block[k] = count * steps[k]!;
  }
  if (isFlat) {
    samples.fill(block[0]! / 8 + 128);
    return;
  }
  fromParts(block, half);
  fromParts(half, block);
  for (let k = 0; k < 64; k++) samples[k] = block[k]! + 128;
}

/** Half the cosines of so many sixteenths of half a turn. */
const [C1, C2, C3, C4, C5, C6, C7] = [1, 2, 3, 4, 5, 6, 7].map((k) => Math.cos((k * Math.PI) / 16) / 2) as [
  number,
  number,
  number,
  number,
  number,
  number,
  number,
];

/** The cosine transform of each row, written as a column: twice, it is that of the block. */
function intoParts(from: Float64Array, to: Float64Array): void {
  for (let row = 0, at = 0; row < 8; row++, at += 8) {
    const a = from[at]! + from[at + 7]!;
    const b = from[at + 1]! + from[at + 6]!;
    const c = from[at + 2]! + from[at + 5]!;
    const d = from[at + 3]! + from[at + 4]!;
    const e = from[at + 3]! - from[at + 4]!;
    const f = from[at + 2]! - from[at + 5]!;
    const g = from[at + 1]! - from[at + 6]!;
    const h = from[at]! - from[at + 7]!;
    to[row] = C4 * (a + b + c + d);
    to[row + 8] = C1 * h + C3 * g + C5 * f + C7 * e;
    to[row + 16] = C2 * (a - d) + C6 * (b - c);
    to[row + 24] = C3 * h - C7 * g - C1 * f - C5 * e;
    to[row + 32] = C4 * (a - b - c + d);
    to[row + 40] = C5 * h - C1 * g + C7 * f + C3 * e;
    to[row + 48] = C6 * (a - d) - C2 * (b - c);
    to[row + 56] = C7 * h - C5 * g + C3 * f - C1 * e;
  }
}

/** {@link intoParts} turned round. */
function fromParts(from: Float64Array, to: Float64Array): void {
  for (let row = 0, at = 0; row < 8; row++, at += 8) {
    const x1 = from[at + 1]!;
    const x2 = from[at + 2]!;
    const x3 = from[at + 3]!;
    const x5 = from[at + 5]!;
    const x6 = from[at + 6]!;
    const x7 = from[at + 7]!;
    const plus = C4 * (from[at]! + from[at + 4]!);
    const minus = C4 * (from[at]! - from[at + 4]!);
    const outer = C2 * x2 + C6 * x6;
    const inner = C6 * x2 - C2 * x6;
    const h = C1 * x1 + C3 * x3 + C5 * x5 + C7 * x7;
    const g = C3 * x1 - C7 * x3 - C1 * x5 - C5 * x7;
    const f = C5 * x1 - C1 * x3 + C7 * x5 + C3 * x7;
    const e = C7 * x1 - C5 * x3 + C3 * x5 - C1 * x7;
    to[row] = plus + outer + h;
    to[row + 56] = plus + outer - h;
    to[row + 8] = minus + inner + g;
    to[row + 48] = minus + inner - g;
    to[row + 16] = minus - inner + f;
    to[row + 40] = minus - inner - f;
    to[row + 24] = plus - outer + e;
    to[row + 32] = plus - outer - e;
  }
}
