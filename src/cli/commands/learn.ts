import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { basename, dirname, extname, join } from 'node:path';
import type { Command } from 'commander';
import { InputError } from '../../errors.ts';
import type { Forecast } from '../../forecast.ts';
import { emptyNotebook, type Notebook, readNotebook } from '../../outcome/notebook.ts';
import { readSaid } from '../../outcome/say.ts';
import { tellBurn } from '../../outcome/tell.ts';
import { CHANGE_HELP, forecastWith, readChanges } from '../changes.ts';
import { type CommandContext, EXIT } from '../context.ts';
import { dateOf } from '../date.ts';
import { readChunks, readJson } from '../files.ts';
import { about } from '../job-file.ts';
import { addSetupOptions, readSetup, type SetupWords } from '../setup.ts';
import { titled, wrap } from '../summary.ts';
import { checkOutputFile, writeFile } from '../write-files.ts';
import { forecastFile } from './forecast.ts';

interface LearnWords extends SetupWords {
  readonly say: string;
  readonly change?: string;
  readonly out: string;
  readonly machineOut?: string;
  readonly notebook?: string;
  readonly picture?: string;
  readonly date?: string;
}

export function addLearn(root: Command, { terminal, status }: CommandContext): void {
  addSetupOptions(root.command('learn').argument('<job>', 'the G-code file that was burned'))
    .description('tell how a burn turned out, and let wood and machine learn from it')
    .requiredOption(
      '--say <outcome>',
      'how it turned out, as in "3: 1.6mm; 1: darker": through, not through, a depth, through but for 12 mm, as forecast, lighter, darker, much darker, tone 60 %, corners dark',
    )
    .option('--change <settings>', `the settings it was burned with, where they were changed: ${CHANGE_HELP}`)
    .requiredOption('-o, --out <file>', 'the wood’s profile to write, with its history')
    .option(
      '--machine-out <file>',
      'also write the machine’s profile with what was learned of power and spot',
    )
    .option('--notebook <file>', 'also note the burn in this notebook, which is begun if there is none')
    .option('--picture <file>', 'a picture of the piece, to be named in the notebook')
    .option('--date <date>', 'the date to note (default: today)')
    .action((job: string, words: LearnWords) => {
      const setup = readSetup(words);
      const told = about('--say', () => readSaid(words.say));
      const changes = readChanges('--change', words.change);
      const date = dateOf(words.date);
      const rules = { inputs: [job, ...setup.inputs] };
      const outputs = [words.out, words.machineOut, words.notebook].filter((path) => path !== undefined);
      if (new Set(outputs).size < outputs.length)
        throw new InputError('found one file for two outputs; expected a name for each');
      for (const path of outputs) checkOutputFile(path, rules);
      const notebook = words.notebook === undefined ? null : openNotebook(words.notebook);
      const made = forecastWith(forecastFile(readChunks(job), job, setup), changes, setup);
      const burn = { date, job: basename(job), jobHash: hashOf(job) };
      const lesson = about(job, () =>
        tellBurn(made, told, burn, {
          name: basename(words.out, extname(words.out)),
          machineName: words.machineOut === undefined ? null : made.machine.name,
          picture: words.picture ?? null,
          cellMm: setup.cellMm,
        }),
      );
      const written = [writeFile(words.out, jsonOf(lesson.material), rules)];
      if (words.machineOut !== undefined)
        written.push(writeFile(words.machineOut, jsonOf(lesson.machine), rules));
      if (notebook !== null) {
        const noted: Notebook = { ...notebook, entries: [...notebook.entries, lesson.entry] };
        written.push(writeFile(words.notebook!, jsonOf(noted), rules));
      }
      terminal.out(
        [
          ...wrap(lesson.sentence, '', ''),
          ...lesson.remarks.flatMap((remark) => wrap(remark, '', '')),
          ...titled('Cuts of this job, forecast with what was learned', lesson.cuts),
          ...titled('Good to know', [...setup.notes, ...machineNote(words, made)]),
          '',
          `Written: ${written.map((path) => join(dirname(path), basename(path))).join(', ')}`,
        ].join('\n'),
      );
      status.code = lesson.isContradictory ? EXIT.warned : EXIT.calm;
    });
}

const machineNote = ({ machineOut }: LearnWords, { machine }: Forecast): string[] =>
  machineOut === undefined
    ? [`The wood is told for ${machine.name} as its profile stands; use the two together.`]
    : ['The wood is told for the machine’s new profile; use the two together.'];

function openNotebook(path: string): Notebook {
  return existsSync(path) ? readNotebook(readJson(path, 'notebook'), path) : emptyNotebook();
}

function hashOf(job: string): string {
  const hash = createHash('sha256');
  for (const chunk of readChunks(job)) hash.update(chunk, 'latin1');
  return hash.digest('hex').slice(0, 16);
}

const jsonOf = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`;
