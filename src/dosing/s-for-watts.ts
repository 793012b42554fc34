import { powerFor } from '../burn/speed-power.ts';
import type { LaserSource } from '../machine/profile.ts';

/**
 * The S with which a laser gives `watts` while proportional power multiplies S by `speedRatio` (1 under constant power):
 * the inverse of `powerLaw`, whose steps of power it leaves to the caller's next look.
 * @returns S in 0 … s_max; 0 for no power at all. What the laser cannot give is the most it can.
 */
export function sForWatts(laser: LaserSource, watts: number, speedRatio: number): number {
  if (!(watts > 0) || !(speedRatio > 0)) return 0;
  return Math.min(1, powerFor(laser, watts) / speedRatio) * laser.s_max;
}
