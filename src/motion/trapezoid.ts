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

/** Speeds closer than this part of each other are the same: a ramp between them would be rounding, not motion. */
const SAME_SPEED = 1e-9;

/** Whether a speed is below another by more than rounding: peak and exit of a move that only speeds up may differ by that. */
export const isSlower = (mmPerS: number, thanMmPerS: number): boolean =>
  thanMmPerS - mmPerS > SAME_SPEED * thanMmPerS;

/** The length of a ramp between an end's speed and the peak, mm; 0 where they are the same speed. */
export function rampMm(accelMmPerS2: number, endMmPerS: number, peakMmPerS: number): number {
  if (!isSlower(endMmPerS, peakMmPerS)) return 0;
  return (peakMmPerS * peakMmPerS - endMmPerS * endMmPerS) / (2 * accelMmPerS2);
}

/** A cruise shorter than this part of its move is rounding: the move goes straight from ramp to ramp. */
const NO_CRUISE = 1e-9;

/** What is left of a move between its ramps, mm. */
export function cruiseMm(lengthMm: number, upMm: number, downMm: number): number {
  const left = lengthMm - upMm - downMm;
  return left > NO_CRUISE * lengthMm ? left : 0;
}

/** How long the move takes, s. */
export function moveDurationS(
  lengthMm: number,
  accelMmPerS2: number,
  entryMmPerS: number,
  peakMmPerS: number,
  exitMmPerS: number,
): number {
  const cruise = cruiseMm(
    lengthMm,
    rampMm(accelMmPerS2, entryMmPerS, peakMmPerS),
    rampMm(accelMmPerS2, exitMmPerS, peakMmPerS),
  );
  return (2 * peakMmPerS - entryMmPerS - exitMmPerS) / accelMmPerS2 + cruise / peakMmPerS;
}
