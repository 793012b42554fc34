import type { Machine } from '../machine/profile.ts';
import type { Operation } from '../program/program.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../units.ts';

/** Another speed for an operation, with the power that keeps its line energy. */
interface SteadyFeed {
  readonly feedMmPerMin: number;
  readonly powerPercent: number;
  /** As `--change` reads it. */
  readonly change: string;
}

/** A speed for people, rounded down: whole tens of mm/min, below 100 whole ones, below 10 two digits; never 0. */
export function plainFeed(mmPerS: number): number {
  const feed = mmPerSToMmPerMin(mmPerS);
  const grain = feed >= 100 ? 10 : feed >= 10 ? 1 : 10 ** (Math.floor(Math.log10(Math.max(feed, 1e-3))) - 1);
  return Number(Math.max(grain, Math.floor(feed / grain + 1e-9) * grain).toPrecision(12));
}

/**
 * The operation at about `speedMmPerS`, its power changed by as much as its speed, so that every straight part
 * gets the dose it was meant to get: watts / speed stays. `meantMmPerS` is the speed its power was chosen for.
 */
export function steadyFeed(
  operation: Operation,
  machine: Machine,
  speedMmPerS: number,
  meantMmPerS = operation.feedMmPerS,
): SteadyFeed {
  const feedMmPerMin = plainFeed(speedMmPerS);
  const { s_max, threshold_fraction } = machine.laser;
  const was = Math.min(1, operation.sMax / s_max);
  // Only what lies above the threshold gives light.
  const dark = Math.min(was, threshold_fraction);
  const powerPercent = tenth(100 * (dark + (was - dark) * (mmPerMinToMmPerS(feedMmPerMin) / meantMmPerS)));
  return {
    feedMmPerMin,
    powerPercent,
    change: `${operation.n}: speed ${feedMmPerMin}, power ${powerPercent}%`,
  };
}

const tenth = (value: number): number => Math.max(0.1, Math.round(value * 10) / 10);
