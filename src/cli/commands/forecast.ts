import { basename, extname, join } from 'node:path';
import type { Command } from 'commander';
import { jobRow, ROW_HEADINGS } from '../../compare/job-row.ts';
import type { ToneWish } from '../../compare/tone-wish.ts';
import type { DosingWish } from '../../dosing/dose-job.ts';
import { InputError } from '../../errors.ts';
import { type Checks, type Forecast, forecast } from '../../forecast.ts';
import { addAll, greatestOf } from '../../lists.ts';
import type { BoardFace } from '../../own-board/own-board.ts';
import type { TextSource } from '../../program/read.ts';
import { reportOf } from '../../report.ts';
import { addBoardOptions, type BoardWords, layBoard } from '../board.ts';
import { addChangeOptions, type ChangeWords, forecastWith, readAllChanges } from '../changes.ts';
import { addCheckOptions, type CheckWords, readChecks } from '../checks.ts';
import { type CommandContext, EXIT, type Terminal } from '../context.ts';
import { addDosingOptions, asksForDosing, type DosingWords, forecastDosed, readDosing } from '../dosing.ts';
import { readChunks } from '../files.ts';
import {
  type Besides,
  leftFromBefore,
  outputNames,
  outputsOf,
  PAGE,
  pageOf,
  timedReport,
} from '../outputs.ts';
import { addSetupOptions, readSetup, type Setup, type SetupWords } from '../setup.ts';
import { CAUTION, summaryOf, titled, wrap } from '../summary.ts';
import { checkOutputs, writeFiles } from '../write-files.ts';

interface ForecastWords extends SetupWords, CheckWords, ChangeWords, DosingWords, BoardWords {
  readonly out?: string;
  readonly html?: boolean;
  readonly json?: boolean;
  readonly cool?: boolean;
  readonly howSure?: boolean;
}

export function addForecast(root: Command, { terminal, status }: CommandContext): void {
  const command = root
    .command('forecast')
    .argument('<jobs...>', 'the G-code file; of several a table is printed');
  addBoardOptions(addDosingOptions(addChangeOptions(addCheckOptions(addSetupOptions(command)))))
    .description('replay a job and show what it will burn')
    .option(
      '--out <dir>',
      'folder for burn.png, dose.png, report.json, dose.npy and warmth.npy (default: JOB-forecast, none with --json)',
    )
    .option('--html', 'also write report.html: one file with everything in it, to send to a friend')
    .option(
      '--cool',
      'leave out the heat that stays in the wood and repeated firing: every place counts as fired once, cool',
    )
    .option(
      '--how-sure',
      'also write sure.png: a map of where the tone is not known well, and where cuts may not come through',
    )
    .option('--json', 'print the report as JSON instead of the summary')
    .action(async (jobs: string[], words: ForecastWords) => {
      if (jobs.length > 1) {
        status.code = await forecastSeveral(jobs, words, terminal);
        return;
      }
      const job = jobs[0]!;
      const startedMs = performance.now();
      const { setup, face } = layBoard(words, readSetup(words), () => readChunks(job), readAllChanges(words));
      const dosing = readDosing(words);
      const folder = words.out ?? (words.json ? null : `${basename(job, extname(job))}-forecast`);
      const inputs = [job, ...setup.inputs, ...dosing.inputs];
      if (folder !== null)
        checkOutputs(
          folder,
          [...outputNames(!words.cool, words.howSure ?? false), ...(words.html ? [PAGE] : [])],
          {
            inputs,
          },
        );
      const { made, wish } = forecastAsked(job, words, setup, dosing);
      const { json = false, html = false } = words;
      status.code = await tell(
        { made, name: basename(job), startedMs, assumed: setup.notes, wish, face },
        folder === null ? null : { folder, inputs, html, howSure: words.howSure },
        json,
        terminal,
      );
    });
}

/** A forecast, and what its rows were meant to look like, where their S was set for it. */
interface Asked {
  readonly made: Forecast;
  readonly wish: ToneWish | null;
}

/** The forecast of a job with all that is asked of it. */
function forecastAsked(job: string, words: ForecastWords, setup: Setup, dosing: DosingWish): Asked {
  const changes = readAllChanges(words);
  const checks = readChecks(words);
  if (asksForDosing(words)) {
    const asked = { setup, changes, wish: dosing };
    const { made, dosed } = forecastDosed(job, asked, { ...checks, cool: words.cool ?? false });
    return { made, wish: dosed.tones };
  }
  const base = forecastFile(readChunks(job), job, setup, checks, words.cool);
  return { made: forecastWith(base, changes, setup), wish: null };
}

/** One job of several as it came out: its forecast, or why there is none. */
interface Outcome {
  readonly job: string;
  readonly made: Forecast | null;
  readonly wish: ToneWish | null;
  readonly refusal: string | null;
}

/**
 * Prints a table of several jobs; with `--out` each gets a folder of its own there. A job that cannot be read has its
 * reason below the table, and the others go on.
 * @returns the worst exit status among them.
 */
async function forecastSeveral(
  jobs: readonly string[],
  words: ForecastWords,
  terminal: Terminal,
): Promise<number> {
  if (words.board !== undefined)
    throw new InputError(
      'found --board with several jobs; expected one job, since the board is looked for under it',
    );
  const { setup } = layBoard(words, readSetup(words), () => '', []);
  const dosing = readDosing(words);
  const inputs = [...jobs, ...setup.inputs, ...dosing.inputs];
  const folders = jobs.map((job) =>
    words.out === undefined ? null : join(words.out, basename(job, extname(job))),
  );
  refuseSameFolder(folders);
  const outcomes: Outcome[] = [];
  const written: string[] = [];
  const left: string[] = [];
  for (const [k, job] of jobs.entries()) {
    const startedMs = performance.now();
    try {
      const { made, wish } = forecastAsked(job, words, setup, dosing);
      const folder = folders[k]!;
      if (folder) {
        const { files } = await outputsOf(made, basename(job), startedMs, { howSure: words.howSure, wish });
        const page = words.html ? { [PAGE]: await pageOf(made, basename(job), files) } : {};
        const paths = writeFiles(folder, { ...files, ...page }, { inputs });
        addAll(written, paths);
        const before = leftFromBefore(folder, paths);
        if (before) left.push(before);
      }
      outcomes.push({ job, made, wish, refusal: null });
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      outcomes.push({ job, made: null, wish: null, refusal: error.from(job).toString() });
    }
  }
  if (words.json) terminal.out(JSON.stringify(outcomes.map(jsonOf), null, 2));
  else
    terminal.out(
      [
        ...tableLines(outcomes),
        ...(written.length > 0 ? ['', `Written: ${written.join(', ')}`] : []),
        ...left,
      ].join('\n'),
    );
  const isWarned = outcomes.some(({ made }) => made && jobRow(made).isWarned);
  return outcomes.some(({ made }) => made === null) ? EXIT.failed : isWarned ? EXIT.warned : EXIT.calm;
}

const jsonOf = ({ job, made, wish, refusal }: Outcome) => ({
  job,
  report: made && reportOf(made, wish),
  ...(refusal ? { refusal } : {}),
});

/** Two jobs of one name would write over each other. */
function refuseSameFolder(folders: readonly (string | null)[]): void {
  const twice = folders.find((folder, k) => folder !== null && folders.indexOf(folder) !== k);
  if (twice)
    throw new InputError(`found two jobs that would both be written to ${twice}; expected different names`);
}

/** The table: a job a line, the columns as wide as what stands in them. */
function tableLines(outcomes: readonly Outcome[]): string[] {
  const headings = ['job', ...Object.values(ROW_HEADINGS)];
  const rows = outcomes.map(({ job, made }) => {
    if (!made) return [job, 'could not be forecast'];
    const { time, size, comesThrough, findings } = jobRow(made);
    return [job, time, size, comesThrough, findings];
  });
  const all = [headings, ...rows];
  const widths = headings.map((_, k) =>
    greatestOf(all.filter((row) => row.length > 2).map((row) => row[k]!.length)),
  );
  const line = (row: readonly string[]) =>
    row
      .map((cell, k) => cell.padEnd(widths[k]!))
      .join('  ')
      .trimEnd();
  const refusals = outcomes.flatMap(({ refusal }) => (refusal === null ? [] : [refusal]));
  return [...all.map(line), ...titled('Could not be forecast', refusals), '', ...wrap(CAUTION, '', '')];
}

/** Forecasts a job whose errors should name `source`. */
export function forecastFile(
  text: TextSource,
  source: string,
  setup: Setup,
  checks: Checks = {},
  cool = false,
): Forecast {
  try {
    const { machine, material, stock, cellMm, feedMmPerS, bedIsAssumed, notes } = setup;
    const options = { stock, cellMm, feedMmPerS, cool, bedIsAssumed: bedIsAssumed ?? false, ...checks };
    const made = forecast(text, machine, material, options);
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
  readonly wish?: Besides['wish'];
  /** A photo of the board, in the place of drawn wood. */
  readonly face?: BoardFace | null;
}

/** Where a forecast's files go, whether as a page too, and the inputs they must not replace. */
interface Place {
  readonly folder: string;
  readonly inputs: readonly string[];
  readonly html: boolean;
  /** Whether the map of how sure it is goes there too. */
  readonly howSure?: boolean | undefined;
}

/** Writes a forecast's files (unless `place` is null) and says what it found; returns the exit status. */
export async function tell(
  { made, name, startedMs, assumed, wish = null, face = null }: Told,
  place: Place | null,
  json: boolean,
  terminal: Terminal,
): Promise<number> {
  const outputs = place && (await outputsOf(made, name, startedMs, { howSure: place.howSure, wish, face }));
  const page = place?.html && outputs ? { [PAGE]: await pageOf(made, name, outputs.files, face) } : {};
  const written = place && outputs ? writeFiles(place.folder, { ...outputs.files, ...page }, place) : [];
  if (json) terminal.out(JSON.stringify(outputs?.report ?? timedReport(made, startedMs, wish), null, 2));
  else {
    terminal.out(summaryOf(made, name, assumed));
    if (written.length > 0) terminal.out(`\nWritten: ${written.join(', ')}`);
    const left = place && leftFromBefore(place.folder, written);
    if (left) terminal.out(left);
  }
  return made.findings.some((finding) => finding.severity !== 'note') ? EXIT.warned : EXIT.calm;
}
