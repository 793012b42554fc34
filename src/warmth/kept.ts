import { lookUp, octaveTable } from '../burn/octave-table.ts';

/**
 * How much of a firing stays in the wood as heat: a share of the dose, up to a cap; the rest leaves with gas, water
 * and radiation. The cap is met first in the middle of the spot, so the share of a whole stroke is the mean
 * over its width, weighted by where its energy falls.
 */
export interface Keeping {
  /** The share of a light firing's dose that stays. */
  readonly share: number;
  /** What stays at most, J/mm². */
  readonly mostJPerMm2: number;
}

/** A wood's keeping, to be asked for the shares that stay of many strokes and rests. */
export interface Kept {
  /** The part of what a light firing leaves that stays, as an octave table over peak dose ÷ the dose that meets the cap. */
  readonly stroke: Float32Array;
  readonly share: number;
  /** One over the peak dose that meets the cap, mm²/J. */
  readonly perCap: number;
}

/** The tables are the same for all woods and made when first needed; most jobs have no rests. */
let strokes: Float32Array | null = null;
let rests: Float32Array | null = null;

const strokeTable = (): Float32Array => (strokes ??= octaveTable(strokeBelowCap).values);
const restTable = (): Float32Array => (rests ??= octaveTable(restBelowCap).values);

/** The share of a stroke that stays, as {@link keptOfStroke} has it, for woods that are asked but once. */
export const keptShareOfStroke = ({ share, mostJPerMm2 }: Keeping, peakJPerMm2: number): number =>
  share * lookUp(strokeTable(), (peakJPerMm2 * share) / mostJPerMm2);

export function keptOf({ share, mostJPerMm2 }: Keeping): Kept {
  return { stroke: strokeTable(), share, perCap: share / mostJPerMm2 };
}

/** The share that stays of a whole stroke, by its peak dose. */
export const keptOfStroke = ({ share, stroke, perCap }: Kept, peakJPerMm2: number): number =>
  share * lookUp(stroke, peakJPerMm2 * perCap);

/** … and of a rest. */
export const keptOfRest = ({ share, perCap }: Kept, peakJPerMm2: number): number =>
  share * lookUp(restTable(), peakJPerMm2 * perCap);

/**
 * ∫ min(h, 1) over ∫ h for h = peak·e^(−y²/2σ²), by Simpson's rule over the half that is even; 1 below the cap.
 */
export function strokeBelowCap(peak: number): number {
  if (peak <= 1) return 1;
  const edge = Math.sqrt(2 * Math.log(peak)); // in σ: capped within, free beyond
  const n = 64;
  const step = 6 / n;
  // From one sample to the next h falls by a factor, which falls by one of its own: an exponential for each takes long.
  const fallOfFall = Math.exp(-step * step);
  let fall = Math.exp(-step * (edge + step / 2));
  let h = 1;
  let tail = h;
  for (let k = 1; k <= n; k++) {
    h *= fall;
    fall *= fallOfFall;
    tail += (k === n ? 1 : k % 2 === 1 ? 4 : 2) * h;
  }
  return (edge + (tail * step) / 3) / (peak * Math.sqrt(Math.PI / 2));
}

/** The same for a round spot at rest, h = peak·e^(−r²/2σ²) over the plane: (1 + ln peak)/peak. */
export const restBelowCap = (peak: number): number => (peak <= 1 ? 1 : (1 + Math.log(peak)) / peak);
