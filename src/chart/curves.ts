import { powerFor, REGIONS, type Region, type SpeedPower } from '../burn/speed-power.ts';
import type { LaserSource } from '../machine/profile.ts';
import type { Sureness } from '../sure/come-through.ts';
import { fastestForSure } from '../sure/settings.ts';

/** A place on the chart: speed, mm/s, and share of full power, 0…1. */
export type Place = readonly [speedMmPerS: number, power: number];

/** A line on the chart, from the least power that gives light up to full power. */
export type Polyline = readonly Place[];

/** Where a region begins: at these places and slower. */
export interface Edge {
  readonly region: Region;
  readonly line: Polyline;
}

/** Where all passes together leave the same dose. */
export interface DoseCurve {
  readonly doseJPerMm2: number;
  readonly line: Polyline;
}

/** Where so many passes together cut through for sure: at these places and slower. */
export interface CutCurve {
  readonly passes: number;
  readonly line: Polyline;
}

/** A share of full power and the watts it gives. */
interface Knot {
  readonly power: number;
  readonly watts: number;
}

/**
 * Up to so many power levels the curves climb in the steps the controller makes; more are drawn as if power could
 * be set at will, which is never off by more than half a level.
 */
export const STEPS_UP_TO = 128;

const KNOTS = 160;
/** Where curves begin, as a share of full watts: far below anything that marks within a chart. */
const LEAST_WATTS = 1e-4;

/**
 * The knots every curve of a laser runs through: two for each power level, from no light on; or evenly over the
 * logarithm of the watts, where the chord between two is off by less than 0.05 % of its power.
 */
function knotsOf(laser: LaserSource): Knot[] {
  const { optical_power_w: full, power_levels: levels, threshold_fraction: threshold } = laser;
  if (levels !== null && levels <= STEPS_UP_TO) {
    const first = Math.floor(threshold * levels) + 1;
    const knots: Knot[] = [{ power: (first - 0.5) / levels, watts: 0 }];
    for (let level = first; level <= levels; level++) {
      const watts = (full * (level / levels - threshold)) / (1 - threshold);
      const from = (level - 0.5) / levels;
      const to = Math.min(1, (level + 0.5) / levels);
      knots.push({ power: from, watts }, { power: to, watts });
    }
    return knots;
  }
  return Array.from({ length: KNOTS + 1 }, (_, k) => {
    const watts = full * LEAST_WATTS ** (1 - k / KNOTS);
    return { power: powerFor(laser, watts), watts };
  });
}

const along = (laser: LaserSource, speedAt: (watts: number) => number): Polyline =>
  knotsOf(laser).map(({ power, watts }) => [speedAt(watts), power] as const);

/** Speeds for sure are worked out at so many watts, evenly over their logarithm. */
const SURE_KNOTS = 32;

/**
 * {@link fastestForSure} for any watts up to full ones: cubic between knots of its logarithm, which hardly bends; within
 * half a hundredth of it, as the boards are so many and no more.
 */
function sureSpeeds(answers: SpeedPower, sureness: Sureness): (watts: number) => number {
  const full = answers.work.machine.laser.optical_power_w;
  const step = -Math.log(LEAST_WATTS) / SURE_KNOTS;
  let near = 1;
  const at = (k: number): number => {
    const speed = fastestForSure(answers, sureness, full * Math.exp((k - SURE_KNOTS) * step), near);
    if (speed > 0) near = speed;
    return speed;
  };
  if (at(SURE_KNOTS) === 0) return () => 0;
  // One more knot on either side, for the cubic.
  const ln = Float64Array.from({ length: SURE_KNOTS + 3 }, (_, k) => Math.log(at(k - 1)));
  return (watts) => {
    if (!(watts > 0)) return 0;
    const along = Math.min(SURE_KNOTS, Math.max(0, Math.log(watts / full) / step + SURE_KNOTS));
    const k = Math.min(SURE_KNOTS - 1, Math.floor(along));
    const t = along - k;
    const [a, b, c, d] = [ln[k]!, ln[k + 1]!, ln[k + 2]!, ln[k + 3]!];
    // Catmull and Rom's cubic through four even knots.
    const bend = 2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a);
    return Math.exp(b + (t / 2) * (c - a + t * bend));
  };
}

/**
 * The beginnings of *tan*, *brown*, *char* and *cut*, the ones with no speed at full power left out. A cut begins where
 * it is for sure.
 */
export function edgesOf(answers: SpeedPower, sureness: Sureness): Edge[] {
  const { laser } = answers.work.machine;
  const sureCut = sureSpeeds(answers, sureness);
  const fastest = (region: Region, watts: number): number =>
    region === 'cut' ? sureCut(watts) : answers.fastest(region, watts);
  return REGIONS.slice(1)
    .filter((region) => fastest(region, laser.optical_power_w) > 0)
    .map((region) => ({ region, line: along(laser, (watts) => fastest(region, watts)) }));
}

export const doseCurveOf = (answers: SpeedPower, doseJPerMm2: number): DoseCurve => ({
  doseJPerMm2,
  line: along(answers.work.machine.laser, (watts) => answers.speedForDose(doseJPerMm2, watts)),
});

/** @param answers for the same work burned `passes` times. */
export const cutCurveOf = (answers: SpeedPower, sureness: Sureness): CutCurve => ({
  passes: answers.work.passes,
  line: along(answers.work.machine.laser, sureSpeeds(answers, sureness)),
});
