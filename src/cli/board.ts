import { type Command, Option } from 'commander';
import { jobBounds, outlinePlusMinusMm } from '../board.ts';
import type { Change } from '../change/change.ts';
import { changeProgram } from '../change/change-program.ts';
import { InputError } from '../errors.ts';
import { aboutWords, MUCH_DOUBT_MM } from '../findings/near-edge.ts';
import { readOptions } from '../forecast.ts';
import { isEmptyBounds, middleOf } from '../grid.ts';
import { flattened } from '../own-board/flatten.ts';
import { type BoardFace, burnsNothing, ownBoard } from '../own-board/own-board.ts';
import { POINTS_EXPECTED, readPoints } from '../own-board/points.ts';
import { readSpots } from '../own-board/spots.ts';
import { readProgram, type TextSource } from '../program/read.ts';
import { numberWords } from '../words.ts';
import { about } from './job-file.ts';
import { readPhotoFile } from './photo.ts';
import type { Setup } from './setup.ts';

/** What the options say of a person's own board. */
export interface BoardWords {
  readonly board?: string;
  readonly boardPoints?: string;
  readonly thickness?: string;
  readonly avoid?: string;
}

export const addBoardOptions = (command: Command): Command =>
  command
    .addOption(
      new Option(
        '--board <photo>',
        'a photo of your own board on the bed: its outline, and the wood the burn is painted on',
      ),
    )
    .addOption(
      new Option(
        '--board-points <points>',
        'four points of the photo and where they lie on the bed, as in "120,1390=0,0; 1830,1400=200,0; 1815,80=200,150; 130,95=0,150", or the corners of a sheet of paper, as in "a4 at 220,0: 100,900; 830,910; 815,80; 130,70"',
      ),
    )
    .addOption(
      new Option(
        '--thickness <mm>',
        'how thick the board on the photo is, as in 4, or 4~0.1 if that is known to 0.1',
      ),
    )
    .addOption(
      new Option(
        '--avoid <spots>',
        'places to keep off, knots and holes, as X,Y,RADIUS in mm: "40,25,6; 90,60,4"',
      ),
    );

/** The setup with the board that was photographed, and how that looks; null: drawn wood. */
export interface Laid {
  readonly setup: Setup;
  readonly face: BoardFace | null;
}

/**
 * Lays a person's own board under the job, where its photo is given, and marks what the burn should keep off.
 * @param job its text, read once more for where it burns: the board is looked for around the middle of that.
 * @throws {InputError} that says what is missing.
 */
export function layBoard(
  words: BoardWords,
  setup: Setup,
  job: () => TextSource,
  changes: readonly Change[],
): Laid {
  const avoid = words.avoid === undefined ? [] : about('--avoid', () => readSpots(words.avoid!));
  if (words.board === undefined) {
    const alone = words.boardPoints === undefined ? words.thickness && '--thickness' : '--board-points';
    if (alone) throw new InputError(`found ${alone} without --board; expected a photo of the board with it`);
    if (avoid.length > 0 && !setup.stock)
      throw new InputError('found --avoid without a board; expected --stock or --board with it');
    return {
      setup: setup.stock
        ? { ...setup, stock: avoid.length > 0 ? { ...setup.stock, avoid } : setup.stock }
        : setup,
      face: null,
    };
  }
  if (words.boardPoints === undefined)
    throw new InputError(
      `found --board without --board-points, so that the photo cannot be made flat; expected ${POINTS_EXPECTED}`,
    );
  const points = about('--board-points', () => readPoints(words.boardPoints!));
  const [thicknessMm, thicknessPlusMinusMm] = readThickness(words.thickness) ?? [
    setup.stock?.thicknessMm ?? null,
    setup.stock?.thicknessPlusMinusMm ?? null,
  ];
  const onMm = middleOfBurn(setup, job, changes);
  const { photo } = readPhotoFile(words.board, 'a photo of the board');
  const flat = about('--board-points', () => flattened(photo, points));
  const { stock, face } = about(words.board, () =>
    ownBoard(flat, { onMm, thicknessMm, thicknessPlusMinusMm, avoid }),
  );
  const doubtMm = outlinePlusMinusMm(stock);
  const cameraMm = thicknessMm === null ? 0 : flat.doubtMm(thicknessMm, stock.outline ?? []);
  const said =
    `The board was found on the photo: ${numberWords(stock.widthMm, 4)} × ${numberWords(stock.heightMm, 4)} mm ` +
    `with its lower left at ${numberWords(stock.xMm, 4)}, ${numberWords(stock.yMm, 4)}. Its outline is known to ${aboutWords(doubtMm)}; ` +
    'look at burn.png whether it is right.';
  const notes = [
    said,
    ...(setup.stock ? ['The size and place of --stock were left out: the photo says them.'] : []),
    ...(thicknessMm === null
      ? [
          'How thick the board is was not said: its upper side was taken to lie as low as the points. Give it with --thickness.',
        ]
      : []),
    ...(doubtMm < MUCH_DOUBT_MM ? [] : [cameraMm >= MUCH_OF_CAMERA_MM ? WHERE_FROM : FINER]),
  ];
  return {
    setup: { ...setup, stock, inputs: [...setup.inputs, words.board], notes: [...setup.notes, ...notes] },
    face,
  };
}

/** With so much doubt about the camera alone an outline is no longer known to half a millimetre, mm. */
const MUCH_OF_CAMERA_MM = 0.4;
const FINER =
  'A finer photo tells it better: from nearer or with more pixels, and at a slant of no more than 15° or so, where less of the board’s sides is seen.';
const WHERE_FROM =
  'Where the camera stood does not show well enough on this photo, so that it is not known how far the upper side of the board is seen ' +
  'beside its place: photograph it at a slant of 15° or so, and hand over the whole photo, not a part cut out of it.';

/** The middle of what the job burns, changed as it will be. */
function middleOfBurn(
  { machine, feedMmPerS }: Setup,
  job: () => TextSource,
  changes: readonly Change[],
): [number, number] {
  const program = readProgram(job(), readOptions(machine, feedMmPerS));
  const changed = changes.length > 0 ? changeProgram(program, changes, machine) : program;
  const { burn } = jobBounds(changed, machine.laser.fires_on_rapids);
  if (isEmptyBounds(burn)) throw burnsNothing();
  return middleOf(burn);
}

const THICKNESS = /^(\d+(?:\.\d+)?|\.\d+) ?(?:mm)?(?: ?~ ?(\d+(?:\.\d+)?|\.\d+) ?(?:mm)?)?$/;

function readThickness(text: string | undefined): [number, number | null] | null {
  if (text === undefined) return null;
  const [, thick, known] = THICKNESS.exec(text.trim()) ?? [];
  const [mm, plusMinusMm] = [Number(thick ?? 0), known === undefined ? null : Number(known)];
  if (!(mm > 0 && mm <= 1000) || (plusMinusMm ?? 0) > mm)
    throw new InputError(
      `found --thickness ${text}; expected how thick the board is in mm, as in 4 or 4~0.1`,
    );
  return [mm, plusMinusMm];
}
