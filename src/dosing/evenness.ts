import { walkBeam } from '../dose/walk-beam.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { burnsAtFeed } from '../program/beam-on.ts';

/** How evenly energy lies along everything that is burned. */
export interface Evenness {
  readonly lengthMm: number;
  /** The part of the length that gets within {@link EVEN_WITHIN} of what it was meant to get. */
  readonly evenShare: number;
  /** What the darkest and the palest place get, as a multiple of what they were meant to. */
  readonly most: number;
  readonly least: number;
}

/** A tenth more or less of the dose is about what wood differs by from place to place. A judgement. */
export const EVEN_WITHIN = 0.1;

/** Bins per spot width along the way, and how far the spot reaches, in its standard deviations (width = 4σ). */
const BINS_PER_SPOT = 8;
const REACH_SIGMAS = 4;

/**
 * How evenly energy lies along each stroke, as the spot spreads it. Strokes are taken as if they were straight: what a
 * corner's other arm or the next row adds is not the head's doing. Energy that comes while the beam is told to be off
 * (a late beam) counts where the head goes on burning.
 * @param meantJPerMm by move, what it was meant to get; 0 where nothing burns.
 */
export function evennessOf(motion: Motion, machine: Machine, meantJPerMm: Float64Array): Evenness {
  const { moves } = motion.program;
  const binMm = Math.min(...machine.spot.width_mm) / BINS_PER_SPOT;
  const kernel = spotKernel();
  const starts = new Float64Array(moves.count); // mm along the stroke
  const tally = { lengthMm: 0, evenMm: 0, most: 0, least: Infinity };
  let first = 0; // the first move that has not been laid out
  let got: number[] = [];
  let meant: number[] = [];

  const close = () => {
    const gotThere = blurred(got, kernel);
    const meantThere = blurred(meant, kernel);
    for (let k = 0; k < meant.length; k++) {
      if (meant[k] === 0) continue;
      const times = gotThere[k]! / meantThere[k]!;
      tally.lengthMm += binMm;
      if (Math.abs(times - 1) <= EVEN_WITHIN) tally.evenMm += binMm;
      tally.most = Math.max(tally.most, times);
      tally.least = Math.min(tally.least, times);
    }
    got = [];
    meant = [];
  };
  const open = (move: number) => {
    if (move < first) return;
    for (let k = first; k <= move; k++) {
      const isLit = meantJPerMm[k]! > 0 && burnsAtFeed(moves, k);
      const goesOn = k > 0 && isLit && meantJPerMm[k - 1]! > 0 && got.length > 0;
      if (!goesOn && got.length > 0) close();
      starts[k] = goesOn ? starts[k - 1]! + motion.lengthMm[k - 1]! : 0;
      if (isLit)
        spread(
          meant,
          starts[k]!,
          starts[k]! + motion.lengthMm[k]!,
          meantJPerMm[k]! * motion.lengthMm[k]!,
          binMm,
        );
      while (got.length < meant.length) got.push(0);
    }
    first = move + 1;
  };
  walkBeam(motion, machine, binMm / 2, {
    stroke({ move, x0, y0, x1, y1, energyJ }) {
      open(move);
      if (got.length === 0) return;
      const [a, b] = [alongMove(motion, move, x0, y0), alongMove(motion, move, x1, y1)];
      spread(got, starts[move]! + a, starts[move]! + b, energyJ, binMm);
    },
    rest({ move, energyJ }) {
      if (move < 0) return;
      open(move);
      if (got.length === 0) return;
      const end = starts[move]! + motion.lengthMm[move]!;
      spread(got, end, end, energyJ, binMm);
    },
  });
  open(moves.count - 1);
  close();
  const { lengthMm, evenMm, most, least } = tally;
  const evenShare = lengthMm > 0 ? evenMm / lengthMm : 1;
  return { lengthMm, evenShare, most, least: Math.min(least, most) };
}

/** How far along a move a point of it lies, mm. */
function alongMove({ program: { moves }, lengthMm }: Motion, k: number, xMm: number, yMm: number): number {
  const fromX = k > 0 ? moves.xMm[k - 1]! : 0;
  const fromY = k > 0 ? moves.yMm[k - 1]! : 0;
  const flatMm = Math.hypot(moves.xMm[k]! - fromX, moves.yMm[k]! - fromY);
  if (flatMm === 0) return 0;
  return (Math.hypot(xMm - fromX, yMm - fromY) * lengthMm[k]!) / flatMm;
}

/** Adds energy evenly between two places to the bins it falls on. */
function spread(bins: number[], fromMm: number, toMm: number, energyJ: number, binMm: number): void {
  const low = Math.min(fromMm, toMm) / binMm;
  const high = Math.max(fromMm, toMm) / binMm;
  const last = Math.max(Math.floor(low), Math.ceil(high) - 1);
  while (bins.length <= last) bins.push(0);
  if (high === low) {
    bins[last] = bins[last]! + energyJ;
    return;
  }
  for (let k = Math.floor(low); k <= last; k++) {
    const share = (Math.min(k + 1, high) - Math.max(k, low)) / (high - low);
    bins[k] = bins[k]! + energyJ * share;
  }
}

/** A Gaussian over bins; its sum does not matter, since only ratios of sums are asked. */
function spotKernel(): Float64Array {
  const sigma = BINS_PER_SPOT / 4;
  const reach = Math.ceil(REACH_SIGMAS * sigma);
  return Float64Array.from({ length: 2 * reach + 1 }, (_, k) =>
    Math.exp(-((k - reach) ** 2) / (2 * sigma ** 2)),
  );
}

function blurred(bins: readonly number[], kernel: Float64Array): Float64Array {
  const reach = (kernel.length - 1) / 2;
  return Float64Array.from(bins, (_, k) => {
    let sum = 0;
    for (let j = Math.max(0, k - reach); j <= Math.min(bins.length - 1, k + reach); j++)
      sum += bins[j]! * kernel[j - k + reach]!;
    return sum;
  });
}
