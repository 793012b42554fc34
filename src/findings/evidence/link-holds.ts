import type { Machine } from '../../machine/profile.ts';
import { lineTimeS } from '../../motion/link.ts';
import type { Motion } from '../../motion/motion.ts';

/** Lines that take this part of the time their moves last keep the link about as busy as it can be. */
const BUSY = 0.8;

/**
 * Whether the link may hold the head back anywhere: it waits for a move, or over some stretch as long as the
 * look-ahead the lines take nearly all the time the moves last. Cheap, so that a second plan is made only
 * where it has something to tell. O(moves).
 */
export function linkHolds(motion: Motion, machine: Machine): boolean {
  const { link, lookahead_moves } = machine;
  if (link === null) return false;
  const { rests, startS, program } = motion;
  for (let k = 0; k < rests.count; k++) if (rests.starved[k]) return true;
  const { count, line } = program.moves;
  const window = Math.min(count, lookahead_moves ?? 16);
  let from = 0;
  let sentS = 0;
  for (let i = 0; i < count; i++) {
    if (i === 0 || line[i] !== line[i - 1]) sentS += lineTimeS(program.lineBytes[line[i]! - 1]!, link);
    if (i + 1 - from < window) continue;
    if (sentS > BUSY * (startS[i + 1]! - startS[from]!)) return true;
    if (line[from] !== line[from + 1]) sentS -= lineTimeS(program.lineBytes[line[from]! - 1]!, link);
    from++;
  }
  return false;
}
