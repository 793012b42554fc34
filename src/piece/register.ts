import { InputError } from '../errors.ts';
import type { Forecast } from '../forecast.ts';
import { type Bounds, cornersOfBounds, type Grid, grownBounds, isEmptyBounds } from '../grid.ts';
import { homographyOf, scaleAt, scaledBy } from '../photo/homography.ts';
import { type CameraView, seenAt, straightLens } from '../photo/lens.ts';
import { type GreyImage, type Photo, type PhotoPoint, smallLuminance } from '../photo/photo.ts';
import { type Alignment, align } from './align.ts';
import type { InsideCuts } from './cut-free.ts';
import { type LogMarks, logMarksOf } from './look.ts';
import { coarser, marksOf } from './marks.ts';
import { cornersIn, isSame, LEAST_SIDE, mapToCorners, searchMarks } from './search.ts';
import { type Shown, shownOf } from './shown.ts';

/** A photo of a piece, laid on its forecast by the marks that are burned into it. */
export interface Registered {
  readonly view: CameraView;
  /** How the photo's light and the forecast's marks go together, uneven light taken off; 1: exactly. */
  readonly correlation: number;
  /** How far off a place may be, mm, as one standard uncertainty. */
  readonly plusMinusMm: number;
  /** Whether the lens could be told from the photo; else it counts as straight. */
  readonly isLensFitted: boolean;
  /** Whether the piece fits as well turned round, so that the photo was taken to be upright. */
  readonly isTakenUpright: boolean;
  readonly pxPerMm: number;
}

/** The photo is looked at in this size. */
const SEARCH_PX = 1600;
/** Cells along the marks' longer side, from coarse to fine. */
const LEVELS = [24, 48, 80, 120, 240] as const;
const FIRST_STEPS = 14;
const STEPS = 30;
const LAST_STEPS = 12;
/** Ways of lying that differ by less than this part of the longer side are one; so many of the second level's best go on. */
const ANOTHER_PART = 0.03;
const GO_ON = 6;
/** Ways of lying that fit less than this part of the best are not followed further, on the coarsest cells and on finer ones. */
const COARSE_HOPE = 0.75;
const HOPE = 0.9;
/** Ways of lying that are turned by more than this are two, not one that is more or less exact. */
const TURNED_DEG = 30;
/** Bare wood around the burn that is looked at with it, as a part of its longer side, and at most, mm. */
const MARGIN = 0.05;
const MOST_MARGIN_MM = 4;
/** Marks that go together with light less than this are not those of the job. */
const LEAST_CORRELATION = 0.5;
/** A way of lying that fits nearly as well as the best is as likely. */
const AS_GOOD = 0.97;
/** Places that are less sure than this say nothing, mm. */
const MOST_PLUS_MINUS_MM = 0.5;
/** χ² of two numbers that comes by chance once in twenty times (any table of the χ² distribution). */
const LENS_TOLD = 5.99;
/** And it matters where it moves a place by more than so many standard uncertainties of the corners (a judgement). */
const LENS_MATTERS = 2;
/** Places along either side of the burn at which that is looked for. */
const LENS_LOOKS = 7;

/** What a person points out by its corners: the board, or the box about all that is burned. */
export type CornersOf = 'board' | 'burn';

/**
 * @param points where the corners lie on the photo, px: the job's lower left first, then anticlockwise; null: found by the
 *   marks.
 * @param seenOnly of a piece that was cut free and taken out of its board, where only what cuts go round is looked at; null: all.
 * @throws {InputError} where the marks cannot be found, or tell too little.
 */
export function registerPiece(
  photo: Photo,
  forecast: Forecast,
  points: readonly PhotoPoint[] | null,
  cornersOf: CornersOf = 'board',
  seenOnly: InsideCuts | null = null,
): Registered {
  const { factor, ...grey } = smallLuminance(photo, SEARCH_PX);
  const whole = marksToFind(forecast);
  const marks = seenOnly ? within(whole, seenOnly(whole)) : whole;
  const sought = soughtOf(marks, shownOf(grey));
  const small = points?.map(([x, y]): PhotoPoint => [x / factor, y / factor]) ?? null;
  const pointedAt = cornersOf === 'burn' ? forecast.burnBounds : forecast.board;
  const starts = small === null ? foundIn(sought, grey) : givenBy(small, pointedAt, marks, grey);
  let best = starts[0]!;
  for (const cells of LEVELS.slice(points === null ? 2 : 0, -1)) {
    // Coarse cells may have led astray from corners that a person gave.
    const from = points === null || best === starts[0] ? [best] : [best, starts[0]!];
    const [first, second] = from.map((start) => alignedWith(sought, cells, start, false));
    best = second && second.correlation > (first?.correlation ?? -1) ? second : (first ?? best);
  }
  const straight = alignedWith(sought, LEVELS.at(-1)!, best, false, LAST_STEPS) ?? best;
  const bent = alignedWith(sought, LEVELS.at(-1)!, straight, true, LAST_STEPS);
  const isLensFitted = bent !== null && isLensTold(marks, forecast.burnBounds, straight, bent);
  const { corners, lens, correlation, cornerPx } = isLensFitted ? bent : straight;
  const map = mapToCorners(marks, corners)!;
  const middle = [
    marks.x0Mm + (marks.nx * marks.cellMm) / 2,
    marks.y0Mm + (marks.ny * marks.cellMm) / 2,
  ] as const;
  const pxPerMm = scaleAt(map, middle);
  const plusMinusMm = cornerPx / pxPerMm;
  if (correlation < LEAST_CORRELATION) throw notFound(points !== null);
  if (plusMinusMm > MOST_PLUS_MINUS_MM) {
    throw new InputError(
      `found marks that tell where the piece lies to ${plusMinusMm.toFixed(1)} mm only; expected ${MOST_PLUS_MINUS_MM} mm, so take the photo nearer, sharper or in more even light`,
    );
  }
  return {
    view: {
      map: scaledBy(map, factor),
      lens: {
        ...lens,
        middlePx: [photo.width / 2, photo.height / 2],
        halfDiagonalPx: lens.halfDiagonalPx * factor,
      },
    },
    correlation,
    plusMinusMm,
    isLensFitted,
    isTakenUpright: starts.length > 1,
    pxPerMm: pxPerMm * factor,
  };
}

/**
 * Whether the lens is told: its terms are beyond chance, and they move places of the burn by what matters. The first alone
 * would not do: where there are many marks it asks for next to nothing, and what blur, contrast and another wood do to marks
 * pulls all of them together, which a lens's terms take up; but that moves no place by more than its own doubt.
 */
function isLensTold(
  marks: Grid,
  { minXMm, minYMm, maxXMm, maxYMm }: Bounds,
  straight: Alignment,
  bent: Alignment,
): boolean {
  if (bent.correlation <= straight.correlation || bent.lensChiSquare <= LENS_TOLD) return false;
  const [before, after] = [straight, bent].map(
    ({ corners, lens }): CameraView => ({ map: mapToCorners(marks, corners)!, lens }),
  ) as [CameraView, CameraView];
  const parts = Array.from({ length: LENS_LOOKS }, (_, k) => k / (LENS_LOOKS - 1));
  return parts.some((right) =>
    parts.some((up) => {
      const at = [minXMm + right * (maxXMm - minXMm), minYMm + up * (maxYMm - minYMm)] as const;
      const [[x, y], [u, v]] = [seenAt(before, ...at), seenAt(after, ...at)];
      return Math.hypot(u - x, v - y) > LENS_MATTERS * straight.cornerPx;
    }),
  );
}

/** The marks of what is burned, with some bare wood around it, as finely as they are looked at. */
function marksToFind({ burn, material, board, burnBounds }: Forecast): Grid {
  if (isEmptyBounds(burnBounds))
    throw new InputError('found a job that burns nothing; expected one that was burned');
  const sideOf = ({ minXMm, minYMm, maxXMm, maxYMm }: Bounds) => Math.max(maxXMm - minXMm, maxYMm - minYMm);
  const around = grownBounds(
    burnBounds,
    Math.min(MOST_MARGIN_MM, Math.max(0.5, MARGIN * sideOf(burnBounds))),
  );
  const bounds = {
    minXMm: Math.max(around.minXMm, Math.min(board.minXMm, burnBounds.minXMm)),
    minYMm: Math.max(around.minYMm, Math.min(board.minYMm, burnBounds.minYMm)),
    maxXMm: Math.min(around.maxXMm, Math.max(board.maxXMm, burnBounds.maxXMm)),
    maxYMm: Math.min(around.maxYMm, Math.max(board.maxYMm, burnBounds.maxYMm)),
  };
  return marksOf(burn, material, bounds, Math.max(burn.frame.cellMm, sideOf(bounds) / LEVELS.at(-1)!));
}

/** The same marks, NaN where they are not inside. */
const within = (marks: Grid, isInside: Uint8Array): Grid => ({
  ...marks,
  data: marks.data.map((each, k) => (isInside[k] === 1 ? each : Number.NaN)),
});

const notFound = (isGiven: boolean): InputError =>
  new InputError(
    isGiven
      ? 'found light and dark at the given corners that are not those of the job; expected the board’s corners in pixels, the job’s lower left first, then anticlockwise, and the piece that was burned by this job'
      : `found nothing on the photo that looks like the job; expected the whole piece lying in its board, from above, sharp, evenly lit, along at least ${100 * LEAST_SIDE} % of the photo’s longer side; or give the board’s corners with --photo-points`,
  );

/** The ways of lying that fit, the best first; a second one only where it fits as well. */
function foundIn(sought: Sought, grey: GreyImage): Alignment[] {
  const lens = straightLens(grey);
  const starts = searchMarks(sought.marks, sought.shown).map(({ corners }) => ({ corners, lens }));
  const coarse = alignedAll(sought, LEVELS[0], starts, COARSE_HOPE);
  const hopeful = coarse.filter(({ correlation }) => correlation >= COARSE_HOPE * coarse[0]!.correlation);
  const first = alignedAll(sought, LEVELS[1], apartOf(hopeful), HOPE);
  const second = alignedAll(sought, LEVELS[2], apartOf(first).slice(0, GO_ON), AS_GOOD, STEPS);
  const best = second[0];
  if (!best || best.correlation < LEAST_CORRELATION) throw notFound(false);
  const ways: Alignment[] = [];
  for (const each of second)
    if (
      each.correlation >= AS_GOOD * best.correlation &&
      !ways.some((other) => turnBetween(each, other) < TURNED_DEG)
    )
      ways.push(each);
  return ways.toSorted((a, b) => Math.abs(turnOf(a)) - Math.abs(turnOf(b)));
}

/** Each laid anew, the best first; none is followed further once it will not come to this part of the best so far. */
function alignedAll(
  sought: Sought,
  cells: number,
  starts: readonly Pick<Alignment, 'corners' | 'lens'>[],
  part: number,
  steps = FIRST_STEPS,
): Alignment[] {
  let most = LEAST_CORRELATION;
  const aligned: Alignment[] = [];
  for (const start of starts) {
    const each = alignedWith(sought, cells, start, false, steps, part * most);
    if (each === null) continue;
    most = Math.max(most, each.correlation);
    aligned.push(each);
  }
  return aligned.sort((a, b) => b.correlation - a.correlation);
}

/** Those that are ways of lying of their own. */
function apartOf(ways: readonly Alignment[]): Alignment[] {
  const apart: Alignment[] = [];
  for (const each of ways)
    if (!apart.some((other) => isSame(each.corners, other.corners, ANOTHER_PART))) apart.push(each);
  return apart;
}

/** Which way the job's x points on the photo: 0 to the right, anticlockwise, −180 to 180. */
function turnOf({ corners }: Alignment): number {
  const [x, y] = [corners[1]![0] - corners[0]![0], corners[1]![1] - corners[0]![1]];
  return (Math.atan2(-y, x) * 180) / Math.PI;
}

function turnBetween(a: Alignment, b: Alignment): number {
  const turn = Math.abs(turnOf(a) - turnOf(b));
  return Math.min(turn, 360 - turn);
}

function givenBy(points: readonly PhotoPoint[], bounds: Bounds, marks: Grid, grey: GreyImage): Alignment[] {
  const outside = points.find(([x, y]) => !(x >= 0 && y >= 0 && x <= grey.width + 1 && y <= grey.height + 1));
  const map = homographyOf(cornersOfBounds(bounds), points);
  if (outside || !map)
    throw new InputError(
      'found corners that do not span a board on the photo; expected the board’s four corners in pixels, the job’s lower left first, then anticlockwise',
    );
  const corners = cornersIn(marks, map);
  return [
    {
      corners,
      lens: straightLens(grey),
      correlation: 0,
      cornerPx: Infinity,
      lensChiSquare: 0,
    },
  ];
}

/** Marks and the photo that they are sought on. */
interface Sought {
  readonly marks: Grid;
  readonly shown: Shown;
  /** The marks on cells so many along their longer side. */
  readonly level: (cells: number) => LogMarks;
}

function soughtOf(marks: Grid, shown: Shown): Sought {
  const made = new Map<number, LogMarks>();
  const level = (cells: number): LogMarks => {
    const times = Math.max(1, Math.round(Math.max(marks.nx, marks.ny) / cells));
    const known = made.get(times) ?? logMarksOf(times > 1 ? coarser(marks, times) : marks);
    made.set(times, known);
    return known;
  };
  return { marks, shown, level };
}

/** The marks laid anew on cells so many along their longer side; null where that leads nowhere. */
function alignedWith(
  { marks, shown, level }: Sought,
  cells: number,
  start: Pick<Alignment, 'corners' | 'lens'>,
  withLens: boolean,
  steps = STEPS,
  goal = 0,
): Alignment | null {
  const own = level(cells);
  const map = mapToCorners(marks, start.corners);
  if (!map) return null;
  const corners = cornersIn(own.frame, map);
  const aligned = align(own, shown, { corners, lens: start.lens }, { steps, withLens, goal });
  const back = aligned && mapToCorners(own.frame, aligned.corners);
  return back ? { ...aligned!, corners: cornersIn(marks, back) } : null;
}
