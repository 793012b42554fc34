import type { LaserSource } from '../machine/profile.ts';

/**
 * From the S of the program to optical watts.
 *
 * Duty = S / s_max, times actual speed / programmed feed under proportional power, clamped to 0 … 1 and
 * quantised to `power_levels` equal steps. A diode emits nothing below its threshold and rises linearly
 * above it: P = P_full · max(0, (duty − threshold)/(1 − threshold)) (E. Arieli, *The Laser Adventure*, 6.3;
 * the slope-efficiency line P = η·(I − I_th)).
 */
export interface PowerLaw {
  /** Optical watts for S at `speedRatio` = actual speed / programmed feed (1 under constant power). */
  watts(s: number, speedRatio: number): number;
  /** Whether watts are proportional to the speed ratio for this S, so that line energy is the same at any speed. */
  isLinear(s: number): boolean;
}

export function powerLaw(laser: LaserSource): PowerLaw {
  const { optical_power_w: full, s_max: sMax, power_levels: levels, threshold_fraction: threshold } = laser;
  const watts = (s: number, speedRatio: number): number => {
    const wanted = Math.min(1, Math.max(0, (s / sMax) * speedRatio));
    const duty = levels === null ? wanted : Math.round(wanted * levels) / levels;
    return duty <= threshold ? 0 : (full * (duty - threshold)) / (1 - threshold);
  };
  return { watts, isLinear: (s) => levels === null && threshold === 0 && s <= sMax };
}
