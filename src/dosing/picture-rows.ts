import type { Material } from '../burn/material.ts';
import type { Changed } from '../change/changed.ts';
import { InputError } from '../errors.ts';
import { lineEnergies } from '../findings/evidence/line-energy.ts';
import { measureRows, type RowLines } from '../findings/evidence/row-lines.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import { planMotion } from '../motion/plan.ts';
import type { Photo } from '../photo/photo.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import { burnedBounds, type LaidPicture, layPicture } from './laid-picture.ts';
import { cutsOfMove } from './pieces.ts';
import { splitMoves } from './split.ts';
import { lightnessOf, type ToneEnds } from './wish.ts';

/** Rows of fewer levels are drawn in flat tones; their S is a setting, not a picture. A judgement. */
const FEWEST_LEVELS = 8;
/** How finely rows are cut where the head's speed changes (`Fineness`). */
const WITHIN = 0.15;
const SHORTEST_SPOTS = 0.3;

/** What is wished of a job's rows. */
export interface Wish {
  /** Between which parts of the way to char the picture is to lie. */
  readonly ends: ToneEnds;
  /** The picture that the rows are meant to show; null: their S says how dark each place is meant. */
  readonly photo: Photo | null;
}

/** A strip of the picture: one move of a row, and what it is meant to become. */
export interface Strips {
  /** By move, the lightness meant; NaN for all that is no part of a picture. */
  readonly wishedL: Float64Array;
  /** By move, how far rows lie apart there, and how long the strip is, mm. */
  readonly widthMm: Float64Array;
  readonly lengthMm: Float64Array;
  /** By the number of their operation, how its rows lie. */
  readonly rows: ReadonlyMap<number, RowLines & { readonly spacingMm: number }>;
}

/** The rows that are pictures, cut so that each piece can have a power of its own. */
interface PictureRows {
  readonly split: Changed;
  readonly strips: Strips;
  readonly operations: readonly Operation[];
}

/** @throws {InputError} where no rows are a picture, or the one laid over them is white. */
export function pictureRows(
  changed: Changed,
  machine: Machine,
  material: Material,
  { ends, photo }: Wish,
): PictureRows {
  const { program } = changed;
  const operations = picturesOf(program, photo);
  const laid =
    photo && layPicture(photo, burnedBounds(program.moves, operations, rowMm(program, operations)));
  const split = splitRows(changed, operations, machine, laid);
  return { split, strips: stripsOf(split.program, operations, material, ends, laid), operations };
}

/** What is no darker than this is white paper. */
const NO_MARK = 0.001;

/** Whether a job has rows that are a picture by the levels of their S. */
export const hasPicture = (program: Program): boolean =>
  !program.followsSpeed && program.operations.some((each) => levelsOf(program, each) >= FEWEST_LEVELS);

/** Whether a job has rows, over which a picture can be laid. */
export const hasRows = (program: Program): boolean =>
  !program.followsSpeed && program.operations.some(({ kind }) => kind === 'rows');

/** The operations that are pictures: rows of many levels, or any rows where the picture is at hand. */
function picturesOf(program: Program, photo: Photo | null): Operation[] {
  const rows = program.operations.filter(({ kind }) => kind === 'rows');
  const many = rows.filter((each) => levelsOf(program, each) >= FEWEST_LEVELS);
  const pictures = many.length === 0 && photo ? rows : many;
  if (pictures.length > 0) return pictures;
  throw new InputError(
    photo
      ? 'found no rows in the job; expected a picture burned in rows'
      : `found no rows of ${FEWEST_LEVELS} levels of S or more; expected a picture burned in rows, whose S says how dark it is meant`,
  );
}

/** How far the rows of pictures lie apart, mm: the widest; 0 where there are no neighbours. */
const rowMm = (program: Program, pictures: readonly Operation[]): number =>
  pictures.reduce((most, each) => Math.max(most, measureRows(program, each)?.spacingMm ?? 0), 0);

/** How many different S an operation of rows burns with. */
function levelsOf({ moves }: Program, operation: Operation): number {
  if (operation.kind !== 'rows') return 0;
  const levels = new Set<number>();
  for (let k = operation.firstMove; k <= operation.lastMove && levels.size < FEWEST_LEVELS; k++)
    if (burnsAtFeed(moves, k)) levels.add(moves.s[k]!);
  return levels.size;
}

/** Cuts rows where the head speeds up or slows, and where a picture is laid over them at its pixels or the spot. */
function splitRows(
  changed: Changed,
  pictures: readonly Operation[],
  machine: Machine,
  laid: LaidPicture | null,
): Changed {
  const motion = planMotion(changed.program, machine);
  const { nominalMmPerS } = lineEnergies(motion, machine, powerLaw(machine.laser));
  const isPicture = new Set(pictures.map(({ n }) => n));
  const { operation } = changed.program.moves;
  const spotMm = Math.min(...machine.spot.width_mm);
  const fineness = { within: WITHIN, shortestMm: SHORTEST_SPOTS * spotMm };
  const stepMm = laid ? Math.max(laid.pixelMm, spotMm) : Infinity;
  const { changed: split } = splitMoves(changed, (k) => {
    if (!(nominalMmPerS[k]! > 0 && isPicture.has(operation[k]!))) return [];
    const ramps = cutsOfMove(motion, k, nominalMmPerS[k]!, fineness);
    return evenCuts(ramps, stepMm / motion.lengthMm[k]!);
  });
  return split;
}

/** Cuts with more between them, so that no part is longer than `step`. */
function evenCuts(cuts: readonly number[], step: number): readonly number[] {
  if (step >= 1) return cuts;
  const all: number[] = [];
  let from = 0;
  for (const to of [...cuts, 1]) {
    const parts = Math.ceil((to - from) / step);
    for (let k = 1; k <= parts; k++) if (k < parts || to < 1) all.push(from + ((to - from) * k) / parts);
    from = to;
  }
  return all;
}

function stripsOf(
  program: Program,
  pictures: readonly Operation[],
  material: Material,
  ends: ToneEnds,
  laid: LaidPicture | null,
): Strips {
  const { moves } = program;
  const lightness = lightnessOf(material);
  const wishedL = new Float64Array(moves.count).fill(Number.NaN);
  const widthMm = new Float64Array(moves.count);
  const lengthMm = new Float64Array(moves.count);
  const rowsOf = new Map<number, RowLines & { spacingMm: number }>();
  for (const { n } of pictures) {
    const operation = program.operations.find((each) => each.n === n)!;
    const rows = measureRows(program, operation);
    if (!rows?.spacingMm) continue;
    const { spacingMm } = rows;
    rowsOf.set(n, { ...rows, spacingMm });
    let darkest = 0;
    for (let k = operation.firstMove; k <= operation.lastMove; k++) {
      if (moves.operation[k] !== n || !burnsAtFeed(moves, k)) continue;
      const darkness = laid ? laid.darkness(moves, k, spacingMm) : moves.s[k]! / operation.sMax;
      darkest = Math.max(darkest, darkness);
      wishedL[k] = lightness.wishedL(darkness, ends);
      widthMm[k] = spacingMm;
      lengthMm[k] = flatLengthMm(moves, k);
    }
    if (laid && darkest < NO_MARK)
      throw new InputError(
        `found a picture that is white all over the rows of operation ${n}, where nothing would be burned; expected one with something darker in it`,
      );
  }
  return { wishedL, widthMm, lengthMm, rows: rowsOf };
}

function flatLengthMm({ xMm, yMm }: Moves, k: number): number {
  const x0 = k > 0 ? xMm[k - 1]! : 0;
  const y0 = k > 0 ? yMm[k - 1]! : 0;
  return Math.hypot(xMm[k]! - x0, yMm[k]! - y0);
}
