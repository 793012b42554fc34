import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { basename, dirname, extname, join } from 'node:path';
import type { Command } from 'commander';
import { InputError } from '../../errors.ts';
import type { Forecast } from '../../forecast.ts';
import type { Lesson } from '../../outcome/learn.ts';
import { emptyNotebook, type Notebook, readNotebook } from '../../outcome/notebook.ts';
import { readSaid } from '../../outcome/say.ts';
import { type ToldBurn, tellBurn } from '../../outcome/tell.ts';
import { KEPT_ALONE } from '../../outcome/words.ts';
import type { PhotoPoint } from '../../photo/photo.ts';
import { piecePicture } from '../../picture/piece-picture.ts';
import { darkerSentence } from '../../piece/darker.ts';
import { readPiece } from '../../piece/read-piece.ts';
import { CHANGE_HELP, forecastWith, readChanges } from '../changes.ts';
import { type CommandContext, EXIT } from '../context.ts';
import { dateOf } from '../date.ts';
import { drawSvg } from '../draw-svg.ts';
import { readChunks, readJson } from '../files.ts';
import { about } from '../job-file.ts';
import { readPhotoFile } from '../photo.ts';
import { encodePng } from '../png.ts';
import { readPoints } from '../points.ts';
import { addSetupOptions, readSetup, type SetupWords } from '../setup.ts';
import { titled, wrap } from '../summary.ts';
import { checkOutputFile, writeFile, writtenLines } from '../write-files.ts';
import { forecastFile } from './forecast.ts';

interface LearnWords extends SetupWords {
  readonly say?: string;
  readonly photo?: string;
  readonly photoPoints?: string;
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
    .option(
      '--say <outcome>',
      'how it turned out, as in "3: 1.6mm; 1: darker": through, not through, a depth, through but for 12 mm, as forecast, lighter, darker, much darker, tone 60 %, corners dark',
    )
    .option(
      '--photo <file>',
      'a photo of the piece lying in its board, from above, JPEG or PNG: its tones are read by the job’s own marks; a picture of forecast and photo goes beside the profile',
    )
    .option(
      '--photo-points <points>',
      'the board’s corners on that photo, "x,y x,y x,y x,y" in pixels from its upper left: the job’s lower left first, then anticlockwise (default: the piece is found by its marks)',
    )
    .option('--change <settings>', `the settings it was burned with, where they were changed: ${CHANGE_HELP}`)
    .requiredOption(
      '-o, --out <file>',
      'the wood’s profile to write, with its history; not written where nothing of what was told is believed',
    )
    .option(
      '--machine-out <file>',
      'also write the machine’s profile with what was learned of power and spot',
    )
    .option('--notebook <file>', 'also note the burn in this notebook, which is begun if there is none')
    .option('--picture <file>', 'a picture of the piece, to be named in the notebook')
    .option('--date <date>', 'the date to note (default: today)')
    .action(async (job: string, words: LearnWords) => {
      const setup = readSetup(words);
      refuseNothingTold(words);
      const told = words.say === undefined ? [] : about('--say', () => readSaid(words.say!));
      const points =
        words.photoPoints === undefined ? null : readPoints(words.photoPoints, '--photo-points', 4);
      const changes = readChanges('--change', words.change);
      const date = dateOf(words.date);
      const shown = words.photo === undefined ? undefined : pictureBeside(words.out);
      const rules = { inputs: [job, ...setup.inputs, ...(words.photo === undefined ? [] : [words.photo])] };
      const outputs = [words.out, words.machineOut, words.notebook, shown].filter(
        (path) => path !== undefined,
      );
      if (new Set(outputs).size < outputs.length)
        throw new InputError('found one file for two outputs; expected a name for each');
      for (const path of outputs) checkOutputFile(path, rules);
      const notebook = words.notebook === undefined ? null : openNotebook(words.notebook);
      const made = forecastWith(forecastFile(readChunks(job), job, setup), changes, setup);
      if (words.photo !== undefined)
        terminal.wait(`Looking for the piece on ${words.photo}; that takes up to half a minute.`);
      const piece = words.photo === undefined ? null : readPieceFile(words.photo, made, points);
      const burn = { date, job: basename(job), jobHash: hashOf(job) };
      const lesson = about(job, () =>
        tellBurn(made, told, burn, {
          name: basename(words.out, extname(words.out)),
          machineName: words.machineOut === undefined ? null : made.machine.name,
          picture: words.picture ?? words.photo ?? null,
          cellMm: setup.cellMm,
          photo: piece?.reading.tones ?? [],
        }),
      );
      const picture = piece && (await encodePng(piecePicture(made, piece.reading, basename(job), drawSvg)));
      const profiles = profilesOf(lesson, words);
      const written = writtenLines(
        // A notebook grows and loses nothing.
        [...profiles.keys(), ...(shown === undefined ? [] : [shown])],
        () => {
          const files = new Map(profiles);
          if (notebook !== null) files.set(words.notebook!, jsonOf(withBurn(notebook, lesson)));
          const paths = [...files].map(([path, content]) => writeFile(path, content, rules));
          if (picture !== null && shown !== undefined) paths.push(writeFile(shown, picture, rules));
          return paths.map((path) => join(dirname(path), basename(path)));
        },
      );
      terminal.out(
        [
          ...wrap(lesson.sentence, '', ''),
          ...remarksOf(lesson, words).flatMap((remark) => wrap(remark, '', '')),
          ...titled('On the photo', [...lesson.seen, ...(piece?.reading.darker ?? []).map(darkerSentence)]),
          ...titled('Cuts of this job, forecast with what was learned', lesson.cuts),
          ...titled('Good to know', [
            ...(piece?.notes ?? []),
            ...setup.notes,
            ...machineNote(words, made, lesson),
          ]),
          ...(written.length > 0 ? ['', ...written] : []),
        ].join('\n'),
      );
      const isDoubtful = lesson.isContradictory || lesson.odd.length > 0 || lesson.overruled.length > 0;
      status.code = isDoubtful ? EXIT.warned : EXIT.calm;
    });
}

function refuseNothingTold({ say, photo, photoPoints }: LearnWords): void {
  if (say === undefined && photo === undefined)
    throw new InputError(
      'found neither --say nor --photo; expected how the burn turned out, as in --say "1: darker"',
    );
  if (photo === undefined && photoPoints !== undefined)
    throw new InputError('found --photo-points without --photo; expected the photo they are places on');
}

/** The picture of forecast and photo: beside the profile, by its name. */
const pictureBeside = (profile: string): string =>
  join(dirname(profile), `${basename(profile, extname(profile))}-photo.png`);

function readPieceFile(path: string, made: Forecast, points: readonly PhotoPoint[] | null) {
  const { photo, notes } = readPhotoFile(path, 'a photo of the burned piece');
  const reading = about(path, () => readPiece(photo, made, { points }));
  return { reading, notes: [...reading.notes, ...notes] };
}

/** What to write where: none where no number of a profile would be another, which nobody asked for. */
function profilesOf(
  { isUnchanged, material, machine }: ToldBurn,
  { out, machineOut }: LearnWords,
): Map<string, string> {
  if (isUnchanged) return new Map();
  const wood = [[out, jsonOf(material)]] as const;
  return new Map(machineOut === undefined ? wood : [...wood, [machineOut, jsonOf(machine)]]);
}

const withBurn = (notebook: Notebook, { entry, isUnchanged }: ToldBurn): Notebook => ({
  ...notebook,
  entries: [...notebook.entries, { ...entry, learned_as: isUnchanged ? null : entry.learned_as }],
});

/** What is said beside what was learned; where no profile is written, that instead of what it would keep. */
function remarksOf({ remarks, isUnchanged }: Lesson, { out, machineOut }: LearnWords): string[] {
  if (!isUnchanged) return [...remarks];
  const files = machineOut === undefined ? `${out} was` : `${out} and ${machineOut} were`;
  return [
    `${files} not written: no number of them would be another.`,
    ...remarks.filter((each) => each !== KEPT_ALONE),
  ];
}

function machineNote(
  { machineOut }: LearnWords,
  { machine }: Forecast,
  { isContradictory, isUnchanged }: Lesson,
): string[] {
  if (isUnchanged) return [];
  if (machineOut === undefined)
    return [`The wood is told for ${machine.name} as its profile stands; use the two together.`];
  return isContradictory
    ? ['The machine’s profile was written with the numbers it had: nothing of them changed.']
    : ['The wood is told for the machine’s new profile; use the two together.'];
}

function openNotebook(path: string): Notebook {
  return existsSync(path) ? readNotebook(readJson(path, 'notebook'), path) : emptyNotebook();
}

function hashOf(job: string): string {
  const hash = createHash('sha256');
  for (const chunk of readChunks(job)) hash.update(chunk, 'latin1');
  return hash.digest('hex').slice(0, 16);
}

const jsonOf = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`;
