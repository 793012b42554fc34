import { type Changed, MADE, type NewArc } from '../change/changed.ts';
import { grainsPerS, roundS } from '../change/rounding.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { planMotion } from '../motion/plan.ts';
import { burnsAtFeed, speedRatio } from '../program/beam-on.ts';
import type { Moves, Program } from '../program/program.ts';
import { type Circle, circlesOf, isOfLine } from './circles.ts';
import { type Meant, meantBy } from './meant.ts';
import { cutsOfMove, meanSpeedMmPerS } from './pieces.ts';
import { sForWatts } from './s-for-watts.ts';
import { type Split, splitMoves } from './split.ts';
import { withPower } from './with-power.ts';

/** A program whose S follows its speed, and what each of its moves was meant to get. */
export interface Evened {
  readonly changed: Changed;
  /** By move, what its straight part at full speed was meant to get, J/mm; 0 where nothing burns. */
  readonly meantJPerMm: Float64Array;
  /** Moves that are new, and moves whose S is another. */
  readonly addedMoves: number;
  readonly changedMoves: number;
}

/** An S nearer than this part to what it should be stays: a fiftieth is not seen, and every word is a line more. */
const HELD = 0.02;
/** Pieces shorter than this part of the spot are averaged by the spot. */
const SHORTEST_SPOTS = 0.15;

/**
 * Lets S follow the speed of the head, so that every millimetre of every stroke gets what it would get at full speed:
 * at corners, at starts and stops, at row ends and on short segments. Power P at speed v leaves P/v J/mm, so a piece
 * whose mean speed is v gets the S of the watts E·v, E being its line energy at full speed.
 *
 * @param within how far the speed may be from its mean within a piece, as a part of it.
 * @param meant by the moves of `changed`.
 */
export function evenLines(
  changed: Changed,
  machine: Machine,
  within: number,
  meant: Meant = meantBy(planMotion(changed.program, machine), machine),
): Evened {
  const { motion, jPerMm } = meant;
  const uneven = unevenMoves(meant, machine);
  const fineness = { within, shortestMm: SHORTEST_SPOTS * Math.min(...machine.spot.width_mm) };
  const circles = circlesOf(changed);
  const fine = splitMoves(
    changed,
    (k) => (uneven[k]! > 0 ? cutsOfMove(motion, k, uneven[k]!, fineness) : []),
    circles,
  );
  const bounds = { machine, jPerMm, within, circles };
  const split = joinAlike(changed, fine, withS(changed, fine, bounds).s, circles);
  const { program, moveFrom } = split.changed;
  const { s, apart } = withS(changed, split, bounds);
  return {
    changed: {
      ...split.changed,
      moveFrom: moveFrom!.map((from, k) => (apart[k] === 1 ? MADE : from)),
      arcs: newArcs(circles, split, s, apart),
      program: withPower({ ...program, followsSpeed: true }, s),
    },
    meantJPerMm: Float64Array.from(split.pieceOf, (k) => jPerMm[k]!),
    addedMoves: program.moves.count - changed.program.moves.count,
    changedMoves: split.pieceOf.reduce((sum, k, i) => sum + (s[i] === changed.program.moves.s[k] ? 0 : 1), 0),
  };
}

/** The same split without the cuts on both sides of which S came out alike. */
function joinAlike(
  changed: Changed,
  { changed: { program }, pieceOf }: Split,
  s: Float64Array,
  circles: readonly (Circle | null)[],
): Split {
  const first = new Uint32Array(changed.program.moves.count);
  for (let k = pieceOf.length - 1; k >= 0; k--) first[pieceOf[k]!] = k;
  const { moves } = program;
  const job = changed.program.moves;
  return splitMoves(
    changed,
    (k) => {
      const cuts: number[] = [];
      for (let i = first[k]!; i + 1 < pieceOf.length && pieceOf[i + 1] === k; i++) {
        if (s[i] === s[i + 1]) continue;
        cuts.push(partOf(job, k, [moves.xMm[i]!, moves.yMm[i]!, moves.zMm[i]!]));
      }
      return cuts;
    },
    circles,
  );
}

/** How far along a move a point of it lies, as a part of its length. */
function partOf({ xMm, yMm, zMm }: Moves, k: number, [x, y, z]: readonly [number, number, number]): number {
  const [x0, y0, z0] = k > 0 ? [xMm[k - 1]!, yMm[k - 1]!, zMm[k - 1]!] : [0, 0, 0];
  return Math.hypot(x - x0, y - y0, z - z0) / Math.hypot(xMm[k]! - x0, yMm[k]! - y0, zMm[k]! - z0);
}

/**
 * What S is settled by: the machine, what each move was meant to get, how far a piece's speed may be off its mean, and the
 * circle that each move lies on.
 */
interface Bounds {
  readonly machine: Machine;
  readonly jPerMm: Float64Array;
  readonly within: number;
  readonly circles: readonly (Circle | null)[];
}

/**
 * Arcs that come apart, as arcs again: whole chords of one S in a row are one, and every piece of a chord. (As many chords
 * as an arc was read in are read again of any part of it that is made of whole ones.)
 */
function newArcs(
  circles: readonly (Circle | null)[],
  { changed: { program }, pieceOf }: Split,
  s: Float64Array,
  apart: Uint8Array,
): NewArc[] {
  const arcs: NewArc[] = [];
  const isWhole = (k: number) => isWholeMove(pieceOf, k);
  for (let first = 0; first < program.moves.count; ) {
    const circle = circles[pieceOf[first]!];
    let count = 1;
    if (apart[first] === 1 && circle) {
      const joins = (k: number) =>
        apart[k] === 1 && circles[pieceOf[k]!] === circle && isWhole(k) && s[k] === s[first];
      while (isWhole(first) && count < circle.mostChords && joins(first + count)) count++;
      arcs.push({ first, count, line: program.moves.line[first]! });
    }
    first += count;
  }
  return arcs;
}

/** Whether a piece is all of its move. */
const isWholeMove = (pieceOf: Uint32Array, k: number): boolean =>
  pieceOf[k - 1] !== pieceOf[k] && pieceOf[k + 1] !== pieceOf[k];

/** The S of each piece of a split, by the speeds that its pieces have. */
function withS(changed: Changed, { changed: split, pieceOf }: Split, bounds: Bounds): SettledS {
  const { machine, jPerMm } = bounds;
  const motion = planMotion(split.program, machine);
  const wantedS = wantedSOf(
    split.program,
    motion,
    machine,
    Float64Array.from(pieceOf, (k) => jPerMm[k]!),
  );
  return settleS(changed, split, pieceOf, wantedS, bounds);
}

/** The full speed of each burning move on which power does not follow speed by itself; 0 for all others. */
function unevenMoves(
  { fullMmPerS, motion: { program, peakMmPerS, entryMmPerS } }: Meant,
  machine: Machine,
): Float64Array {
  const { moves } = program;
  const law = powerLaw(machine.laser);
  return fullMmPerS.map((full, k) => {
    const slowest = Math.min(entryMmPerS[k]!, entryMmPerS[k + 1]!);
    const isEven = slowest >= full * (1 - HELD) && peakMmPerS[k]! >= full * (1 - HELD);
    const followsItself = speedRatio(moves, k, full / 2) < 1 && law.isLinear(moves.s[k]!);
    return isEven || followsItself ? 0 : full;
  });
}

/** By move, the S that gives what was meant at its mean speed. */
function wantedSOf(
  { moves }: Program,
  motion: Motion,
  { laser }: Machine,
  meantJPerMm: Float64Array,
): Float64Array {
  return Float64Array.from({ length: moves.count }, (_, k) => {
    if (meantJPerMm[k] === 0) return moves.s[k]!;
    const speed = meanSpeedMmPerS(motion, k);
    return sForWatts(laser, meantJPerMm[k]! * speed, speedRatio(moves, k, speed));
  });
}

/** S by move, and which moves of a line of several come apart: 1. */
interface SettledS {
  readonly s: Float64Array;
  readonly apart: Uint8Array;
}

/**
 * The S of each piece: what the job says where that is near enough, else what the piece before got where that is, else
 * what is wanted. The moves of one line (an arc) keep one S where one is near enough for all of them; where none is,
 * they come apart into several arcs.
 */
function settleS(
  changed: Changed,
  { program: { moves } }: Changed,
  pieceOf: Uint32Array,
  wantedS: Float64Array,
  { machine, within, circles }: Bounds,
): SettledS {
  const job = changed.program.moves;
  const grains = grainsPerS(machine.laser.s_max);
  const s = moves.s.slice();
  const apart = new Uint8Array(moves.count);
  let held = Number.NaN;
  let heldFor = Number.NaN;
  const settle = (from: number, to: number, allowed = HELD): boolean => {
    let least = Infinity;
    let most = 0;
    for (let k = from; k < to; k++) {
      least = Math.min(least, wantedS[k]!);
      most = Math.max(most, wantedS[k]!);
    }
    const suits = (each: number) =>
      Math.abs(least - each) <= allowed * each && Math.abs(most - each) <= allowed * each;
    const jobS = job.s[pieceOf[from]!]!;
    const middle = (least + most) / 2;
    const isOne = to - from === 1 || suits(middle);
    if (!isOne) return false;
    const chosen = suits(jobS) ? jobS : heldFor === jobS && suits(held) ? held : roundS(middle, grains);
    s.fill(chosen, from, to);
    held = chosen;
    heldFor = jobS;
    return true;
  };
  /** The pieces of an arc that comes apart: whole chords together, as many as one S is near enough for. */
  const settleArc = (from: number, to: number, circle: Circle | null): void => {
    const isWhole = (k: number) => isWholeMove(pieceOf, k);
    for (let k = from; k < to; ) {
      let end = k + 1;
      while (circle && isWhole(k) && end < to && isWhole(end) && settle(k, end + 1, within / 2)) end++;
      settle(k, end, within / 2);
      k = end;
    }
  };
  for (let from = 0; from < moves.count; ) {
    let to = from + 1;
    const first = pieceOf[from]!;
    while (to < moves.count && isOfLine(changed, pieceOf[to]!, first)) to++;
    const last = pieceOf[to - 1]!;
    if (!burnsAtFeed(moves, from)) held = Number.NaN;
    else if (first === last) for (let k = from; k < to; k++) settle(k, k + 1);
    else if (last - first + 1 < to - from || !settle(from, to)) {
      apart.fill(1, from, to);
      settleArc(from, to, circles[first]!);
    }
    from = to;
  }
  return { s, apart };
}
