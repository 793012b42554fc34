import { fires } from '../dose/command.ts';
import type { Stroke } from '../dose/visitor.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { moveTimeS, timeAtPointS } from '../motion/timeline.ts';

/** Says when the beam's pieces come, as `walkBeam` hands them out. */
export interface JobClock {
  /** When a stroke begins, s. */
  strokeS(stroke: Readonly<Stroke>): number;
  /** When a rest, or a piece of one, begins. */
  restS(move: number, durationS: number): number;
}

/**
 * Pieces follow one another on a move; the first, and any that follows a dark stretch, is found by its place. A
 * rest that is lit begins where the planner says.
 */
export function startJobClock(motion: Motion, machine: Machine): JobClock {
  const { rests, program } = motion;
  const { xMm, yMm } = program.moves;
  const now = { move: -2, endX: 0.5, endY: 0.5, endS: 0.5, rest: 0 };
  now.endS = 0;
  return {
    strokeS({ move, x0, y0, x1, y1, durationS }) {
      if (move !== now.move || x0 !== now.endX || y0 !== now.endY) {
        if (move >= 0) {
          const isStart = move > 0 && x0 === xMm[move - 1]! && y0 === yMm[move - 1]!;
          const cameS = isStart ? motion.startS[move]! : timeAtPointS(motion, move, x0, y0);
          if (cameS > now.endS) now.endS = cameS;
        }
      }
      const startS = now.endS;
      now.move = move;
      now.endX = x1;
      now.endY = y1;
      now.endS = startS + durationS;
      return startS;
    },
    restS(move, durationS) {
      const overS = move < 0 ? 0 : motion.startS[move]! + moveTimeS(motion, move);
      let startS = Math.max(now.endS, overS);
      // The planner's next rest after this move that burns; pieces of one rest follow one another.
      for (; now.rest < rests.count && rests.beforeMove[now.rest]! <= move + 1; now.rest++) {
        const r = now.rest;
        if (rests.beforeMove[r]! < move + 1 || rests.startS[r]! + rests.durationS[r]! <= startS) continue;
        if (rests.s[r] === 0 || !fires(rests.rapid[r]!, machine)) continue;
        startS = Math.max(startS, rests.startS[r]!);
        break;
      }
      now.move = -2;
      now.endS = startS + durationS;
      return startS;
    },
  };
}
