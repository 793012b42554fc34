import { basename } from 'node:path';
import type { Command } from 'commander';
import { changeLines, writeChanged } from '../../change/adjust-text.ts';
import type { Change } from '../../change/change.ts';
import { changesWords } from '../../change/grammar.ts';
import { readLines } from '../../change/line-table.ts';
import { withFeed } from '../../change/write-feed.ts';
import { compareWeighed, weigh } from '../../compare/compare.ts';
import { InputError } from '../../errors.ts';
import { forecastProgram, readOptions } from '../../forecast.ts';
import type { Program } from '../../program/program.ts';
import { advisedChanges, CHANGE_HELP, readChanges } from '../changes.ts';
import { comparedLines } from '../compare-words.ts';
import { readTwice } from '../files.ts';
import { EXIT } from '../run.ts';
import { addSetupOptions, readSetup, type SetupWords } from '../setup.ts';
import { checkOutputFile, writeFile } from '../write-files.ts';
import type { CommandContext } from './index.ts';

interface AdjustWords extends SetupWords {
  readonly change?: string;
  readonly advised?: boolean;
  readonly out: string;
}

export function addAdjust(root: Command, { terminal, status }: CommandContext): void {
  addSetupOptions(root.command('adjust').argument('<job>', 'the G-code file'))
    .description(
      'write the job anew with changed settings: only the words that must change, every other byte kept',
    )
    .option('--change <settings>', CHANGE_HELP)
    .option('--advised', 'make the changes that the findings advise')
    .requiredOption('-o, --out <file>', 'the file to write; never the job itself')
    .action((job: string, words: AdjustWords) => {
      const setup = readSetup(words);
      const asked = readChanges('--change', words.change);
      if (asked.length === 0 && !words.advised) {
        throw new InputError('found nothing to change; expected --change with settings, or --advised');
      }
      const rules = { inputs: [job, ...setup.inputs] };
      checkOutputFile(words.out, rules);
      const { machine, material, ...options } = setup;
      const source = readTwice(job);
      // What is written carries the feed of --feed, as everything else is written into it.
      const whole = (pieces: Iterable<string>) => withFeed(pieces, readOptions(machine, setup.feedMmPerS));
      const table = about(job, () => readLines(whole(source.chunks), readOptions(machine)));
      // Each forecast goes when it has been weighed: those of a large job are large.
      const foretell = (program: Program) => {
        const made = about(job, () => forecastProgram(program, machine, material, options));
        const warns = made.findings.some(({ severity }) => severity !== 'note');
        return { weighed: weigh(made), warns, advised: words.advised ? advisedChanges(made) : [] };
      };
      const before = foretell(table.program);
      // What was asked for stands above what is advised.
      const changes: Change[] = [...before.advised, ...asked];
      if (changes.length === 0) {
        terminal.out('The findings advise no change of settings; nothing was written.');
        return;
      }
      const changed = about(job, () => changeLines(table, changes, machine));
      const after = foretell(changed.program);
      const write = (sink: (piece: Uint8Array) => void) =>
        about(job, () =>
          writeChanged(Array.from(whole(source.again())), table, changed, machine, (piece) =>
            sink(Buffer.from(piece, 'latin1')),
          ),
        );
      writeFile(words.out, write, rules);
      const comparison = compareWeighed(before.weighed, after.weighed);
      terminal.out(`Changed: ${changesWords(changes)}.\n`);
      terminal.out(comparedLines(comparison, basename(job), basename(words.out)).join('\n'));
      terminal.out(`\nWritten: ${words.out}`);
      status.code = after.warns ? EXIT.warned : EXIT.calm;
    });
}

/** Work whose errors are about `source`. */
function about<T>(source: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw error instanceof InputError ? error.from(source) : error;
  }
}
