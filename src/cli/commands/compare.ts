import { basename, extname } from 'node:path';
import type { Command } from 'commander';
import { guessNote } from '../../burn/guesses.ts';
import { numbersBefore } from '../../change/change.ts';
import { changesWords } from '../../change/grammar.ts';
import { compareWeighed, weigh } from '../../compare/compare.ts';
import type { DosingWish } from '../../dosing/dose-job.ts';
import type { TrueTones } from '../../dosing/true-tones.ts';
import { wishBurn } from '../../dosing/wish-burn.ts';
import { InputError } from '../../errors.ts';
import type { Forecast } from '../../forecast.ts';
import type { Bounds } from '../../grid.ts';
import { reportPage } from '../../page/report-page.tsx';
import { comparePicture } from '../../picture/compare-picture.ts';
import { tonePathOf } from '../../picture/tone.ts';
import { reportOf } from '../../report.ts';
import { CHANGE_HELP, forecastWith, readChanges } from '../changes.ts';
import { comparedLines } from '../compare-words.ts';
import type { CommandContext } from '../context.ts';
import { EXIT } from '../context.ts';
import { addDosingOptions, asksForDosing, type DosingWords, forecastDosed, readDosing } from '../dosing.ts';
import { drawSvg } from '../draw-svg.ts';
import { readChunks } from '../files.ts';
import { dataUri, toldOnPage } from '../outputs.ts';
import { encodePng } from '../png.ts';
import { addSetupOptions, readSetup, type Setup, type SetupWords } from '../setup.ts';
import { CAUTION } from '../summary.ts';
import { checkOutputs, writeFiles } from '../write-files.ts';
import { forecastFile } from './forecast.ts';

interface CompareWords extends SetupWords, DosingWords {
  readonly a?: string;
  readonly b?: string;
  readonly out?: string;
  readonly json?: boolean;
}

/** One of the two: what it is called, and its forecast. */
interface Side {
  readonly name: string;
  readonly made: Forecast;
  /** The numbers its operations have in the job, where some are left out; null: their own. */
  readonly numbers: readonly number[] | null;
  /** What its rows were meant to look like, where their S was set for it. */
  readonly tones?: TrueTones | null;
}

export function addCompare(root: Command, { terminal, status }: CommandContext): void {
  addDosingOptions(
    addSetupOptions(
      root.command('compare').argument('<job>', 'a G-code file').argument('[job-b]', 'another one'),
    ),
  )
    .description(
      'forecast two jobs, or one job with two settings, and show them side by side; --even and --true-tones go for the second',
    )
    .option('--a <settings>', CHANGE_HELP)
    .option('--b <settings>', 'the same, for the second')
    .option('--out <dir>', 'folder for compare.png, compare.json and report.html (default: JOB-compared)')
    .option('--json', 'print the comparison as JSON instead of the table')
    .action(async (job: string, jobB: string | undefined, words: CompareWords) => {
      const setup = readSetup(words);
      const folder = words.out ?? `${basename(job, extname(job))}-compared`;
      const dosing = readDosing(words);
      const rules = {
        inputs: [job, ...(jobB === undefined ? [] : [jobB]), ...setup.inputs, ...dosing.inputs],
      };
      checkOutputs(folder, ['compare.png', 'compare.json', 'report.html'], rules);
      const [a, b] = sidesOf(job, jobB, words, setup, asksForDosing(words) ? dosing : null);
      // What A is off by is told of the same job with the same settings only.
      const tones = jobB === undefined && words.a === words.b ? (b.tones ?? null) : null;
      const offBy = tones && { a: tones.before, b: tones.after };
      const comparison = compareWeighed(weigh(a.made, a.numbers), weigh(b.made, b.numbers), offBy);
      const title = jobB === undefined ? `${basename(job)}, two settings` : `${a.name} and ${b.name}`;
      const picture = await encodePng(pictureOf(a, b, title));
      const data = {
        a: { name: a.name, ...comparison.a, report: reportOf(a.made) },
        b: { name: b.name, ...comparison.b, report: reportOf(b.made, b.tones) },
        gone: comparison.gone,
        come: comparison.come,
        cuts: comparison.cuts,
        tones: comparison.tones,
        unsure: comparison.unsure,
      };
      const page = reportPage({
        title,
        told: await Promise.all([a, b].map(({ name, made }) => toldOnPage(name, made))),
        comparison,
        pictures: [
          {
            dataUri: dataUri(picture),
            alt: 'Both burns on the same board, and the difference in tone between them',
            caption: `A: ${a.name}. B: ${b.name}. Both at one scale and in one tone map; the map shows where B is darker or paler.${b.tones ? ' Before them, what the rows of B are meant to look like.' : ''}`,
          },
        ],
        caution: CAUTION,
      });
      const json = `${JSON.stringify(data, null, 2)}\n`;
      const written = writeFiles(
        folder,
        { 'compare.png': picture, 'compare.json': json, 'report.html': page },
        rules,
      );
      if (words.json) terminal.out(json.trimEnd());
      else {
        terminal.out(comparedLines(comparison, a.name, b.name).join('\n'));
        terminal.out(`\nWritten: ${written.join(', ')}`);
      }
      const warned = [a, b].some(({ made }) => made.findings.some(({ severity }) => severity !== 'note'));
      status.code = warned ? EXIT.warned : EXIT.calm;
    });
}

function sidesOf(
  job: string,
  jobB: string | undefined,
  words: CompareWords,
  setup: Setup,
  dosing: DosingWish | null,
): [Side, Side] {
  const [changesA, changesB] = [readChanges('--a', words.a), readChanges('--b', words.b)];
  if (jobB === undefined && changesA.length === 0 && changesB.length === 0 && !dosing) {
    throw new InputError(
      'found one job and no changes; expected a second job, settings with --a or --b, --even or --true-tones',
    );
  }
  const nameOf = (path: string, done: readonly string[]): string =>
    [...(jobB === undefined ? [] : [basename(path)]), ...done].join(', ') || 'as it is';
  const side = (path: string, base: Forecast, changes: typeof changesA): Side => ({
    name: nameOf(path, changes.length > 0 ? [changesWords(changes)] : []),
    made: forecastWith(base, changes, setup),
    numbers: numbersBefore(base.program, changes),
  });
  const baseA = forecastFile(readChunks(job), job, setup);
  if (dosing) {
    const path = jobB ?? job;
    const asItIs = jobB === undefined && changesB.length === 0 ? baseA : null;
    const { made, dosed } = forecastDosed(path, { setup, changes: changesB, wish: dosing }, {}, asItIs);
    const done = [
      ...(changesB.length > 0 ? [changesWords(changesB)] : []),
      ...(dosing.tones ? ['tones true'] : []),
      ...(dosing.even ? ['lines even'] : []),
    ];
    const numbers = jobB === undefined ? numbersBefore(baseA.program, changesB) : null;
    return [side(job, baseA, changesA), { name: nameOf(path, done), made, numbers, tones: dosed.tones }];
  }
  const baseB = jobB === undefined ? baseA : forecastFile(readChunks(jobB), jobB, setup);
  return [side(job, baseA, changesA), side(jobB ?? job, baseB, changesB)];
}

/** Both burns on a board that holds both. */
function pictureOf(a: Side, b: Side, title: string) {
  const { material, stock } = a.made;
  const options = {
    stock: unionOf(a.made.board, b.made.board),
    stockThicknessMm: stock?.thicknessMm ?? null,
    title,
    nameA: a.name,
    nameB: b.name,
    guess: guessNote(material),
    tonePath: tonePathOf(material),
    wish: b.tones ? wishBurn(b.tones, b.made.burn, material) : null,
  };
  return comparePicture(a.made.burn, b.made.burn, options, drawSvg);
}

const unionOf = (a: Bounds, b: Bounds): Bounds => ({
  minXMm: Math.min(a.minXMm, b.minXMm),
  minYMm: Math.min(a.minYMm, b.minYMm),
  maxXMm: Math.max(a.maxXMm, b.maxXMm),
  maxYMm: Math.max(a.maxYMm, b.maxYMm),
});
