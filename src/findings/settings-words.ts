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
  const { s_max, threshold_fraction } = machine.laser;
  const was = Math.min(1, operation.sMax / s_max);
  // Only what lies above the threshold gives light.
  const dark = Math.min(was, threshold_fraction);
  const { feedMmPerMin, powerPercent } = plainSettings(
    speedMmPerS,
    (mmPerS) => dark + ((was - dark) * mmPerS) / meantMmPerS,
    dark,
  );
  return {
    feedMmPerMin,
    powerPercent,
    change: `${operation.n}: speed ${feedMmPerMin}, power ${powerPercent}%`,
  };
}

/** A step of power may be this part of the light; where it is more, the speed goes by what the power has been rounded to. */
const COARSE = 0.02;
/** … and at most so many times as quick. A judgement. */
const MOST_QUICKER = 100;

/**
 * A speed and the power beside it, as they are told.
 * @param dutyAt the duty that gives the wanted dose at a speed, straight over it.
 * @param dark the duty up to which there is no light.
 */
export function plainSettings(
  speedMmPerS: number,
  dutyAt: (mmPerS: number) => number,
  dark: number,
): Pick<SteadyFeed, 'feedMmPerMin' | 'powerPercent'> {
  const feedMmPerMin = plainFeed(speedMmPerS);
  const feedMmPerS = mmPerMinToMmPerS(feedMmPerMin);
  const duty = dutyAt(feedMmPerS);
  const powerPercent = tenth(100 * duty);
  const times = (powerPercent / 100 - dark) / (duty - dark);
  if (!(Math.abs(times - 1) > COARSE)) return { feedMmPerMin, powerPercent };
  // The next step below gives no light where the threshold lies above it.
  const below = Math.max(0.1, Math.floor(1000 * duty + 1e-6) / 10);
  const told = below / 100 > dark ? below : Math.floor(1000 * dark + 1 + 1e-6) / 10;
  const quicker = (told / 100 - dark) / (duty - dark);
  // So much light as the least step gives is beyond what a speed makes up for, and none is beyond any.
  if (!(quicker <= MOST_QUICKER)) return { feedMmPerMin, powerPercent };
  return { feedMmPerMin: plainFeed(feedMmPerS * quicker), powerPercent: told };
}

const tenth = (value: number): number => Math.max(0.1, Math.round(value * 10) / 10);
