import { basename } from 'node:path';
import type { Command } from 'commander';
import { adjustText } from '../../change/adjust-text.ts';
import type { Change } from '../../change/change.ts';
import { changesWords } from '../../change/grammar.ts';
import { compareForecasts } from '../../compare/compare.ts';
import { InputError } from '../../errors.ts';
import { advisedChanges, CHANGE_HELP, forecastWith, readChanges } from '../changes.ts';
import { comparedLines } from '../compare-words.ts';
import { keeping, readChunks } from '../files.ts';
import { EXIT } from '../run.ts';
import { addSetupOptions, readSetup, type SetupWords } from '../setup.ts';
import { checkOutputFile, writeFile } from '../write-files.ts';
import { forecastFile } from './forecast.ts';
import type { CommandContext } from './index.ts';

/** The engine holds no text much longer than this. */
const MOST_BYTES = 500e6;

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
      const pieces: string[] = [];
      const base = forecastFile(keeping(readChunks(job, MOST_BYTES), pieces), job, setup);
      const text = pieces.join('');
      // What was asked for stands above what is advised.
      const changes: Change[] = [...(words.advised ? advisedChanges(base) : []), ...asked];
      if (changes.length === 0) {
        terminal.out('The findings advise no change of settings; nothing was written.');
        return;
      }
      const changed = about(job, () => forecastWith(base, changes, setup));
      const written = about(job, () => adjustText(text, changes, setup.machine, changed.program));
      writeFile(words.out, Buffer.from(written, 'latin1'), rules);
      terminal.out(`Changed: ${changesWords(changes)}.\n`);
      terminal.out(
        comparedLines(compareForecasts(base, changed), basename(job), basename(words.out)).join('\n'),
      );
      terminal.out(`\nWritten: ${words.out}`);
      status.code = changed.findings.some(({ severity }) => severity !== 'note') ? EXIT.warned : EXIT.calm;
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
