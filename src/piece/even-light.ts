import { InputError } from '../errors.ts';
import type { GridFrame } from '../grid.ts';
import { type BareLight, type BareSample, bareLight } from '../photo/bare.ts';
import { CLIPPED_CODE, refuseBareLight } from '../photo/exposure.ts';
import type { FlatPhoto } from '../photo/flatten.ts';
import { codedOf, luminance, threeOf } from '../photo/photo.ts';

/** The light that bare wood would have everywhere on a photo of a piece, and what the photo shows over it. */
export interface EvenLight {
  /** R, G, B over those of bare wood there, three numbers a cell; NaN where the photo ends or something else lies. */
  readonly ratio: Float32Array;
  /** How far the logarithm of light of single places of about 1.2 mm strays on bare wood. */
  readonly scatter: number;
}

const SAMPLE_MM = 1.2;
const LEAST_SAMPLES = 40;
const MOST_SAMPLES = 1500;
/** Light is worked out at steps of this, mm, or so many along the longer side; straight in between. */
const STEP_MM = 1;
const MOST_STEPS = 140;
/** Bare wood whose light strays more than this is no even wood. */
const MOST_SCATTER = 0.3;

/**
 * @param isSeen where something else than the piece lies, 0; null: nowhere.
 * @throws {InputError} where too little bare wood is to be seen, or in too little or too much light.
 */
export function evenLight(flat: FlatPhoto, isBare: Uint8Array, isSeen: Uint8Array | null = null): EvenLight {
  const samples = bareSamples(flat, isBare);
  if (samples.length < LEAST_SAMPLES)
    throw new InputError(
      `found only ${samples.length} places of bare wood on the photo; expected at least ${LEAST_SAMPLES} beside and between what is burned`,
    );
  const mean = threeOf((c) => samples.reduce((sum, { rgb }) => sum + rgb[c], 0) / samples.length);
  const white = samples.filter(({ rgb }) => rgb.some((light) => codedOf(light) >= CLIPPED_CODE)).length;
  refuseBareLight(mean, white / samples.length);
  const light = bareLight(samples);
  const scatter = Math.sqrt(luminanceVariance(light.scatter));
  if (scatter > MOST_SCATTER)
    throw new InputError(
      'found bare places whose light differs as wood’s does not; expected the whole piece lying in its board, without shadows, glare or things on it',
    );
  const coarse = lightGrid(flat.frame, light);
  const { nx, ny, x0Mm, y0Mm, cellMm } = flat.frame;
  const ratio = new Float32Array(flat.rgb.length);
  for (let j = 0, to = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, to += 3) {
      if (isSeen?.[to / 3] === 0) {
        ratio.fill(Number.NaN, to, to + 3);
        continue;
      }
      const bare = coarse(x0Mm + (i + 0.5) * cellMm, y0Mm + (j + 0.5) * cellMm);
      for (let c = 0; c < 3; c++) ratio[to + c] = flat.rgb[to + c]! / bare[c]!;
    }
  }
  return { ratio, scatter };
}

/** Variance of the logarithm of luminance, of grey wood, from that of R, G, B. */
function luminanceVariance(scatter: readonly number[]): number {
  const weights = [luminance(1, 0, 0), luminance(0, 1, 0), luminance(0, 0, 1)];
  let variance = 0;
  for (let a = 0; a < 3; a++)
    for (let b = 0; b < 3; b++) variance += weights[a]! * weights[b]! * scatter[3 * a + b]!;
  return variance;
}

/** Squares of bare wood, spread over all of it. */
function bareSamples({ frame, rgb }: FlatPhoto, isBare: Uint8Array): BareSample[] {
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const side = Math.max(1, Math.round(SAMPLE_MM / cellMm));
  const found: BareSample[] = [];
  for (let j = 0; j + side <= ny; j += side) {
    for (let i = 0; i + side <= nx; i += side) {
      const sum: [number, number, number] = [0, 0, 0];
      let isWhole = true;
      for (let v = 0; v < side && isWhole; v++) {
        for (let u = 0; u < side; u++) {
          const k = (j + v) * nx + i + u;
          if (isBare[k] === 0 || Number.isNaN(rgb[3 * k]!)) {
            isWhole = false;
            break;
          }
          for (let c = 0; c < 3; c++) sum[c]! += rgb[3 * k + c]! / (side * side);
        }
      }
      if (!isWhole) continue;
      found.push({ xMm: x0Mm + (i + side / 2) * cellMm, yMm: y0Mm + (j + side / 2) * cellMm, rgb: sum });
    }
  }
  const every = Math.ceil(found.length / MOST_SAMPLES);
  return found.filter((_, k) => k % every === 0);
}

/** The light between a coarse grid's knots. */
function lightGrid(frame: GridFrame, light: BareLight): (xMm: number, yMm: number) => readonly number[] {
  const { nx, ny, x0Mm, y0Mm, cellMm } = frame;
  const stepMm = Math.max(STEP_MM, (Math.max(nx, ny) * cellMm) / MOST_STEPS);
  const columns = Math.ceil((nx * cellMm) / stepMm) + 1;
  const rows = Math.ceil((ny * cellMm) / stepMm) + 1;
  const knots = Array.from({ length: columns * rows }, (_, k) =>
    light.at(x0Mm + (k % columns) * stepMm, y0Mm + Math.floor(k / columns) * stepMm),
  );
  const out = [0, 0, 0];
  return (xMm, yMm) => {
    const [x, y] = [(xMm - x0Mm) / stepMm, (yMm - y0Mm) / stepMm];
    const [i, j] = [Math.min(columns - 2, Math.floor(x)), Math.min(rows - 2, Math.floor(y))];
    const [fx, fy] = [x - i, y - j];
    const k = j * columns + i;
    for (let c = 0; c < 3; c++) {
      const low = (1 - fx) * knots[k]![c as 0]! + fx * knots[k + 1]![c as 0]!;
      const high = (1 - fx) * knots[k + columns]![c as 0]! + fx * knots[k + columns + 1]![c as 0]!;
      out[c] = (1 - fy) * low + fy * high;
    }
    return out;
  };
}
