import { walkBeam } from '../../src/dose/walk-beam.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Motion } from '../../src/motion/motion.ts';
import { headAt } from '../../src/motion/timeline.ts';
import type { HeatOfWood } from '../../src/warmth/heat-of-wood.ts';

/**
 * Warmth by adding up everything that landed, one point after another: the slow oracle. Shares nothing with the
 * ladder but the walk of the beam: times come from the planner's clock at every point's place in its piece.
 */
interface Landed {
  readonly x: number;
  readonly y: number;
  readonly tS: number;
  readonly energyJ: number;
  readonly keptJ: number;
  readonly dwellS: number;
  /** When the beam arrived: for a piece of a rest, the rest's beginning. */
  readonly arrivedS: number;
}

/** What stays of a piece: min(share·h, most) over h, by adding up slices of the spot. */
function keptPart(peakJPerMm2: number, heat: HeatOfWood, isRest: boolean): number {
  const { share, mostJPerMm2 } = heat.keeping;
  let kept = 0;
  let all = 0;
  for (let k = 0; k < 4000; k++) {
    const u = (k + 0.5) * (6 / 4000);
    const h = peakJPerMm2 * Math.exp((-u * u) / 2);
    const weight = isRest ? u : 1;
    kept += weight * Math.min(share * h, mostJPerMm2);
    all += weight * h;
  }
  return kept / all;
}

/** All energy of a job as points at most `stepMm` apart. */
export function landed(motion: Motion, machine: Machine, heat: HeatOfWood, stepMm: number): Landed[] {
  const points: Landed[] = [];
  const widthMm = Math.sqrt(machine.spot.width_mm[0] * machine.spot.width_mm[1]);
  const sigma = widthMm / 4;
  const parts = new Map<string, number>();
  const partOf = (peak: number, isRest: boolean): number => {
    const key = `${isRest} ${peak.toPrecision(6)}`;
    const known = parts.get(key) ?? keptPart(peak, heat, isRest);
    parts.set(key, known);
    return known;
  };
  // The piece's time: the moment on its move at which the head is where the piece begins.
  const timeOf = (move: number, x: number, y: number, near: number): number => {
    let low = Math.max(near, motion.startS[move]!);
    let high = motion.startS[move + 1]!;
    const away = (t: number) => {
      const at = headAt(motion, t);
      return Math.hypot(at.xMm - x, at.yMm - y);
    };
    const from =
      move === 0
        ? { x: 0, y: 0 }
        : { x: motion.program.moves.xMm[move - 1]!, y: motion.program.moves.yMm[move - 1]! };
    const wanted = Math.hypot(x - from.x, y - from.y);
    for (let k = 0; k < 50; k++) {
      const middle = (low + high) / 2;
      const at = headAt(motion, middle);
      if (Math.hypot(at.xMm - from.x, at.yMm - from.y) < wanted) low = middle;
      else high = middle;
    }
    return away(low) < away(high) ? low : high;
  };
  let lastS = 0;
  walkBeam(motion, machine, 0.02, {
    stroke({ x0, y0, x1, y1, energyJ, durationS, move }) {
      const lengthMm = Math.hypot(x1 - x0, y1 - y0);
      const startS = timeOf(move, x0, y0, lastS);
      lastS = startS;
      const n = Math.ceil(lengthMm / stepMm);
      const part = partOf(energyJ / lengthMm / (sigma * Math.sqrt(2 * Math.PI)), false);
      for (let k = 0; k < n; k++) {
        const f = (k + 0.5) / n;
        points.push({
          x: x0 + (x1 - x0) * f,
          y: y0 + (y1 - y0) * f,
          tS: startS + durationS * f,
          energyJ: energyJ / n,
          keptJ: (part * energyJ) / n,
          dwellS: (widthMm * durationS) / lengthMm,
          arrivedS: startS + durationS * f,
        });
      }
    },
    rest({ x0: x, y0: y, energyJ, durationS, move }) {
      const startS = motion.startS[move + 1]! - durationS;
      const part = partOf(energyJ / (2 * Math.PI * sigma * sigma), true);
      for (let k = 0; k < 64; k++) {
        const tS = startS + (durationS * (k + 0.5)) / 64;
        points.push({
          x,
          y,
          tS,
          energyJ: energyJ / 64,
          keptJ: (part * energyJ) / 64,
          dwellS: 0,
          arrivedS: startS,
        });
      }
    },
  });
  return points;
}

/** The cosine integral of the skin's kernel, (2/π)∫ e^(−αk²t)/(1 + k²δ²)² dk, 1/mm, by Simpson's rule. */
export function skinByIntegral(heat: HeatOfWood, ageS: number): number {
  const spread = heat.diffusivityMm2PerS * ageS;
  const top = Math.min(60 / heat.depthMm, 7 / Math.sqrt(spread));
  const n = 400;
  const f = (k: number) => Math.exp(-spread * k * k) / (1 + (k * heat.depthMm) ** 2) ** 2;
  let sum = f(0) + f(top);
  for (let i = 1; i < n; i++) sum += (i % 2 === 1 ? 4 : 2) * f((i * top) / n);
  return ((2 / Math.PI) * sum * top) / (3 * n);
}

/** The same, kept for ages within 0.1 % of one another. */
function startSkin(heat: HeatOfWood): (ageS: number) => number {
  const known = new Map<number, number>();
  return (ageS) => {
    const key = Math.round(1000 * Math.log(ageS));
    const value = known.get(key) ?? skinByIntegral(heat, Math.exp(key / 1000));
    known.set(key, value);
    return value;
  };
}

/** Where and when somebody asks, and up to when heat counts. */
interface Question {
  readonly x: number;
  readonly y: number;
  readonly tS: number;
  readonly untilS: number;
}

/** Answers with the rise at a place and time from the points that came at or before `untilS`, K. */
export function directSums(
  points: readonly Landed[],
  spotSigmaMm: number,
  heat: HeatOfWood,
): (at: Question) => number {
  const skin = startSkin(heat);
  return (at) => {
    let sum = 0;
    for (const { x, y, tS, keptJ } of points) {
      if (tS > at.untilS) break;
      const age = at.tS - tS;
      const variance = spotSigmaMm ** 2 + 2 * heat.diffusivityMm2PerS * age;
      const away = ((x - at.x) ** 2 + (y - at.y) ** 2) / variance;
      if (away > 60) continue;
      sum += ((keptJ * Math.exp(-away / 2)) / (2 * Math.PI * variance)) * skin(age);
    }
    return sum / heat.volumetricJPerMm3K;
  };
}
