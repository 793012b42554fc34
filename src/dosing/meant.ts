import { lineEnergies } from '../findings/evidence/line-energy.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';

/** What the moves of a job were meant to do, by move; 0 where nothing burns, and for operations that are left alone. */
export interface Meant {
  readonly motion: Motion;
  /** Full speed, mm/s. */
  readonly fullMmPerS: Float64Array;
  /** What each millimetre gets at that speed, J/mm. */
  readonly jPerMm: Float64Array;
}

/** @param leave operations, by number, that are left alone. */
export function meantBy(motion: Motion, machine: Machine, leave: ReadonlySet<number> = new Set()): Meant {
  const { operation } = motion.program.moves;
  const { nominalMmPerS, nominalJPerMm } = lineEnergies(motion, machine, powerLaw(machine.laser));
  const fullMmPerS = nominalMmPerS.map((full, k) => (leave.has(operation[k]!) ? 0 : full));
  return { motion, fullMmPerS, jPerMm: fullMmPerS.map((full, k) => (full > 0 ? nominalJPerMm(k) : 0)) };
}
