import type { Motion } from '../motion/motion.ts';
import { POWER_OFF } from '../program/program.ts';

/** The same motion with the beam off on all other moves and the rests they lead to; −1 stands for the job's beginning. */
export function litOnly(motion: Motion, isLitOn: (move: number) => boolean): Motion {
  const { program, rests } = motion;
  const { moves } = program;
  const powerMode = moves.powerMode.slice(0, moves.count);
  for (let k = 0; k < moves.count; k++) if (!isLitOn(k)) powerMode[k] = POWER_OFF;
  return {
    ...motion,
    program: { ...program, moves: { ...moves, powerMode } },
    rests: {
      ...rests,
      powerMode: rests.powerMode.map((mode, r) => (isLitOn(rests.beforeMove[r]! - 1) ? mode : POWER_OFF)),
    },
  };
}
