import { basename, extname } from 'node:path';
import type { Command } from 'commander';
import { InputError } from '../../errors.ts';
import { type Checks, type Forecast, forecast } from '../../forecast.ts';
import type { TextSource } from '../../program/read.ts';
import { addChangeOptions, type ChangeWords, forecastWith, readAllChanges } from '../changes.ts';
import { addCheckOptions, type CheckWords, readChecks } from '../checks.ts';
import { type CommandContext, EXIT, type Terminal } from '../context.ts';
import { readChunks } from '../files.ts';
import { outputNames, outputsOf, pageOf } from '../outputs.ts';
import { addSetupOptions, readSetup, type Setup, type SetupWords } from '../setup.ts';
import { summaryOf } from '../summary.ts';
import { checkOutputs, writeFiles } from '../write-files.ts';

/** The page that `--html` asks for. */
const PAGE = 'report.html';

interface ForecastWords extends SetupWords, CheckWords, ChangeWords {
  readonly out?: string;
  readonly html?: boolean;
  readonly json?: boolean;
  readonly warmth?: boolean;
}

export function addForecast(root: Command, { terminal, status }: CommandContext): void {
  addChangeOptions(
    addCheckOptions(addSetupOptions(root.command('forecast').argument('<job>', 'the G-code file'))),
  )
    .description('replay a job and show what it will burn')
    .option(
      '--out <dir>',
      'folder for burn.png, dose.png, report.json and dose.npy (default: JOB-forecast, none with --json)',
    )
    .option('--html', 'also write report.html: one file with everything in it, to send to a friend')
    .option(
      '--warmth',
      'follow the heat that stays in the wood, count repeated firing, and also write warmth.npy',
    )
    .option('--json', 'print the report as JSON instead of the summary')
    .action(async (job: string, words: ForecastWords) => {
      const startedMs = performance.now();
      const setup = readSetup(words);
      const changes = readAllChanges(words);
      const folder = words.out ?? (words.json ? null : `${basename(job, extname(job))}-forecast`);
      const inputs = [job, ...setup.inputs];
      if (folder !== null)
        checkOutputs(folder, [...outputNames(words.warmth ?? false), ...(words.html ? [PAGE] : [])], {
          inputs,
        });
      const base = forecastFile(readChunks(job), job, setup, readChecks(words), words.warmth);
      const made = forecastWith(base, changes, setup);
      const { json = false, html = false } = words;
      status.code = await tell(
        { made, name: basename(job), startedMs, assumed: setup.notes },
        folder === null ? null : { folder, inputs, html },
        json,
        terminal,
      );
    });
}

/** Forecasts a job whose errors should name `source`. */
export function forecastFile(
  text: TextSource,
  source: string,
  setup: Setup,
  checks: Checks = {},
  warmth = false,
): Forecast {
  try {
    const { machine, material, stock, cellMm, feedMmPerS, notes } = setup;
    const made = forecast(text, machine, material, { stock, cellMm, feedMmPerS, warmth, ...checks });
    return { ...made, notes: [...notes, ...made.notes] };
  } catch (error) {
    throw error instanceof InputError ? error.from(source) : error;
  }
}

/** A forecast to be told: what the job is called, when work on it began, and what was assumed for it. */
interface Told {
  readonly made: Forecast;
  readonly name: string;
  readonly startedMs: number;
  readonly assumed: readonly string[];
}

/** Where a forecast's files go, whether as a page too, and the inputs they must not replace. */
interface Place {
  readonly folder: string;
  readonly inputs: readonly string[];
  readonly html: boolean;
}

/** Writes a forecast's files (unless `place` is null) and says what it found; returns the exit status. */
export async function tell(
  { made, name, startedMs, assumed }: Told,
  place: Place | null,
  json: boolean,
  terminal: Terminal,
): Promise<number> {
  const { report, files } = await outputsOf(made, name, startedMs);
  const page = place?.html ? { [PAGE]: await pageOf(made, name, files['burn.png'], files['dose.png']) } : {};
  const written = place ? writeFiles(place.folder, { ...files, ...page }, place) : [];
  if (json) terminal.out(JSON.stringify(report, null, 2));
  else {
    terminal.out(summaryOf(made, name, assumed));
    if (written.length > 0) terminal.out(`\nWritten: ${written.join(', ')}`);
  }
  return made.findings.some((finding) => finding.severity !== 'note') ? EXIT.warned : EXIT.calm;
}
