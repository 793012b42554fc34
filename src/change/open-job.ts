import { readOptions } from '../forecast.ts';
import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
import type { Change } from './change.ts';
import type { Changed } from './changed.ts';
import type { Sink } from './job-writer.ts';
import { type LineTable, readLines } from './line-table.ts';
import { changeLines, writeChanged } from './write-changed.ts';
import { withFeed } from './write-feed.ts';

/** A job whose lines are known, to be written changed as often as is asked. */
export interface OpenJob {
  readonly table: LineTable;
  /** @throws {InputError} where a change cannot be made safely. */
  change(changes: readonly Change[]): Changed;
  /**
   * Writes a changed job, piece by piece.
   * @returns the program as what was written reads.
   * @throws {InputError} where that is not the changed program: then what was written must not be kept.
   */
  rewrite(changed: Changed, sink: Sink): Program;
}

/**
 * Opens a job that is read once for its lines, and once more each time it is written.
 * @param pieces the job's text each time it is asked for, one character for each byte (ISO 8859-1).
 * @param feedMmPerS the feed of moves that have none; it is written where it is wanted.
 */
export function openJob(
  pieces: () => Iterable<string>,
  machine: Machine,
  feedMmPerS: number | null = null,
): OpenJob {
  const whole = () => withFeed(pieces(), readOptions(machine, feedMmPerS));
  const table = readLines(whole(), readOptions(machine));
  return {
    table,
    change: (changes) => changeLines(table, changes, machine),
    rewrite: (changed, sink) => writeChanged(Array.from(whole()), table, changed, machine, sink),
  };
}

/** The text of a changed job. @throws {InputError} as its `rewrite`. */
export function textOf(job: OpenJob, changed: Changed): string {
  const written: string[] = [];
  job.rewrite(changed, (piece) => written.push(piece));
  return written.join('');
}
