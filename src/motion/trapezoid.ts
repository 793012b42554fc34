/**
 * One move's speed over time: accelerate from entry to peak, cruise, brake to exit, all at the same
 * acceleration. Textbook relations v² = v0² + 2·a·s and t = Δv/a (Biagiotti & Melchiorri form).
 */

/** The peak speed over `lengthMm` from entry to exit speed, no faster than nominal. All mm/s, mm/s², mm. */
export function peakSpeed(
  lengthMm: number,
  accelMmPerS2: number,
  entryMmPerS: number,
  exitMmPerS: number,
  nominalMmPerS: number,
): number {
  const free = Math.sqrt(accelMmPerS2 * lengthMm + (entryMmPerS * entryMmPerS + exitMmPerS * exitMmPerS) / 2);
  return Math.min(nominalMmPerS, free);
}

/** The lengths of the ramp up, the cruise and the ramp down, mm; they add up to `lengthMm`. */
export function rampUpMm(accelMmPerS2: number, entryMmPerS: number, peakMmPerS: number): number {
  return (peakMmPerS * peakMmPerS - entryMmPerS * entryMmPerS) / (2 * accelMmPerS2);
}

/** How long the move takes, s. */
export function moveDurationS(
  lengthMm: number,
  accelMmPerS2: number,
  entryMmPerS: number,
  peakMmPerS: number,
  exitMmPerS: number,
): number {
  const ramps =
    rampUpMm(accelMmPerS2, entryMmPerS, peakMmPerS) + rampUpMm(accelMmPerS2, exitMmPerS, peakMmPerS);
  const cruiseMm = Math.max(0, lengthMm - ramps);
  return (2 * peakMmPerS - entryMmPerS - exitMmPerS) / accelMmPerS2 + cruiseMm / peakMmPerS;
}
