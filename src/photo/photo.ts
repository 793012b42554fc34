/**
 * A photo as decoded: `data[(y * width + x) * 4 …+3]` is R, G, B, A, 0…255, sRGB, row 0 at the top, already
 * turned the way its camera says it should be seen. Whoever decoded it owns it; here it is only read.
 */
export interface Photo {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array | Uint8ClampedArray;
}

/** A place on a photo, in pixels from the upper left corner; the centre of the first pixel is (0.5, 0.5). */
export type PhotoPoint = readonly [xPx: number, yPx: number];

export type LinearRgb = readonly [r: number, g: number, b: number];

/** The three numbers of a colour, one after the other. */
export const threeOf = (number: (k: 0 | 1 | 2) => number): [number, number, number] => [
  number(0),
  number(1),
  number(2),
];

/** Light, 0…1, of a coded value 0…255: the sRGB transfer curve (IEC 61966-2-1). */
export function linearOf(coded: number): number {
  const c = coded / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
}

/** The inverse of {@link linearOf}, 0…255, not rounded. */
export const codedOf = (linear: number): number =>
  255 * (linear <= 0.0031308 ? 12.92 * linear : 1.055 * Math.max(0, linear) ** (1 / 2.4) - 0.055);

/** {@link linearOf} of every value a photo can hold. */
export const LINEAR: Float64Array = Float64Array.from({ length: 256 }, (_, coded) => linearOf(coded));

/** The light from which on the next value is nearer, of every value a photo can hold. */
const NEXT_FROM = Float64Array.from({ length: 256 }, (_, code) =>
  code < 255 ? linearOf(code + 0.5) : Infinity,
);
const LIGHT_STEPS = 4096;
/** The value nearest to the beginning of each of even steps of light: in no step are there more than two. */
const AT_STEP = Uint8Array.from({ length: LIGHT_STEPS + 1 }, (_, k) => Math.round(codedOf(k / LIGHT_STEPS)));

/** The value of a photo that is nearest to a light: {@link codedOf} rounded, without its power for each of millions. */
export function nearestCode(light: number): number {
  const held = light > 0 ? Math.min(1, light) : 0;
  let code = AT_STEP[Math.floor(held * LIGHT_STEPS)]!;
  while (held >= NEXT_FROM[code]!) code++;
  return code;
}

/** Relative luminance of linear sRGB (IEC 61966-2-1). */
export const luminance = (r: number, g: number, b: number): number => 0.2126 * r + 0.7152 * g + 0.0722 * b;

/** One number per pixel, row 0 at the top. */
export interface GreyImage {
  readonly width: number;
  readonly height: number;
  readonly values: Float32Array;
}

/**
 * The photo's luminance, made smaller by a whole factor so that its longer side has at most `mostPx` pixels;
 * each pixel is the mean light of those it stands for. What remains at the right and lower edge is left out.
 */
export function smallLuminance(photo: Photo, mostPx: number): GreyImage & { readonly factor: number } {
  const factor = Math.max(1, Math.ceil(Math.max(photo.width, photo.height) / mostPx));
  const width = Math.max(1, Math.floor(photo.width / factor));
  const height = Math.max(1, Math.floor(photo.height / factor));
  const values = new Float32Array(width * height);
  const share = 1 / (factor * factor);
  const linear = LINEAR;
  const { data } = photo;
  for (let y = 0; y < height * factor && y < photo.height; y++) {
    const to = Math.floor(y / factor) * width;
    let from = y * photo.width * 4;
    for (let x = 0; x < width; x++) {
      let sum = 0;
      for (let k = 0; k < factor; k++, from += 4) {
        sum += luminance(linear[data[from]!]!, linear[data[from + 1]!]!, linear[data[from + 2]!]!);
      }
      values[to + x]! += sum * share;
    }
  }
  return { width, height, values, factor };
}

/** The image at a place in its own pixels, straight lines between their middles; beyond its edge the edge's own. */
export function valueAt({ width, height, values }: GreyImage, x: number, y: number): number {
  const u = Math.min(Math.max(x - 0.5, 0), width - 1);
  const v = Math.min(Math.max(y - 0.5, 0), height - 1);
  const left = Math.min(Math.floor(u), Math.max(0, width - 2));
  const top = Math.min(Math.floor(v), Math.max(0, height - 2));
  const right = Math.min(left + 1, width - 1);
  const below = Math.min(top + 1, height - 1) * width;
  const [fx, fy] = [u - left, v - top];
  const above = top * width;
  return (
    (1 - fy) * ((1 - fx) * values[above + left]! + fx * values[above + right]!) +
    fy * ((1 - fx) * values[below + left]! + fx * values[below + right]!)
  );
}

/** Light of the photo at a place, straight lines between pixels; beyond the edge the edge's own. */
export function luminanceAt(photo: Photo, xPx: number, yPx: number): number {
  const { width, height } = photo;
  const x = Math.min(Math.max(xPx - 0.5, 0), width - 1);
  const y = Math.min(Math.max(yPx - 0.5, 0), height - 1);
  const left = Math.min(Math.floor(x), Math.max(0, width - 2));
  const top = Math.min(Math.floor(y), Math.max(0, height - 2));
  const right = Math.min(left + 1, width - 1);
  const above = top * width;
  const below = Math.min(top + 1, height - 1) * width;
  const fx = x - left;
  const fy = y - top;
  return (
    (1 - fy) * ((1 - fx) * luminanceOf(photo, above + left) + fx * luminanceOf(photo, above + right)) +
    fy * ((1 - fx) * luminanceOf(photo, below + left) + fx * luminanceOf(photo, below + right))
  );
}

const luminanceOf = ({ data }: Photo, pixel: number): number =>
  luminance(LINEAR[data[4 * pixel]!]!, LINEAR[data[4 * pixel + 1]!]!, LINEAR[data[4 * pixel + 2]!]!);
