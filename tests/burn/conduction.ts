/**
 * Closed forms of heat conduction, as oracles (Carslaw & Jaeger, *Conduction of Heat in Solids*, reference
 * from memory; Lax 1977, *J. Appl. Phys.* 48, 3919). SI units. The model uses only the opaque half-space;
 * these say how good that is.
 */

/** Simpson's rule with `n` (even) intervals. */
function integral(f: (x: number) => number, from: number, to: number, n = 4000): number {
  const h = (to - from) / n;
  let sum = f(from) + f(to);
  for (let k = 1; k < n; k++) sum += (k % 2 === 1 ? 4 : 2) * f(from + k * h);
  return (sum * h) / 3;
}

/** e^(x²)·erfc(x) for x ≥ 0, as (2/√π)·∫ e^(−s²−2xs) ds. */
const scaledErfc = (x: number): number =>
  (2 / Math.sqrt(Math.PI)) * integral((s) => Math.exp(-s * s - 2 * x * s), 0, Math.min(7, 40 / (1 + 2 * x)));

/** Surface rise under light absorbed over depth 1/μ: (q/k)·[2√(αt/π) − (1/μ)(1 − e^(μ²αt)·erfc(μ√(αt)))]. */
export function inDepthRiseK(
  fluxWPerM2: number,
  k: number,
  alpha: number,
  depthM: number,
  t: number,
): number {
  const x = Math.sqrt(alpha * t) / depthM;
  return (fluxWPerM2 / k) * (2 * Math.sqrt((alpha * t) / Math.PI) - depthM * (1 - scaledErfc(x)));
}

/** Centre of a resting Gaussian beam of 1/e² radius w: √2·P/(π^1.5·k·w)·atan(√(8αt)/w). */
export const restingBeamRiseK = (
  powerW: number,
  k: number,
  alpha: number,
  radiusM: number,
  t: number,
): number =>
  ((Math.SQRT2 * powerW) / (Math.PI ** 1.5 * k * radiusM)) * Math.atan(Math.sqrt(8 * alpha * t) / radiusM);

/** Centre of a Gaussian beam moving at v, steady: the sum of what it left behind along its way. */
export function movingBeamRiseK(
  powerW: number,
  k: number,
  alpha: number,
  radiusM: number,
  speedMPerS: number,
): number {
  // With s = u² the root in the denominator goes; beyond a millimetre of spread nothing is left to add.
  const integrand = (u: number): number => {
    const s = u * u;
    const spread = radiusM * radiusM + 8 * alpha * s;
    return (4 / (Math.PI * spread)) * Math.exp((-2 * (speedMPerS * s) ** 2) / spread);
  };
  const end = Math.sqrt((40 * radiusM) / speedMPerS);
  return ((powerW * alpha) / (k * Math.sqrt(Math.PI * alpha))) * integral(integrand, 0, end, 20_000);
}
