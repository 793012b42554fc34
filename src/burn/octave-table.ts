/**
 * A function of one number from 0 on, looked up fast: sampled 128 times within every octave and run straight
 * between, so its relative resolution is the same at 0.001 and at 1000. The place in the table is read off
 * the number's own bits: in single precision the top bits of exponent and mantissa, taken as an integer, rise
 * evenly within each octave.
 */
interface OctaveTable {
  /** Values at the samples, from 2^{@link LOW_OCTAVE} to 2^{@link HIGH_OCTAVE}. */
  readonly values: Float32Array;
}

export const LOW_OCTAVE = -16;
export const HIGH_OCTAVE = 20;
const SAMPLE_BITS = 7;
const SHIFT = 23 - SAMPLE_BITS;
const PER_OCTAVE = 1 << SAMPLE_BITS;
const REST_MASK = (1 << SHIFT) - 1;
const REST_SCALE = 1 / (1 << SHIFT);
/** Single precision stores exponent + 127. */
const FIRST = (LOW_OCTAVE + 127) << SAMPLE_BITS;
const LAST = (HIGH_OCTAVE - LOW_OCTAVE) * PER_OCTAVE;

const scratch = new Float32Array(1);
const scratchBits = new Int32Array(scratch.buffer);

export function octaveTable(f: (x: number) => number): OctaveTable {
  const values = new Float32Array(LAST + 1);
  for (let first = 0, begins = 2 ** LOW_OCTAVE; first <= LAST; first += PER_OCTAVE, begins *= 2) {
    const end = Math.min(first + PER_OCTAVE, LAST + 1);
    for (let k = first; k < end; k++) values[k] = f(begins * (1 + (k - first) / PER_OCTAVE));
  }
  values[0] = values[1] = f(0);
  return { values };
}

/**
 * f(x) by straight lines between samples: off by at most (1/128)²/8·|f″|·x², level beyond the table's upper end,
 * and f(0) below its lower one, for negative x too. The lower end is met without a branch, since cells on either
 * side of it lie mixed and a processor would guess wrong every other time.
 */
export function lookUp(values: Float32Array, x: number): number {
  scratch[0] = x;
  const bits = scratchBits[0]!;
  const place = (bits >> SHIFT) - FIRST;
  const k = place & ~(place >> 31);
  if (k >= LAST) return values[LAST]!;
  const low = values[k]!;
  return low + (values[k + 1]! - low) * (bits & REST_MASK) * REST_SCALE;
}
