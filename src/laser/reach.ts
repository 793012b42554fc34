import type { LaserSource, Machine } from '../machine/profile.ts';
import { msToS } from '../units.ts';
import { defocus } from './spot.ts';

/** The beam is followed less far than this many of its widths from its centre. */
export const REACH_WIDTHS = 1.25;

/** A beam that lags has ended after so many of its time constants. */
const LAGS = 25;

/** For how long light may come beside the time it is told to, before or after, s. */
export const lateS = ({ beam_delay_ms, rise_time_ms }: Pick<LaserSource, 'beam_delay_ms' | 'rise_time_ms'>) =>
  msToS(Math.abs(beam_delay_ms) + LAGS * rise_time_ms);

/**
 * How far from the way on which the beam is told to burn its light may fall, mm: as wide as it is there, and as far as the
 * fastest head goes while it comes late.
 * @param zMm least and greatest height of that way.
 */
export function lightReachMm(
  { laser, spot, max_speed_mm_s: [xMmPerS, yMmPerS] }: Machine,
  [leastMm, mostMm]: readonly [leastMm: number, mostMm: number],
): number {
  const times = Math.max(defocus(spot, leastMm), defocus(spot, mostMm));
  return REACH_WIDTHS * times * Math.max(...spot.width_mm) + lateS(laser) * Math.hypot(xMmPerS, yMmPerS);
}
