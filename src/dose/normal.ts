/**
 * The normal distribution as a table: Φ, its density φ and its integral Ψ(u) = ∫Φ = u·Φ(u) + φ(u), for the
 * cell means of a Gaussian spot at rest and in motion.
 *
 * Built once by Simpson's rule from φ itself (step 2⁻⁹, error of the sums below 1e-14) and read by linear
 * interpolation (error ≤ step²/8·max|φ'| = 1.2e-7 for Φ, ≤ step²/8·φ(0) = 1.9e-7 for Ψ). Beyond
 * ±{@link REACH_SIGMA} the beam is taken to end: Φ is exactly 0 or 1 there, so weights over a whole spot
 * telescope to exactly 1 and energy is conserved to rounding.
 */

/** How many σ from its centre the beam is followed; what lies beyond is 7e-6 of it. */
export const REACH_SIGMA = 4.5;
const STEPS_PER_SIGMA = 512;
const SIZE = Math.round(2 * REACH_SIGMA * STEPS_PER_SIGMA);

const density = (u: number): number => Math.exp((-u * u) / 2) / Math.sqrt(2 * Math.PI);

const { phiTable, psiTable } = buildTables();

function buildTables(): { phiTable: Float64Array; psiTable: Float64Array } {
  const phiTable = new Float64Array(SIZE + 2);
  const psiTable = new Float64Array(SIZE + 2);
  const h = 1 / STEPS_PER_SIGMA;
  const densities = densitiesByHalf(h / 2);
  for (let k = 1; k <= SIZE; k++) {
    const simpson = (densities[2 * k - 2]! + 4 * densities[2 * k - 1]! + densities[2 * k]!) * (h / 6);
    phiTable[k] = phiTable[k - 1]! + simpson;
  }
  const whole = phiTable[SIZE]!; // 1 − 7e-6: share the missing tails out evenly
  const ends = densities[0]!;
  for (let k = 0; k <= SIZE; k++) {
    const part = phiTable[k]! / whole;
    phiTable[k] = part;
    psiTable[k] = (k * h - REACH_SIGMA) * part + (densities[2 * k]! - ends) / whole;
  }
  phiTable[SIZE + 1] = 1;
  psiTable[SIZE] = REACH_SIGMA;
  psiTable[SIZE + 1] = REACH_SIGMA + h;
  return { phiTable, psiTable };
}

/** φ at every half step from −{@link REACH_SIGMA} on; the other side is the same, and an exponential takes long. */
function densitiesByHalf(stepSigma: number): Float64Array {
  const densities = new Float64Array(2 * SIZE + 1);
  for (let k = 0; k <= SIZE; k++) {
    const value = density(k * stepSigma - REACH_SIGMA);
    densities[k] = value;
    densities[2 * SIZE - k] = value;
  }
  return densities;
}

/** Φ(u), exactly 0 below −REACH_SIGMA and 1 above +REACH_SIGMA. */
export function phi(u: number): number {
  if (u <= -REACH_SIGMA) return 0;
  if (u >= REACH_SIGMA) return 1;
  const f = (u + REACH_SIGMA) * STEPS_PER_SIGMA;
  const k = f | 0;
  const low = phiTable[k]!;
  return low + (phiTable[k + 1]! - low) * (f - k);
}

/** The u at which Φ is `p`, for p strictly between 0 and 1: within 0.001 for |u| ≤ 3; beyond, the tails that
 * are cut off begin to tell. */
export function normalQuantile(p: number): number {
  let low = -REACH_SIGMA;
  let high = REACH_SIGMA;
  while (high - low > 1e-9) {
    const middle = (low + high) / 2;
    if (phi(middle) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The middles of so many equally likely slices of the normal distribution, rising: {@link normalQuantile}, by one walk. */
export function normalSlices(count: number): Float64Array {
  const middles = new Float64Array(count);
  let at = 0;
  // The distribution is as wide on either side, so that half of the walk does.
  for (let k = 0; k < (count + 1) >> 1; k++) {
    const p = (k + 0.5) / count;
    while (phiTable[at + 1]! < p) at++;
    const low = phiTable[at]!;
    middles[k] = (at + (p - low) / (phiTable[at + 1]! - low)) / STEPS_PER_SIGMA - REACH_SIGMA;
    middles[count - 1 - k] = -middles[k]!;
  }
  if (count % 2 === 1) middles[count >> 1] = 0;
  return middles;
}

/** Ψ(u) = ∫_{−∞}^{u} Φ, exactly 0 below −REACH_SIGMA and u above +REACH_SIGMA. */
export function psi(u: number): number {
  if (u <= -REACH_SIGMA) return 0;
  if (u >= REACH_SIGMA) return u;
  const f = (u + REACH_SIGMA) * STEPS_PER_SIGMA;
  const k = f | 0;
  const low = psiTable[k]!;
  return low + (psiTable[k + 1]! - low) * (f - k);
}
