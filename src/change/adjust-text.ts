import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
import type { Change } from './change.ts';
import { openJob } from './open-job.ts';
import { refuseOtherWork } from './write-changed.ts';

/**
 * A job's text with changed settings: only the words that must change change, every other byte stays. What
 * is written is read back and must be the changed program, or nothing is written.
 * @param job the text, one character for each byte (ISO 8859-1), so that no byte is lost.
 * @param plan the changed program as it was forecast and shown; what is written must be that too.
 * @param feedMmPerS the feed of moves that have none; it is written where it is wanted.
 * @throws {InputError} in one sentence, where a change cannot be made safely.
 */
export function adjustText(
  job: string,
  changes: readonly Change[],
  machine: Machine,
  plan: Program | null = null,
  feedMmPerS: number | null = null,
): string {
  const open = openJob(() => [job], machine, feedMmPerS);
  const written: string[] = [];
  const readBack = open.rewrite(open.change(changes), (piece) => written.push(piece));
  if (plan) refuseOtherWork(plan, readBack, machine);
  return written.join('');
}
