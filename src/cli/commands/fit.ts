import { basename, dirname, extname, join } from 'node:path';
import type { Command } from 'commander';
import { shippedMaterials } from '../../burn/shipped.ts';
import { InputError } from '../../errors.ts';
import type { PhotoPoint } from '../../photo/photo.ts';
import { fitPicture } from '../../picture/fit-picture.ts';
import { fitSwatch } from '../../swatch/fit/fit.ts';
import { joinReadings } from '../../swatch/photo/join.ts';
import { type PhotoReading, readPhoto } from '../../swatch/photo/read.ts';
import { replaySwatch } from '../../swatch/replay.ts';
import { readSwatch } from '../../swatch/swatch.ts';
import type { CommandContext } from '../context.ts';
import { dateOf } from '../date.ts';
import { drawSvg } from '../draw-svg.ts';
import { readJson } from '../files.ts';
import { fitSummary } from '../fit-summary.ts';
import { about } from '../job-file.ts';
import { readPhotoFile } from '../photo.ts';
import { encodePng } from '../png.ts';
import { readPoints } from '../points.ts';
import { readSetup } from '../setup.ts';
import { checkOutputs, writeFiles, writtenLines } from '../write-files.ts';

/** The picture of the fit, which goes beside the profile. */
const PICTURE = 'fit.png';

interface FitWords {
  readonly swatch: string;
  readonly photo: readonly string[];
  readonly cuts?: string;
  readonly corners?: string;
  readonly white?: string;
  readonly material?: string;
  readonly date?: string;
  readonly anyway?: boolean;
  readonly output: string;
}

export function addFit(root: Command, { terminal }: CommandContext): void {
  root
    .command('fit')
    .description('fit a material to a photo of a burned swatch')
    .requiredOption('--swatch <file>', 'the .json that was written with the swatch')
    .requiredOption(
      '--photo <files...>',
      'a photo of the burned swatch, JPEG or PNG, up to 50 megapixels; several of one swatch are one fit',
    )
    .option('--cuts <numbers>', 'the cut lines that went through, as in "1 2 3"; "none" when none did')
    .option(
      '--corners <points>',
      'centres of the four marks on the photo, "x,y x,y x,y x,y" in pixels from its upper left: the mark with the hole first, then anticlockwise (default: they are found)',
    )
    .option('--white <point>', 'a place "x,y" on the photo that shows plain white paper beside the board')
    .option(
      '--material <name|file>',
      'what the wood was known as before (default: what the swatch was made for)',
    )
    .option('--anyway', 'fit even where photo and key do not seem to belong together')
    .option('--date <date>', 'the date to note in the profile (default: today)')
    .option('-o, --output <file>', 'the material profile to write; fit.png goes beside it', 'my-wood.json')
    .action(async (words: FitWords) => {
      const swatch = readSwatch(readJson(words.swatch, 'swatch'), words.swatch);
      const known = words.material ?? (swatch.chosen_for in shippedMaterials ? swatch.chosen_for : undefined);
      const setup = readSetup(known === undefined ? {} : { material: known });
      const corners = words.corners === undefined ? null : readCorners(words.corners);
      const white = words.white === undefined ? null : readPoints(words.white, '--white', 1)[0]!;
      const cuts = words.cuts === undefined ? null : readCuts(words.cuts);
      const date = dateOf(words.date);
      const [folder, profile] = [dirname(words.output), basename(words.output)];
      const rules = { inputs: [words.swatch, ...words.photo, ...setup.inputs] };
      refusePlacesOnMany(words);
      if (profile.toLowerCase() === PICTURE)
        throw new InputError(
          `found -o ${words.output}, the name of the picture that goes beside the profile; expected another, as in my-wood.json`,
        );
      checkOutputs(folder, [profile, PICTURE], rules);
      const read = words.photo.map((path) => {
        const { photo, notes } = readPhotoFile(path, 'a photo of a burned swatch');
        const reading = about(path, () => readPhoto(photo, swatch, { corners, white }));
        if (!words.anyway) about(path, () => refuseStranger(reading, words.swatch));
        return { reading, notes };
      });
      const notes = [...new Set(read.flatMap((each) => each.notes))];
      const name = basename(words.output, extname(words.output));
      const photos = words.photo.map((path) => basename(path)).join(', ');
      const fit = about(words.photo.join(', '), () => {
        const reading = joinReadings(read.map((each) => each.reading));
        const options = { base: setup.material, cuts, date, name };
        return { reading, ...fitSwatch(swatch, replaySwatch(swatch, setup.material), reading, options) };
      });
      const picture = await encodePng(fitPicture(fit, swatch, photos, drawSvg));
      const files = { [profile]: `${JSON.stringify(fit.material, null, 2)}\n`, [PICTURE]: picture };
      const written = writtenLines(
        Object.keys(files).map((each) => join(folder, each)),
        () => writeFiles(folder, files, rules).map((path) => join(path)),
      );
      terminal.out(
        [
          fitSummary(fit, swatch, fit.reading, [
            ...(words.material === undefined && known === undefined ? [UNKNOWN_BASE] : []),
            ...notes,
          ]),
          '',
          ...written,
        ].join('\n'),
      );
    });
}

/** Corners and paper are places on one photo. */
function refusePlacesOnMany({ photo, corners, white }: FitWords): void {
  const stray = corners !== undefined ? '--corners' : white !== undefined ? '--white' : null;
  if (photo.length > 1 && stray !== null)
    throw new InputError(
      `found ${stray} with ${photo.length} photos; expected one photo, whose places they are`,
    );
}

function refuseStranger({ doubts }: PhotoReading, key: string): void {
  if (doubts.length > 0) {
    throw new InputError(
      `found a photo that does not belong to ${key}: ${doubts.join('; ')}; expected the swatch that was written with this key (or say --anyway)`,
    );
  }
}

const UNKNOWN_BASE =
  'What the swatch could not tell was taken from poplar plywood, as the wood it was made for is not one that comes with Charcast; give its profile with --material.';

function readCuts(text: string): number[] {
  const words = text.trim().split(/[\s,]+/);
  if (text.trim() === '' || text.trim().toLowerCase() === 'none') return [];
  return words.map((word) => {
    if (!/^\d{1,3}$/.test(word))
      throw new InputError(
        `found ${word} in --cuts; expected numbers of cut lines, as in "1 2 3", or "none"`,
      );
    return Number(word);
  });
}

const readCorners = (text: string): PhotoPoint[] => readPoints(text, '--corners', 4);
