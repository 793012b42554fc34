import type { PowerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { POWER_CONSTANT, POWER_OFF, POWER_PROPORTIONAL } from '../program/program.ts';

/** Whether the beam is let through for this modal motion: rapids are dark unless the machine fires on them. */
export const fires = (rapid: number, machine: Machine): boolean =>
  rapid === 0 || machine.laser.fires_on_rapids;

/** Watts asked for during a rest: constant power keeps burning, proportional power is zero at rest. */
export function restCommandW(rest: number, motion: Motion, machine: Machine, law: PowerLaw): number {
  const { powerMode, rapid, s } = motion.rests;
  return powerMode[rest] === POWER_CONSTANT && fires(rapid[rest]!, machine) ? law.watts(s[rest]!, 1) : 0;
}

/** Watts asked for on a move at a speed, mm/s. */
export function moveCommandW(
  move: number,
  speedMmPerS: number,
  motion: Motion,
  machine: Machine,
  law: PowerLaw,
): number {
  const { powerMode, rapid, feedMmPerS, s } = motion.program.moves;
  if (powerMode[move] === POWER_OFF || !fires(rapid[move]!, machine)) return 0;
  const feed = feedMmPerS[move]!;
  return law.watts(s[move]!, powerMode[move] === POWER_PROPORTIONAL && feed > 0 ? speedMmPerS / feed : 1);
}
