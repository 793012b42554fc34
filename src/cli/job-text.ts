import { changeLines, writeChanged } from '../change/adjust-text.ts';
import type { Change } from '../change/change.ts';
import type { Changed } from '../change/changed.ts';
import { type LineTable, readLines } from '../change/line-table.ts';
import { withFeed } from '../change/write-feed.ts';
import { InputError } from '../errors.ts';
import { readOptions } from '../forecast.ts';
import type { Program } from '../program/program.ts';
import { readTwice } from './files.ts';
import type { Setup } from './setup.ts';
import { type OutputRules, writeFile } from './write-files.ts';

/** A job that is read once, and once more when it is written changed. Errors name its file. */
export interface JobText {
  readonly table: LineTable;
  change(changes: readonly Change[]): Changed;
  /** The text of a changed job, piece by piece. @returns what it reads as. */
  rewrite(changed: Changed, sink: (piece: string) => void): Program;
  write(changed: Changed, path: string, rules: OutputRules): void;
}

/** Opens a job; what is written of it carries the feed of `--feed`, as everything else is written into it. */
export function openJob(job: string, { machine, feedMmPerS }: Setup): JobText {
  const source = readTwice(job);
  const whole = (pieces: Iterable<string>) => withFeed(pieces, readOptions(machine, feedMmPerS));
  const table = about(job, () => readLines(whole(source.chunks), readOptions(machine)));
  const rewrite = (changed: Changed, sink: (piece: string) => void): Program =>
    about(job, () => writeChanged(Array.from(whole(source.again())), table, changed, machine, sink));
  return {
    table,
    rewrite,
    change: (changes) => about(job, () => changeLines(table, changes, machine)),
    write(changed, path, rules) {
      const content = (sink: (piece: Uint8Array) => void) =>
        void rewrite(changed, (piece) => sink(Buffer.from(piece, 'latin1')));
      writeFile(path, content, rules);
    },
  };
}

/** Work whose errors are about `source`. */
export function about<T>(source: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw error instanceof InputError ? error.from(source) : error;
  }
}
