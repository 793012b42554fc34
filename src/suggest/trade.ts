import { ROW_MM, type Use } from '../burn/speed-power.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../units.ts';

/** Lines are timed for this much, mm. */
export const LINE_MM = 100;

/** Speeds are written in steps of about a hundredth: by this many mm/min up to so many mm/min. */
const STEPS: readonly (readonly [upTo: number, step: number])[] = [
  [100, 1],
  [200, 2],
  [500, 5],
  [1000, 10],
  [2000, 20],
  [5000, 50],
  [Infinity, 100],
];

const stepOf = (mmPerMin: number): number => STEPS.find(([upTo]) => mmPerMin < upTo)![1];

/** The speed, mm/s, as one would set it: the nearest round number of mm/min. */
export const typedSpeed = (mmPerS: number): number => rounded(mmPerS, Math.round);
/** The same, never faster. */
export const typedSpeedBelow = (mmPerS: number): number => rounded(mmPerS, (x) => Math.floor(x + 1e-9));

function rounded(mmPerS: number, round: (x: number) => number): number {
  const mmPerMin = mmPerSToMmPerMin(mmPerS);
  const step = stepOf(mmPerMin);
  return mmPerMinToMmPerS(round(mmPerMin / step) * step);
}

/**
 * For a line: time for {@link LINE_MM} from rest to rest, all passes. For rows: time for 1 cm² in rows
 * {@link ROW_MM} long, with the head turning at its acceleration beyond both ends: (L/v + 2·v/a) per L·p of area.
 */
export function timeFor(use: Use, speedMmPerS: number, accelerationMmPerS2: number, passes: number): number {
  if (use.kind === 'line') return passes * (LINE_MM / speedMmPerS + speedMmPerS / accelerationMmPerS2);
  const lengthMm = use.rowLengthMm ?? ROW_MM;
  const row = lengthMm / speedMmPerS + (2 * speedMmPerS) / accelerationMmPerS2;
  const rowsPerCm2 = 100 / (lengthMm * use.rowSpacingMm);
  return passes * row * rowsPerCm2;
}
