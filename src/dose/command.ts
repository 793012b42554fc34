import type { PowerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { isLit, isLitAtRest, speedRatio } from '../program/beam-on.ts';

/** Watts asked for during a rest. */
export function restCommandW(rest: number, motion: Motion, machine: Machine, law: PowerLaw): number {
  const { rests } = motion;
  return isLitAtRest(rests, rest, machine.laser.fires_on_rapids) ? law.watts(rests.s[rest]!, 1) : 0;
}

/** Watts asked for on a move at a speed, mm/s. */
export function moveCommandW(
  move: number,
  speedMmPerS: number,
  motion: Motion,
  machine: Machine,
  law: PowerLaw,
): number {
  const { moves } = motion.program;
  if (!isLit(moves, move, machine.laser.fires_on_rapids)) return 0;
  return law.watts(moves.s[move]!, speedRatio(moves, move, speedMmPerS));
}
