import type { Command } from 'commander';
import { finishJob } from '../../finish/finish-text.ts';
import { readSaid } from '../../outcome/say.ts';
import { addSureOption, type CheckWords, readSure } from '../checks.ts';
import { type CommandContext, EXIT } from '../context.ts';
import { about, openJobFile } from '../job-file.ts';
import { addSetupOptions, readSetup, type SetupWords } from '../setup.ts';
import { CAUTION, titled, wrap } from '../summary.ts';
import { checkGcodeFile, writtenLines } from '../write-files.ts';

interface FinishWords extends SetupWords, Pick<CheckWords, 'sure'> {
  readonly reached: string;
  readonly out: string;
}

export function addFinish(root: Command, { terminal, status }: CommandContext): void {
  addSureOption(addSetupOptions(root.command('finish').argument('<job>', 'the G-code file that was burned')))
    .description('write the job that finishes a cut which did not come through, on the same clamped board')
    .requiredOption(
      '--reached <outcome>',
      'how far it came, as in 1.6mm, "3: 90 %" of the thickness, "3: through but for 12 mm" or "3: not through"; several with a semicolon',
    )
    .requiredOption('-o, --out <file>', 'the file to write; never the job itself')
    .action((job: string, words: FinishWords) => {
      const setup = readSetup(words);
      const told = about('--reached', () => readSaid(words.reached));
      const rules = { inputs: [job, ...setup.inputs] };
      checkGcodeFile(words.out, rules);
      const { machine, material, stock, cellMm, notes } = setup;
      const text = openJobFile(job, setup);
      const options = { stock, cellMm, sure: readSure(words.sure) };
      const { changed, sentences, before } = about(job, () =>
        finishJob(text, { machine, material, options }, told),
      );
      const written = writtenLines([words.out], () => {
        text.write(changed, words.out, rules);
        return [words.out];
      });
      terminal.out(
        [
          ...sentences.flatMap((sentence) => wrap(sentence, '', '')),
          ...titled('Before it starts', before),
          ...titled('Good to know', notes),
          '',
          ...wrap(CAUTION, '', ''),
          '',
          ...written,
        ].join('\n'),
      );
      status.code = EXIT.calm;
    });
}
