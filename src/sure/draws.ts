import { normalSlices } from '../dose/normal.ts';
import { lately } from '../lately.ts';

/**
 * The fixed set of boards that "such boards" means: points spread evenly over all that varies, the same every time. No
 * clock and no seed: a chance only changes where the job, the machine, the wood or the board does.
 */

/** How many; chances are within about 0.01 of what endlessly many would give (`tests/sure`). A prime. */
export const DRAWS = 2039;

/**
 * Generates Korobov's lattice, in which {@link DRAWS} points fill many dimensions evenly (P. L’Ecuyer & C. Lemieux,
 * *Management Science* 46, 1214 (2000); value from memory).
 */
const GENERATOR = 1487;

/** The middles of {@link DRAWS} equally likely slices of the normal distribution; made when first asked for. */
let slices: Float64Array | null = null;

/**
 * {@link DRAWS} standard normal numbers for the thing of this index, 0 and up: each slice of the distribution once, in an
 * order of its own for each thing, so that together they fill their space evenly. Draw k of thing j is slice k·aʲ mod N.
 */
export function normalDraws(index: number): Float64Array {
  slices ??= normalSlices(DRAWS);
  return inOrderOf(index, slices);
}

/** What stands in slices, one for each draw, in the order of a thing. */
function inOrderOf(index: number, ofSlice: Float64Array): Float64Array {
  let stride = 1;
  for (let j = 0; j < index; j++) stride = (stride * GENERATOR) % DRAWS;
  const draws = new Float64Array(DRAWS);
  let slice = 0;
  for (let k = 0; k < DRAWS; k++) {
    draws[k] = ofSlice[slice]!;
    slice += stride;
    if (slice >= DRAWS) slice -= DRAWS;
  }
  return draws;
}

/** σ of the logarithm of a lognormal number, from its relative standard uncertainty u: √ln(1 + u²). */
export const logSigma = (relative: number): number => Math.sqrt(Math.log1p(relative * relative));

/**
 * Multiples of a positive number that is known to a relative standard uncertainty: lognormal, as often above 1 as
 * below. They hang on nothing else, so that woods share them: nobody writes into them.
 */
export const lognormalDraws = (index: number, relative: number): Float64Array =>
  multiplesLately([index, relative], () => drawLognormal(index, relative));

/** Room for all that varies of a few woods. */
const multiplesLately = lately<Float64Array>(64);

function drawLognormal(index: number, relative: number): Float64Array {
  if (relative === 0) return new Float64Array(DRAWS).fill(1);
  slices ??= normalSlices(DRAWS);
  const sigma = logSigma(relative);
  const multiples = new Float64Array(DRAWS);
  // Slices lie evenly about the middle: the multiples of one half are one over those of the other.
  for (let k = 0; k < DRAWS >> 1; k++) {
    const multiple = Math.exp(sigma * slices[DRAWS - 1 - k]!);
    multiples[k] = 1 / multiple;
    multiples[DRAWS - 1 - k] = multiple;
  }
  multiples[DRAWS >> 1] = 1;
  return inOrderOf(index, multiples);
}
