/** The range of a picture's colours, chosen from the values that are there. */
interface ValueRange {
  /** The scale's end, of two significant digits; never 0. */
  readonly top: number;
  /** The greatest value. */
  readonly max: number;
  /** Whether some of it lies beyond the scale, so that one point burn does not turn all else black. */
  readonly capped: boolean;
  /** Where an even scale should give way to one by ratio; null when an even one shows everything. */
  readonly bendAt: number | null;
}

/** This share of the burned area lies within the scale. */
const WITHIN = 0.995;
/** The scale runs on to the maximum when that takes no more than this times the space. */
const WORTH_SHOWING = 1.6;
/** When the scale's end is more than so many times the middle of the burned area, most of that would be dark. */
const WIDE = 5;
/** A wide scale bends at this part of the middle, which puts the middle at a third or so of the colours. */
const BEND = 0.25;

/** Positive float32 sort as their bits do: exponent, then fraction. 7 bits of it: bins 0.8 % apart or less. */
const BIN_SHIFT = 16;
const BINS = 0x7f80;
/** What single precision adds to a round number is no reason to go up to the next. */
const ROUNDING = 1e-5;
/** Below this nothing was burned; it keeps away from the numbers that share bin 0 with zero. */
const LEAST = 1e-30;

/**
 * One pass over the values with a fixed histogram of 32 640 bins. What is not positive and finite does not
 * count. The end is exact to a bin, 0.8 %, before it is rounded up.
 *
 * @param countsFrom a cell counts as burned from this value on, or from half the value below which half of
 * the total lies when everything is weaker.
 */
export function rangeOf(values: Float32Array, countsFrom: number): ValueRange {
  const bits = new Uint32Array(values.buffer, values.byteOffset, values.length);
  const counts = new Float64Array(BINS);
  let max = 0;
  for (let k = 0; k < bits.length; k++) {
    const bin = bits[k]! >>> BIN_SHIFT;
    if (bin >= BINS) continue;
    counts[bin]!++;
    if (values[k]! > max) max = values[k]!;
  }
  if (max < LEAST) return { top: 1, max: 0, capped: false, bendAt: null };
  counts[0] = 0;
  const middleOfTotal = lowerEdge(binAtShare(counts, 0.5, lowerEdge));
  const burnedFrom = Math.min(countsFrom, middleOfTotal / 2);
  const ifBurned = (bin: number) => (lowerEdge(bin) >= burnedFrom ? 1 : 0);
  const within = lowerEdge(binAtShare(counts, WITHIN, ifBurned) + 1);
  const middle = lowerEdge(binAtShare(counts, 0.5, ifBurned));
  const top = twoDigitsUp(max <= within * WORTH_SHOWING ? max : within);
  return { top, max, capped: max > top * (1 + ROUNDING), bendAt: top > WIDE * middle ? BEND * middle : null };
}

const edge = new Float32Array(1);
const edgeBits = new Uint32Array(edge.buffer);
/** The least number that falls into a bin. */
function lowerEdge(bin: number): number {
  edgeBits[0] = bin << BIN_SHIFT;
  return edge[0]!;
}

/** The bin at which the running sum of count × weight reaches the share of the whole. */
function binAtShare(counts: Float64Array, share: number, weight: (bin: number) => number): number {
  let whole = 0;
  for (let bin = 0; bin < BINS; bin++) if (counts[bin]! > 0) whole += counts[bin]! * weight(bin);
  let sum = 0;
  for (let bin = 0; bin < BINS; bin++) {
    if (counts[bin]! > 0) sum += counts[bin]! * weight(bin);
    if (sum > 0 && sum >= share * whole) return bin;
  }
  return BINS - 1;
}

/** The number, rounded up to two significant digits. */
export function twoDigitsUp(value: number): number {
  const unit = 10 ** (Math.floor(Math.log10(value)) - 1);
  return Number((Math.ceil(value / unit - ROUNDING) * unit).toPrecision(2));
}
