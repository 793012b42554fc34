/**
 * A picture: opaque-able pixels, row 0 at the top. `data[(y * width + x) * 4 …+3]` is R, G, B, A, each
 * 0…255, sRGB, straight alpha. Whoever made it owns it.
 */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8ClampedArray;
}

/**
 * Draws an SVG document at its own width and height onto nothing. The pixels come back with *premultiplied*
 * alpha (R, G and B already scaled by A), which is what rasterisers hold and what laying over needs.
 * It is handed in, so that this folder knows neither Node nor a browser.
 */
export type DrawSvg = (svg: string) => Picture;

export type Rgb = readonly [number, number, number];

/** A new opaque picture of one colour. */
export function blankPicture(width: number, height: number, [r, g, b]: Rgb): Picture {
  const data = new Uint8ClampedArray(width * height * 4);
  const word = new Uint32Array(data.buffer);
  data.set([r, g, b, 255]);
  word.fill(word[0]!);
  return { width, height, data };
}

/** Copies `source` into `target` with its upper left corner at (left, top); what lies outside is left out. */
export function placePicture(target: Picture, source: Picture, left: number, top: number): void {
  const skip = Math.max(0, -left);
  const width = Math.min(source.width, target.width - left) - skip;
  if (width <= 0) return;
  for (let y = Math.max(0, -top); y < source.height && y + top < target.height; y++) {
    const from = (y * source.width + skip) * 4;
    target.data.set(
      source.data.subarray(from, from + width * 4),
      ((y + top) * target.width + left + skip) * 4,
    );
  }
}

/**
 * Lays a drawing with premultiplied alpha over an opaque picture of the same size, in place.
 * @throws {RangeError} when the sizes differ.
 */
export function layOver(target: Picture, drawing: Picture): void {
  if (target.width !== drawing.width || target.height !== drawing.height) {
    throw new RangeError(
      `invalid drawing: ${drawing.width} × ${drawing.height} pixels; expected ${target.width} × ${target.height}`,
    );
  }
  const to = target.data;
  const from = drawing.data;
  for (let k = 0; k < to.length; k += 4) {
    const alpha = from[k + 3]!;
    if (alpha === 0) continue;
    const keep = 1 - alpha / 255;
    to[k] = from[k]! + keep * to[k]!;
    to[k + 1] = from[k + 1]! + keep * to[k + 1]!;
    to[k + 2] = from[k + 2]! + keep * to[k + 2]!;
  }
}
