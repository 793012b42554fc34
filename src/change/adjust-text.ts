import { InputError } from '../errors.ts';
import { readOptions } from '../forecast.ts';
import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
import { type Change, wishesOf } from './change.ts';
import { changeByWishes } from './change-program.ts';
import { readLines } from './line-table.ts';
import { rewrite } from './rewrite.ts';
import { firstDisagreement, firstOtherOperation } from './same-work.ts';

/**
 * A job's text with changed settings: only the words that must change change, every other byte stays. What
 * is written is read back and must be the changed program, or nothing is written.
 * @param text the job, one character for each byte (ISO 8859-1), so that no byte is lost.
 * @param plan the changed program as it was forecast and shown; what is written must be that too.
 * @throws {InputError} in one sentence, where a change cannot be made safely.
 */
export function adjustText(
  text: string,
  changes: readonly Change[],
  machine: Machine,
  plan: Program | null = null,
): string {
  const options = readOptions(machine);
  const table = readLines(text, options);
  const { program } = table;
  const changed = changeByWishes(program, wishesOf(program, changes), machine);
  if (changed.moveFrom !== null) refuseUnknownPlaces(program);
  const { text: written, program: readBack } = rewrite(text, table, changed, options, machine);
  for (const planned of plan ? [changed.program, plan] : [changed.program]) {
    const apart =
      firstDisagreement(planned, readBack, machine) ?? firstOtherOperation(planned, readBack, machine);
    if (apart !== null) throw notAsAsked(planned, apart);
  }
  return written;
}

const notAsAsked = ({ moves }: Program, move: number) =>
  new InputError(
    'found lines that could not be rewritten so that they do what was asked; expected a change that can be made by speed, power and beam words alone, so nothing was written',
    { line: moves.line[Math.min(move, moves.count - 1)]! },
  );

/** Where the head goes another way, it must be known where it is. */
function refuseUnknownPlaces({ notSimulated }: Program): void {
  const word = notSimulated.find(({ severity }) => severity === 'stop');
  if (word === undefined) return;
  throw new InputError(
    `found ${word.word}, which may move the head but is not simulated; expected a job without it, so that passes, overscan and row order can be changed safely`,
    { line: word.lines[0] },
  );
}
