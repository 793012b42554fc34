import { greatestOf } from '../../lists.ts';
import type { Spot } from '../../machine/profile.ts';
import { widthsMm } from '../givens.ts';
import type { LineWidth } from '../photo/line-width.ts';
import type { LineDose } from '../replay.ts';
import { leastSquares, sigmaOf } from './least-squares.ts';

/**
 * From line widths to spot width and threshold: the logarithmic-width method (J. M. Liu, *Opt. Lett.* 7, 196
 * (1982; reference from memory), in its form for lines: W² = 2w²·ln(E/E_th)), for wood that darkens little by
 * little rather than at one dose. Where W of a hard threshold would be, here stands the equivalent width, and
 * its course over ln(line energy) is the integral of the wood's own darkness over the line's dose. As in the
 * method, the slope gives the spot and the foot the dose.
 */
export interface LadderFit {
  readonly along: 'x' | 'y';
  /** The spot's D4σ width across these lines, mm. */
  readonly widthMm: number;
  readonly widthSigmaMm: number;
  /** What the machine's profile says. */
  readonly profileWidthMm: number;
  /** How many times the dose that patches ask for the lines ask for: 1 when both agree. */
  readonly doseFactor: number;
  readonly doseFactorSigma: number;
  readonly points: readonly LadderPoint[];
}

interface LadderPoint {
  readonly n: number;
  readonly lineEnergyJPerMm: number;
  readonly widthMm: number;
  readonly sigmaMm: number;
  /** The fit's. */
  readonly fittedMm: number;
}

/** What a photo loses of a line beyond what its pieces show: camera contrast on thin lines, cell by cell dose. */
const MODEL_PART = 0.05;
const MODEL_MM = 0.004;
const LEAST_LINES = 4;

/**
 * @param darkness share of light taken away where the dose is so much, 0 on bare wood.
 * @returns null when too few lines are dark enough to tell.
 */
export function fitLadder(
  along: 'x' | 'y',
  doses: readonly LineDose[],
  widths: readonly LineWidth[],
  spot: Spot,
  darkness: (doseJPerMm2: number, dwellS: number) => number,
): LadderFit | null {
  const ofWay = doses
    .map((dose, k) => ({ dose, read: widths[k]! }))
    .filter(({ dose }) => dose.line.along === along);
  const sigmas = ofWay.map(({ read }) => Math.hypot(read.sigmaMm, MODEL_PART * read.widthMm, MODEL_MM));
  const seen = ofWay.filter(({ read }, k) => read.widthMm > 3 * sigmas[k]!).length;
  if (seen < LEAST_LINES) return null;
  const curves = ofWay.map(({ dose }) => darknessCurve(dose, darkness));
  const widthAt = (k: number, scale: number, factor: number): number => {
    const { profileJPerMm2, stepMm } = ofWay[k]!.dose;
    let sum = 0;
    for (const dose of profileJPerMm2) sum += curves[k]!((factor * dose) / scale);
    return sum * scale * stepMm;
  };
  const fit = leastSquares(
    [
      { start: 0, scale: 0.1, prior: null },
      { start: 0, scale: 0.1, prior: null },
    ],
    ([lnScale, lnFactor]) =>
      ofWay.map(
        ({ read }, k) => (widthAt(k, Math.exp(lnScale!), Math.exp(lnFactor!)) - read.widthMm) / sigmas[k]!,
      ),
  );
  const [scale, factor] = fit.values.map(Math.exp) as [number, number];
  const [acrossX, acrossY] = widthsMm(spot);
  const profileWidthMm = along === 'x' ? acrossY : acrossX;
  return {
    along,
    widthMm: scale * profileWidthMm,
    widthSigmaMm: scale * profileWidthMm * sigmaOf(fit, 0),
    profileWidthMm,
    // Lines that darken as if they had got more need less than the patches say.
    doseFactor: 1 / factor,
    doseFactorSigma: sigmaOf(fit, 1) / factor,
    points: ofWay.map(({ dose, read }, k) => ({
      n: dose.line.n,
      lineEnergyJPerMm: dose.lineEnergyJPerMm,
      widthMm: read.widthMm,
      sigmaMm: sigmas[k]!,
      fittedMm: widthAt(k, scale, factor),
    })),
  };
}

/** Darkness over ln dose, sampled: it is asked for at every step of every profile. */
function darknessCurve(
  { profileJPerMm2, dwellS }: LineDose,
  darkness: (doseJPerMm2: number, dwellS: number) => number,
): (doseJPerMm2: number) => number {
  const high = Math.log(greatestOf(profileJPerMm2)) + 2;
  const low = high - 9;
  const steps = 300;
  const values = Array.from({ length: steps + 1 }, (_, k) =>
    darkness(Math.exp(low + (k / steps) * (high - low)), dwellS),
  );
  return (dose) => {
    const at = ((Math.log(dose) - low) / (high - low)) * steps;
    if (!(at > 0)) return 0;
    if (at >= steps) return values[steps]!;
    const k = Math.floor(at);
    return values[k]! + (values[k + 1]! - values[k]!) * (at - k);
  };
}

/**
 * The method itself, for widths at one hard threshold: a straight line through W² over ln(line energy). Slope
 * 2w², foot the line energy at which a mark begins; peak dose there √(2/π)·E_th/w.
 */
export function logarithmicWidths(
  lineEnergiesJPerMm: readonly number[],
  widthsMm: readonly number[],
): { readonly wMm: number; readonly thresholdJPerMm: number } {
  const x = lineEnergiesJPerMm.map(Math.log);
  const y = widthsMm.map((width) => width * width);
  const meanX = x.reduce((sum, each) => sum + each, 0) / x.length;
  const meanY = y.reduce((sum, each) => sum + each, 0) / y.length;
  const slope =
    x.reduce((sum, each, k) => sum + (each - meanX) * (y[k]! - meanY), 0) /
    x.reduce((sum, each) => sum + (each - meanX) ** 2, 0);
  return { wMm: Math.sqrt(slope / 2), thresholdJPerMm: Math.exp(meanX - meanY / slope) };
}
