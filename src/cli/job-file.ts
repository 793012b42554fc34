import type { Changed } from '../change/changed.ts';
import { type OpenJob, openJob } from '../change/open-job.ts';
import { InputError } from '../errors.ts';
import { readAgain } from './files.ts';
import type { Setup } from './setup.ts';
import { type OutputRules, writeFile } from './write-files.ts';

/** A job in a file. Errors name the file. */
interface JobFile extends OpenJob {
  write(changed: Changed, path: string, rules: OutputRules): void;
}

/** Opens a job; what is written of it carries the feed of `--feed`, as everything else is written into it. */
export function openJobFile(job: string, { machine, feedMmPerS }: Setup): JobFile {
  const pieces = readAgain(job);
  const open = about(job, () => openJob(pieces, machine, feedMmPerS));
  const rewrite: OpenJob['rewrite'] = (changed, sink) => about(job, () => open.rewrite(changed, sink));
  return {
    table: open.table,
    rewrite,
    change: (changes) => about(job, () => open.change(changes)),
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
