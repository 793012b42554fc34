import { OUTLINE_PLUS_MINUS_MM, type Spot, type Stock } from '../board.ts';
import { InputError } from '../errors.ts';
import { greatestOf } from '../lists.ts';
import { inverted, mapped } from '../photo/homography.ts';
import { nearestCode } from '../photo/photo.ts';
import { type Polygon, polygonBounds } from '../polygon.ts';
import { type FlatPhoto, planOver } from './flatten.ts';
import { fallBetween, findOutline } from './outline.ts';

/** How a board looks from straight above: sRGB, 3 bytes a pixel, row 0 at the front. */
export interface BoardFace {
  readonly x0Mm: number;
  readonly y0Mm: number;
  readonly stepMm: number;
  readonly nx: number;
  readonly ny: number;
  readonly rgb: Uint8Array;
  /** Where the wood ends; beyond it is the bed. */
  readonly outline: Polygon;
}

/** A person's own board: what it is for a forecast, and how it looks. */
export interface OwnBoard {
  readonly stock: Stock;
  readonly face: BoardFace;
}

/** What is known of a board beside its photo. */
export interface BoardGivens {
  /** A place of it that is wood, in the job's coordinates, mm; where the job burns, say. */
  readonly onMm: readonly [number, number];
  readonly thicknessMm: number | null;
  readonly thicknessPlusMinusMm?: number | null;
  readonly avoid: readonly Spot[];
}

/** Pixels of a face at most: a tenth of a millimetre on a board of 200 × 200 mm. */
const FACE_PIXELS = 4_000_000;

/**
 * Finds a board on a flat photo, and how it looks.
 * @throws {InputError} where it is not found.
 */
export const ownBoard = (flat: FlatPhoto, givens: BoardGivens): OwnBoard =>
  boardWithin(
    flat,
    findOutline(flat.photo, flat.at(givens.thicknessMm ?? 0), givens.onMm, flat.at(0)),
    givens,
  );

/** A board whose outline is known, and how it looks on the photo. */
export function boardWithin(flat: FlatPhoto, outline: Polygon, givens: Omit<BoardGivens, 'onMm'>): OwnBoard {
  const plain = outline.map(([x, y]) => [hundredth(x), hundredth(y)] as const);
  const { thicknessMm } = givens;
  const cameraMm = thicknessMm === null ? 0 : flat.doubtMm(thicknessMm, plain);
  const doubtMm = Math.hypot(edgeDoubtMm(flat, plain, thicknessMm ?? 0), cameraMm);
  return { stock: stockWithin(plain, doubtMm, givens), face: faceOf(flat, plain, thicknessMm ?? 0) };
}

/**
 * How far an edge may be found beside its place: so many pixels, and so much of what is seen of the board's sides, whose lower
 * edge may be taken for the upper one at a corner. On 92 rendered photos of 700 to 1800 pixels, slanting by 23° to 41°, on
 * dark and bright beds, of boards of 4 to 12 mm, 91 were within that.
 */
const EDGE_PIXELS = 2.2;
const EDGE_PART_OF_SIDE = 0.42;

function edgeDoubtMm({ at }: FlatPhoto, outline: Polygon, heightMm: number): number {
  const upper = at(heightMm);
  const back = inverted(upper);
  const fallAt = fallBetween(upper, at(0));
  const most = greatestOf(
    outline.flatMap((from, k) => {
      const to = outline[(k + 1) % outline.length]!;
      const [x, y] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
      const [u, v] = mapped(upper, [x, y]);
      const pixels = [
        [u + 1, v],
        [u, v + 1],
      ].map((next) => {
        const [s, t] = mapped(back, next as [number, number]);
        return EDGE_PIXELS * Math.hypot(s - x, t - y);
      });
      // Outward is to the right of the way round.
      const [fallX, fallY] = fallAt([x, y]);
      const length = Math.max(1e-9, Math.hypot(to[0] - from[0], to[1] - from[1]));
      const seenMm = (fallX * (to[1] - from[1]) - fallY * (to[0] - from[0])) / length;
      return [...pixels, EDGE_PART_OF_SIDE * seenMm];
    }),
  );
  return Math.max(OUTLINE_PLUS_MINUS_MM, most);
}

const hundredth = (mm: number): number => Math.round(mm * 100) / 100;

/** The board as a forecast takes it: its outline, and the rectangle around that. */
function stockWithin(outline: Polygon, doubtMm: number, givens: Omit<BoardGivens, 'onMm'>): Stock {
  const { minXMm, minYMm, maxXMm, maxYMm } = polygonBounds(outline);
  return {
    widthMm: hundredth(maxXMm - minXMm),
    heightMm: hundredth(maxYMm - minYMm),
    thicknessMm: givens.thicknessMm,
    thicknessPlusMinusMm: givens.thicknessPlusMinusMm ?? null,
    xMm: minXMm,
    yMm: minYMm,
    outline,
    outlinePlusMinusMm: hundredth(doubtMm),
    ...(givens.avoid.length > 0 ? { avoid: givens.avoid } : {}),
  };
}

/** How a board of this outline looks from above. */
function faceOf(flat: FlatPhoto, outline: Polygon, heightMm: number): BoardFace {
  const plan = planOver(flat.photo, flat.at(heightMm), polygonBounds(outline), FACE_PIXELS);
  const { light, ...frame } = plan;
  const rgb = new Uint8Array(light.length);
  for (let k = 0; k < rgb.length; k++) rgb[k] = nearestCode(light[k]!);
  return { ...frame, rgb, outline };
}

/** Where nothing burns no board can be looked for. */
export const burnsNothing = (): InputError =>
  new InputError(
    'found a job that burns nothing; expected one, since the board is looked for where it burns',
  );
