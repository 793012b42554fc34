import { burnsAtFeed } from '../program/beam-on.ts';
import { longer } from '../program/moves.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import type { Points } from './point-dose.ts';

/**
 * Places along everything that is burned as lines, in the order burned: where the dose along a path is worked out. They
 * go by the length of the stroke (burning without a gap), so that neither grid nor direction moves them.
 */
export interface LinePlaces extends Points {
  /** The move each lies on. */
  readonly move: Uint32Array;
  /** Whether it begins a stroke. */
  readonly begins: Uint8Array;
  /** The length of path it is judged for, mm: the middle of that length; 0 for the places between, and for junctions. */
  readonly judgedMm: Float64Array;
}

/** Cuts are judged at places this far apart, mm, or a little more or less. */
export const JUDGED_EVERY_MM = 0.125;
/** More judged places, or places in all, are not made: then they stand farther apart. */
const MOST_JUDGED = 2_000_000;
const MOST_PLACES = 3_000_000;
/** At a sharper turn than five degrees the head may slow, and dose changes within a spot's width. */
const TURN_COS = Math.cos((5 * Math.PI) / 180);

/** None. */
export const NO_PLACES: LinePlaces = {
  count: 0,
  xMm: new Float64Array(0),
  yMm: new Float64Array(0),
  move: new Uint32Array(0),
  begins: new Uint8Array(0),
  judgedMm: new Float64Array(0),
};

/** Wider spots are judged at places this part of their width apart. */
const JUDGED_PER_WIDTH = 0.25;
/** Along a line the dose hardly changes within this part of the spot's width. */
const APART_PER_WIDTH = 0.5;

/**
 * @param widthMm of the spot on the wood.
 * @param cellMm of the picture: a line is drawn without gaps where places stand as near as that; but they stand no
 *   nearer than the dose along a line can change.
 */
export function linePlaces(
  { moves, operations }: Pick<Program, 'moves' | 'operations'>,
  widthMm: number,
  cellMm: number,
): LinePlaces {
  // Operations keep their numbers in another order.
  const lines = operations
    .filter(({ kind }) => kind === 'outline')
    .toSorted((a, b) => a.firstMove - b.firstMove);
  let lengthMm = 0;
  for (const line of lines)
    strokesOf(moves, line, (_first, _last, strokeMm) => {
      lengthMm += strokeMm;
    });
  const judgedEveryMm = Math.max(JUDGED_EVERY_MM, JUDGED_PER_WIDTH * widthMm, lengthMm / MOST_JUDGED);
  const apartMm = Math.max(cellMm, APART_PER_WIDTH * widthMm);
  const between = Math.min(judgedEveryMm / apartMm, (MOST_PLACES * judgedEveryMm) / (lengthMm || 1));
  // An odd number, so that the middle one is the judged one.
  const each = Math.max(1, 2 * Math.ceil((between - 1) / 2) + 1);
  const made = startPlaces();
  for (const line of lines)
    strokesOf(moves, line, (first, last, strokeMm) => {
      const judged = Math.max(1, Math.round(strokeMm / judgedEveryMm));
      addStroke(made, moves, first, last, strokeMm / judged, each);
    });
  return made.finish();
}

/** Calls back for every stroke of an operation: its first and last move and its length seen from above. */
function strokesOf(
  moves: Moves,
  { firstMove, lastMove }: Operation,
  visit: (first: number, last: number, lengthMm: number) => void,
): void {
  let first = -1;
  let lengthMm = 0;
  for (let i = firstMove; i <= lastMove + 1; i++) {
    const burning = i <= lastMove && burnsAtFeed(moves, i);
    if (burning) {
      if (first < 0) first = i;
      lengthMm += flatMm(moves, i);
    } else if (first >= 0) {
      if (lengthMm > 0) visit(first, i - 1, lengthMm);
      first = -1;
      lengthMm = 0;
    }
  }
}

function flatMm({ xMm, yMm }: Moves, i: number): number {
  const dx = xMm[i]! - (i > 0 ? xMm[i - 1]! : 0);
  const dy = yMm[i]! - (i > 0 ? yMm[i - 1]! : 0);
  return Math.sqrt(dx * dx + dy * dy);
}

/** The places of one stroke: `each` within every judged length, and the junctions where it turns. */
function addStroke(
  made: Growing,
  moves: Moves,
  first: number,
  last: number,
  judgedMm: number,
  each: number,
): void {
  const { xMm, yMm } = moves;
  const apartMm = judgedMm / each;
  const middle = (each - 1) / 2;
  let next = 0;
  let junctionMm = -Infinity;
  let alongMm = 0;
  let ux = 0;
  let uy = 0;
  for (let i = first; i <= last; i++) {
    const x0 = i > 0 ? xMm[i - 1]! : 0;
    const y0 = i > 0 ? yMm[i - 1]! : 0;
    const length = flatMm(moves, i);
    if (length === 0) continue;
    const vx = (xMm[i]! - x0) / length;
    const vy = (yMm[i]! - y0) / length;
    const turns = ux * vx + uy * vy < TURN_COS;
    ux = vx;
    uy = vy;
    if (alongMm === 0 || (turns && alongMm - junctionMm > apartMm / 2)) {
      made.add(x0, y0, i, alongMm === 0 ? 1 : 0, 0);
      junctionMm = alongMm;
    }
    const endMm = alongMm + length;
    for (let at = (next + 0.5) * apartMm; at < endMm; at = (next + 0.5) * apartMm) {
      const part = (at - alongMm) / length;
      const judged = next % each === middle ? judgedMm : 0;
      made.add(x0 + (xMm[i]! - x0) * part, y0 + (yMm[i]! - y0) * part, i, 0, judged);
      next++;
    }
    alongMm = endMm;
  }
  made.add(xMm[last]!, yMm[last]!, last, 0, 0);
}

interface Growing {
  add(x: number, y: number, move: number, begins: number, judgedMm: number): void;
  finish(): LinePlaces;
}

const FIRST_CAPACITY = 256;

function startPlaces(): Growing {
  let count = 0;
  let xMm = new Float64Array(FIRST_CAPACITY);
  let yMm = new Float64Array(FIRST_CAPACITY);
  let move = new Uint32Array(FIRST_CAPACITY);
  let begins = new Uint8Array(FIRST_CAPACITY);
  let judgedMm = new Float64Array(FIRST_CAPACITY);
  const grow = (): void => {
    const capacity = 2 * count;
    xMm = longer(xMm, capacity);
    yMm = longer(yMm, capacity);
    move = longer(move, capacity);
    begins = longer(begins, capacity);
    judgedMm = longer(judgedMm, capacity);
  };
  return {
    add(x, y, i, beginsHere, judged) {
      if (count === xMm.length) grow();
      xMm[count] = x;
      yMm[count] = y;
      move[count] = i;
      begins[count] = beginsHere;
      judgedMm[count] = judged;
      count++;
    },
    finish: () => ({
      count,
      xMm: xMm.slice(0, count),
      yMm: yMm.slice(0, count),
      move: move.slice(0, count),
      begins: begins.slice(0, count),
      judgedMm: judgedMm.slice(0, count),
    }),
  };
}
