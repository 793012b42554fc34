import { bisectLeft } from 'd3-array';
import { beamOf } from '../../burn/speed-power.ts';
import { woodAnswer } from '../../burn/wood-answer.ts';
import { repeatedMoves } from '../../program/passes.ts';
import type { Evidence } from './evidence.ts';
import { besideBoard, clearanceOn } from './on-board.ts';
import { doseAtPlace, type OnLine } from './on-line.ts';
import { type Gathered, gatherPlaces } from './places.ts';
import type { Told } from './told.ts';

/** A bridge shorter than this breaks by itself; a longer one holds. */
const BRIDGE_MM = 0.5;
/** Bridges nearer than this are one place to look at. */
const APART_MM = 5;

/**
 * How a path is cut, read off the forecast in pieces of {@link BRIDGE_MM}: the outline on the wood. What is burned in several
 * passes counts once, what lies beside the board not at all.
 */
export interface CutPath {
  readonly lengthMm: number;
  /** Length of the pieces that are through nowhere. */
  readonly uncutMm: number;
  /** Where; null when it is through all along. */
  readonly uncut: Gathered | null;
  /** The place that gets most in the piece that gets least of what it needs; null where nothing is burned. */
  readonly weakest: CutPlace | null;
  /** Greatest depth of the shallowest piece, mm; at most the thickness. */
  readonly shallowestMm: number;
}

/** What a place on a cut gets, and what it needs to be through. */
export interface CutPlace extends OnLine {
  /** Which of the places on lines it is. */
  readonly at: number;
  readonly neededJPerMm2: number;
  /**
   * How much more dose it gets than it needs, as a part of what it needs; through from 0 on. −1: no dose would do.
   */
  readonly margin: number;
}

/** A piece of a path, about {@link BRIDGE_MM} long: through where any place judged on it is. */
export interface CutPiece {
  /** The places it runs over, from … to. */
  readonly from: number;
  readonly to: number;
  readonly lengthMm: number;
  /** So much of it is not told with an earlier pass already, mm. */
  readonly newMm: number;
  /** The place on it that gets most of what it needs. */
  readonly best: CutPlace;
}

/** What pieces of a path are judged by. */
export type PathAnswer = Pick<Evidence, 'lines' | 'wood' | 'isBeside'>;

/** The same, of a forecast whose evidence is not at hand. */
export const pathAnswerOf = (
  told: Pick<Told, 'program' | 'machine' | 'material' | 'stock' | 'burnBounds' | 'lines'>,
): PathAnswer => ({
  lines: told.lines,
  wood: woodAnswer(told.material, beamOf(told.machine)),
  isBeside: told.stock && besideBoard(told, clearanceOn(told, told.stock)),
});

/**
 * Tells the burning moves `first` … `last` of lines in pieces, in the order burned, as far as they lie on the board. Neither
 * cells nor the direction of the path have a part in it.
 * @param tell returns false to hear of no more.
 * @param isRepeated which moves only go over what was told before.
 */
export function eachPiece(
  { lines, wood, isBeside }: PathAnswer,
  thicknessMm: number,
  first: number,
  last: number,
  tell: (piece: CutPiece) => unknown,
  isRepeated: (move: number) => boolean = () => false,
): void {
  const { move, begins, judgedMm, xMm, yMm } = lines.places;
  const end = bisectLeft(move, last + 1);
  let k = bisectLeft(move, first);
  /** The piece under way; of the place on it that gets most of what it needs only what others are compared with. */
  const open = { from: k, lengthMm: 0, newMm: 0, at: -1, margin: 0, neededJPerMm2: 0 };
  let isHeard = true;

  const close = (to: number): void => {
    const { from, lengthMm, newMm, at, margin, neededJPerMm2 } = open;
    if (at >= 0) {
      const best = { ...doseAtPlace(lines, at), at, neededJPerMm2, margin };
      isHeard = tell({ from, to, lengthMm, newMm, best }) !== false;
    }
    open.lengthMm = open.newMm = 0;
    open.at = -1;
    open.from = to;
  };
  /** The rest of a stroke counts only if it could hold; a shorter one hangs on the piece before. */
  const endStroke = (to: number): void => {
    if (open.lengthMm < BRIDGE_MM / 2) open.at = -1;
    close(to);
  };

  for (; k < end && isHeard; k++) {
    if (begins[k] === 1) {
      endStroke(k - 1);
      open.from = k;
    }
    const lengthMm = judgedMm[k]!;
    if (lengthMm === 0) continue;
    if (isBeside?.(xMm[k]!, yMm[k]!)) {
      endStroke(k);
      continue;
    }
    open.lengthMm += lengthMm;
    if (!isRepeated(move[k]!)) open.newMm += lengthMm;
    const { doseJPerMm2, dwellS, headZMm, needTimes } = doseAtPlace(lines, k);
    const neededJPerMm2 = wood.doseForDepth(thicknessMm, dwellS, headZMm, needTimes);
    const margin = doseJPerMm2 / neededJPerMm2 - 1;
    if (open.at < 0 || margin > open.margin) {
      open.at = k;
      open.margin = margin;
      open.neededJPerMm2 = neededJPerMm2;
    }
    if (open.lengthMm >= BRIDGE_MM - lengthMm / 2) close(k);
  }
  if (isHeard) endStroke(k - 1);
}

/** How deep a piece goes where it goes deepest, mm; at most the thickness. */
export const pieceDepthMm = ({ wood }: PathAnswer, { best }: CutPiece, thicknessMm: number): number =>
  best.margin >= 0
    ? thicknessMm
    : Math.min(thicknessMm, wood.depthMm(best.doseJPerMm2, best.dwellS, best.headZMm, best.needTimes));

/** Adds up the pieces of the burning moves `first` … `last` of lines. */
export function followCut(evidence: Evidence, first: number, last: number): CutPath {
  const { program, lines } = evidence;
  const thicknessMm = evidence.stock!.thicknessMm!;
  const { line } = program.moves;
  const { move, xMm, yMm } = lines.places;
  const uncut = gatherPlaces(APART_MM);
  let lengthMm = 0;
  let uncutMm = 0;
  let weakest: CutPlace | null = null;
  let shallowestMm = thicknessMm;
  const add = (piece: CutPiece): void => {
    const { best, newMm } = piece;
    if (newMm === 0) return;
    lengthMm += newMm;
    if (!weakest || best.margin < weakest.margin) weakest = best;
    if (best.margin >= 0) return;
    const depthMm = pieceDepthMm(evidence, piece, thicknessMm);
    shallowestMm = Math.min(shallowestMm, depthMm);
    uncutMm += newMm;
    uncut.add(-depthMm, lengthMm, [xMm[best.at]!, yMm[best.at]!], {
      line: line[move[best.at]!]!,
      move: move[best.at]!,
    });
  };
  eachPiece(evidence, thicknessMm, first, last, add, repeatedMoves(program.moves, first, last));
  return { lengthMm, uncutMm, uncut: uncut.finish(), weakest, shallowestMm: weakest ? shallowestMm : 0 };
}

/** Whether a path is through all along: {@link followCut} finds nothing uncut on it. */
export function isThroughAlong(evidence: Evidence, first: number, last: number): boolean {
  let isThrough = true;
  const look = ({ newMm, best }: CutPiece): boolean => {
    if (newMm > 0 && best.margin < 0) isThrough = false;
    return isThrough;
  };
  const { moves } = evidence.program;
  eachPiece(evidence, evidence.stock!.thicknessMm!, first, last, look, repeatedMoves(moves, first, last));
  return isThrough;
}
