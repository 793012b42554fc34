import { InputError } from '../errors.ts';
import type { Forecast } from '../forecast.ts';
import { areaMm2, frameOver, type GridFrame } from '../grid.ts';
import { leastOf } from '../lists.ts';
import { refuseUnknownOptions } from '../options.ts';
import { refuseUselessPhoto } from '../photo/exposure.ts';
import { flattened } from '../photo/flatten.ts';
import type { Photo, PhotoPoint } from '../photo/photo.ts';
import { type Areas, areasOf } from './areas.ts';
import { type InsideCuts, isOnTable, startInsideCuts } from './cut-free.ts';
import { type DarkerSeen, darkerSeen, differenceOf } from './darker.ts';
import { type EvenLight, evenLight } from './even-light.ts';
import { type CornersOf, type Registered, registerPiece } from './register.ts';
import { type ToneSeen, tonesSeen } from './tones.ts';

/** A photo of a burned piece, laid on its forecast, its light evened, and read. */
export interface PieceReading {
  readonly registered: Registered;
  /** The cells the photo was made flat on, over the board. */
  readonly frame: GridFrame;
  readonly even: EvenLight;
  readonly tones: readonly ToneSeen[];
  /** L* of the forecast, as blurred as the photo is, less that of the photo, cell by cell; 0 where the photo ends. */
  readonly darkerL: Float32Array;
  /** The same of each operation that shows alone, cuts left out. */
  readonly darker: readonly DarkerSeen[];
  /** What the photo does not tell, and what else is to be said of it; plain sentences. */
  readonly notes: readonly string[];
}

export interface ReadPieceOptions {
  /** Where the board's corners lie on the photo, px: the job's lower left first, then anticlockwise; default: found. */
  readonly points?: readonly PhotoPoint[] | null;
  /** Whose corners these are: the board's, or those of the box about all that is burned; default: the board's. */
  readonly cornersOf?: CornersOf;
}

/** A piece that goes together with its forecast less than this may lie alone on a table, cut free of its board. */
const SURE_CORRELATION = 0.8;
/** Below this a photo shows no tone of anything. */
const LEAST_PX_PER_MM = 2;
/** A line of the photo's own blur stays within so many of its pixels of its place. */
const BLUR_PX = 2.5;
const LEAST_REACH_MM = 0.15;
/** The flat photo has at most so many cells. */
const MOST_CELLS = 1_500_000;

/**
 * Reads a photo of the piece that a job has burned.
 * @param forecast of the job as it was burned.
 * @throws {InputError} one plain sentence where the photo cannot be laid on the forecast, or tells too little.
 */
export function readPiece(photo: Photo, forecast: Forecast, options: ReadPieceOptions = {}): PieceReading {
  refuseUnknownOptions(options, { points: true, cornersOf: true }, 'readPiece');
  refuseUselessPhoto(photo);
  return readingOf(forecast, laidOn(photo, forecast, options));
}

/** Laid in its board, or alone where that goes together better. */
function laidOn(photo: Photo, forecast: Forecast, options: ReadPieceOptions): Laid {
  const insideCuts = startInsideCuts(forecast);
  const inBoard = attempt(() => lay(photo, forecast, options, insideCuts, false));
  const isFit =
    inBoard.made && !inBoard.made.isOnTable && inBoard.made.registered.correlation >= SURE_CORRELATION;
  if (isFit) return inBoard.made;
  const alone = insideCuts && attempt(() => lay(photo, forecast, options, insideCuts, true));
  if (alone?.made && (alone.made.isOnTable || !inBoard.made)) return alone.made;
  if (!inBoard.made) throw inBoard.error;
  if (!inBoard.made.isOnTable) return inBoard.made;
  throw new InputError(
    'found a piece that lies alone, cut free of its board, whose own marks do not tell where it lies; expected it laid back in its board; or give the board’s corners with --photo-points',
  );
}

/** What a piece of work makes, or the sentence by which it refuses. */
function attempt<T>(work: () => T): { made: T; error: null } | { made: null; error: InputError } {
  try {
    return { made: work(), error: null };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { made: null, error };
  }
}

/** A photo laid on its forecast and made flat: ways of lying are tried, and one of them is read. */
interface Laid extends Pick<PieceReading, 'registered' | 'frame' | 'even'> {
  readonly areas: Areas;
  readonly isLyingAlone: boolean;
  readonly isOnTable: boolean;
}

/** @param isLyingAlone cut free of its board, so that only what cuts go round is looked at. */
function lay(
  photo: Photo,
  forecast: Forecast,
  { points = null, cornersOf }: ReadPieceOptions,
  insideCuts: InsideCuts | null,
  isLyingAlone: boolean,
): Laid {
  const registered = registerPiece(photo, forecast, points, cornersOf, isLyingAlone ? insideCuts : null);
  const { view, pxPerMm } = registered;
  if (pxPerMm < LEAST_PX_PER_MM)
    throw new InputError(
      `found ${pxPerMm.toFixed(1)} pixels per mm of the piece; expected at least ${LEAST_PX_PER_MM}, so go nearer or use a finer photo`,
    );
  const frame = frameFor(forecast, pxPerMm);
  const areas = areasOf(forecast, frame, LEAST_REACH_MM + BLUR_PX / pxPerMm + registered.plusMinusMm);
  const flat = flattened(photo, view, frame, pxPerMm);
  const isInside = insideCuts?.(frame) ?? null;
  const isSeen = isLyingAlone ? isInside : null;
  const even = evenLight(
    flat,
    isSeen ? areas.isBare.map((bare, k) => bare & isSeen[k]!) : areas.isBare,
    isSeen,
  );
  return {
    registered,
    frame,
    areas,
    even,
    isLyingAlone,
    isOnTable: isInside !== null && isOnTable(flat, areas.isBare, isInside),
  };
}

function readingOf(forecast: Forecast, { registered, frame, areas, even, isLyingAlone }: Laid): PieceReading {
  const cuts = new Set(forecast.cuts.map(({ operation }) => operation));
  const tones = tonesSeen(forecast, frame, areas, even, cuts);
  const difference = differenceOf(forecast, frame, even);
  return {
    registered,
    frame,
    even,
    tones,
    darkerL: difference.darkerL,
    darker: darkerSeen(difference, frame, areas, forecast.material, cuts),
    notes: [
      ...(isLyingAlone
        ? [
            'The piece lies alone, cut free of its board: it was laid on the forecast by the marks within its outline, and nothing beside it was looked at.',
          ]
        : []),
      ...notesOf(forecast, registered, tones, cuts),
    ],
  };
}

function frameFor({ board, burn }: Forecast, pxPerMm: number): GridFrame {
  return frameOver(board, Math.max(burn.frame.cellMm, 1 / pxPerMm, Math.sqrt(areaMm2(board) / MOST_CELLS)));
}

function notesOf(
  { program }: Forecast,
  { isTakenUpright, isLensFitted }: Registered,
  tones: readonly ToneSeen[],
  cuts: ReadonlySet<number>,
): string[] {
  const untold = program.operations
    .map(({ n }) => n)
    .filter((n) => !cuts.has(n) && !tones.some(({ operation }) => operation === n));
  return [
    isTakenUpright
      ? 'The job’s marks fit the photo as well the other way round; it was taken to be upright. Give the board’s corners with --photo-points if it is not.'
      : null,
    isLensFitted ? 'The photo’s lens bends straight lines; that was taken out.' : null,
    untold.length > 0
      ? `The photo does not tell the tone of operation ${untold.join(', ')}: other marks lie too near, too little of it shows, or it is as dark as char gets.`
      : null,
    cuts.size > 0
      ? `A photo from above does not tell whether cuts came through; say it with --say, as in "${leastOf([...cuts])}: through".`
      : null,
  ].filter((note) => note !== null);
}
