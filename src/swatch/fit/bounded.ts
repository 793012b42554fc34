import type { Quantity } from '../../burn/material.ts';
import { LEAST_DOSE_PART, statedRelative } from '../../burn/uncertainty.ts';
import { phi } from '../../dose/normal.ts';
import { logSigma } from '../../sure/draws.ts';
import { isFit, type RemovalBound, type RemovalFit } from './cuts.ts';

/** What a number is taken to be of which only a bound is known, and one standard deviation, in its own unit. */
export interface Bounded {
  readonly value: number;
  readonly sigma: number;
}

/** A profile that a bound lies farther beyond than so many of its standard deviations was not as sure as it said. */
const MOST_SURPRISE = 2;
/** A bound that moves a number by less than this part of it says nothing that was not known. */
const LEAST_MOVE = 0.02;

/**
 * What a profile's number becomes where cuts say only that it is more, or less, than a bound: lognormal about its value
 * as before, weighed by how likely each value is to lie beyond the bound, which is itself known to a part only.
 * Mean and variance of a normal times a cumulative normal: Rasmussen and Williams, Gaussian Processes for Machine
 * Learning (2006), equations 3.85 and 3.87.
 *
 * @returns null where that hardly moves it, and where it was measured or not asked for at all.
 */
export function boundedBy(was: Quantity, removal: RemovalFit | RemovalBound | null): Bounded | null {
  if (removal === null || isFit(removal)) return null;
  const { atLeastJPerMm3, atMostJPerMm3 } = removal;
  const bound = atLeastJPerMm3 ?? atMostJPerMm3;
  if (bound === null || !(was.value > 0)) return null;
  // So turned that what is known is more than the bound.
  const way = atLeastJPerMm3 === null ? -1 : 1;
  const beyond = way * Math.log(was.value / bound);
  const spread = Math.max(logSigma(statedRelative(was)), -beyond / MOST_SURPRISE);
  if (spread === 0) return null;
  const both = Math.hypot(spread, logSigma(LEAST_DOSE_PART));
  const z = beyond / both;
  const pull = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI) / phi(z);
  const moved = (spread * spread * pull) / both;
  if (moved < LEAST_MOVE) return null;
  const variance = spread ** 2 - (spread ** 4 / both ** 2) * pull * (z + pull);
  const value = was.value * Math.exp(way * moved);
  return { value, sigma: value * Math.sqrt(Math.expm1(variance)) };
}
