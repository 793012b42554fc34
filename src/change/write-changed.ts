import { InputError } from '../errors.ts';
import { readOptions } from '../forecast.ts';
import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
import { type Change, wishesOf } from './change.ts';
import { changeByWishes } from './change-program.ts';
import type { Changed } from './changed.ts';
import type { Sink } from './job-writer.ts';
import type { LineTable } from './line-table.ts';
import { insteadOfPlacing } from './placement.ts';
import { rewrite } from './rewrite.ts';
import { firstDisagreement, firstOtherOperation } from './same-work.ts';

/** The changed program of a job whose lines are known. @throws {InputError} where a change cannot be made safely. */
export function changeLines({ program }: LineTable, changes: readonly Change[], machine: Machine): Changed {
  const changed = changeByWishes(program, wishesOf(program, changes), machine);
  if (changed.moveFrom !== null) withAWayOut(changed, () => refuseUnknownPlaces(program));
  return changed;
}

/**
 * Writes a changed job, piece by piece, so that a job of any size needs little more memory than its moves.
 * @param pieces the job's text, in the pieces in which it was read for the table.
 * @returns the program as what was written reads.
 * @throws {InputError} where that is not the changed program: then what was written must not be kept.
 */
export function writeChanged(
  pieces: readonly string[],
  table: LineTable,
  changed: Changed,
  machine: Machine,
  sink: Sink,
): Program {
  return withAWayOut(changed, () => {
    const readBack = rewrite(pieces, table, changed, { options: readOptions(machine), machine }, sink);
    refuseOtherWork(changed.program, readBack, machine);
    return readBack;
  });
}

/** Where a job cannot be laid elsewhere by writing it anew, the person at the machine still can: that is added. */
function withAWayOut<T>({ placement }: Changed, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!placement || !(error instanceof InputError)) throw error;
    const { line, source, topic, further, sentence } = error;
    const words = `${sentence}; instead, ${insteadOfPlacing(placement)}`;
    throw new InputError(words, { line, source, topic }, further);
  }
}

/** Refuses what was written where it does not do what was planned. */
export function refuseOtherWork(plan: Program, readBack: Program, machine: Machine): void {
  const apart = firstDisagreement(plan, readBack, machine) ?? firstOtherOperation(plan, readBack, machine);
  if (apart === null) return;
  const { moves } = plan;
  throw new InputError(
    'found lines that could not be rewritten so that they do what was asked; expected a change that can be made by speed, power and beam words alone, so nothing was written',
    { line: moves.line[Math.min(apart, moves.count - 1)]! },
  );
}

/** Where the head goes another way, it must be known where it is. */
function refuseUnknownPlaces({ notSimulated }: Program): void {
  const word = notSimulated.find(({ severity }) => severity === 'stop');
  if (word === undefined) return;
  throw new InputError(
    `found ${word.word}, which may move the head but is not simulated; expected a job without it, so that passes, overscan, row order and place can be changed safely`,
    { line: word.lines[0] },
  );
}
