import { powerFor, REGIONS, type Region, type SpeedPower } from '../burn/speed-power.ts';
import type { LaserSource } from '../machine/profile.ts';

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

/** Where so many passes together cut through: at these places and slower. */
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

/** The beginnings of *tan*, *brown*, *char* and *cut*, the ones with no speed at full power left out. */
export function edgesOf(answers: SpeedPower): Edge[] {
  const { laser } = answers.work.machine;
  return REGIONS.slice(1)
    .filter((region) => answers.fastest(region, laser.optical_power_w) > 0)
    .map((region) => ({ region, line: along(laser, (watts) => answers.fastest(region, watts)) }));
}

export const doseCurveOf = (answers: SpeedPower, doseJPerMm2: number): DoseCurve => ({
  doseJPerMm2,
  line: along(answers.work.machine.laser, (watts) => answers.speedForDose(doseJPerMm2, watts)),
});

/** @param answers for the same work burned `passes` times. */
export const cutCurveOf = (answers: SpeedPower): CutCurve => ({
  passes: answers.work.passes,
  line: along(answers.work.machine.laser, (watts) => answers.fastest('cut', watts)),
});
