import type { Program } from '../program/program.ts';

/**
 * The job in time: how fast the head goes along each move, and when. Struct of arrays; index i is move i
 * of `program.moves`. Between moves the speed is continuous, so a move's exit speed is the next one's entry.
 *
 * Invariants ({@link checkMotion}): peak ≥ entry, exit; |peak² − entry²|, |peak² − exit²| ≤ 2·a·length;
 * `startS` does not decrease; the first entry and the last exit are 0.
 */
export interface Motion {
  readonly program: Program;
  readonly lengthMm: Float64Array;
  /** Acceleration and braking along the move. */
  readonly accelMmPerS2: Float64Array;
  /** Speed at the start of move i; length count + 1, the last one being the speed at the very end. */
  readonly entryMmPerS: Float64Array;
  readonly peakMmPerS: Float64Array;
  /** When move i begins (after the rests before it); length count + 1, the last one being the end of the last move. */
  readonly startS: Float64Array;
  readonly rests: Rests;
  readonly durationS: number;
}

/** The times the head spends at rest with the program running: dwells, and waits for the link. In order. */
export interface Rests {
  readonly count: number;
  /** The rest happens before this move (`moves.count`: after the last). */
  readonly beforeMove: Uint32Array;
  readonly startS: Float64Array;
  readonly durationS: Float64Array;
  /** S, power mode and modal motion (1: rapid) in force meanwhile. */
  readonly s: Float64Array;
  readonly powerMode: Uint8Array;
  readonly rapid: Uint8Array;
  readonly line: Uint32Array;
  /** 1: a wait for the link; 0: a rest the program asks for. */
  readonly starved: Uint8Array;
}

/**
 * Checks the invariants above to rounding; returns one sentence per violation (none: the motion is sound).
 * For tests, and for anyone who changes the planner.
 */
export function checkMotion(motion: Motion): string[] {
  const { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS, startS } = motion;
  const count = motion.program.moves.count;
  const wrong: string[] = [];
  const slack = 1e-9;
  if (entryMmPerS[0] !== 0) wrong.push('the head does not start at rest');
  if (Math.abs(entryMmPerS[count]!) > slack) wrong.push('the head does not end at rest');
  for (let i = 0; i < count; i++) {
    const entry = entryMmPerS[i]!;
    const exit = entryMmPerS[i + 1]!;
    const peak = peakMmPerS[i]!;
    const reach = 2 * accelMmPerS2[i]! * lengthMm[i]!;
    if (peak < Math.max(entry, exit) * (1 - slack)) wrong.push(`move ${i} peaks below its ends`);
    const needed = Math.max(
      2 * peak * peak - entry * entry - exit * exit,
      Math.abs(exit * exit - entry * entry),
    );
    if (needed > reach * (1 + 1e-6) + slack) wrong.push(`move ${i} needs more acceleration than it has`);
    if (!(startS[i + 1]! >= startS[i]!)) wrong.push(`move ${i} ends before it starts`);
  }
  return wrong;
}
