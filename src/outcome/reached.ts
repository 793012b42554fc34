import { bisectLeft } from 'd3-array';
import { InputError } from '../errors.ts';
import type { MeantCut } from '../findings/evidence/cuts.ts';
import type { Evidence } from '../findings/evidence/evidence.ts';
import { doseAtPlace, type OnLine } from '../findings/evidence/on-line.ts';
import { repeatedMoves } from '../program/passes.ts';
import type { Said } from './say.ts';

/** What people tell of a cut, as a depth that a place of it has reached. */

/** A stick and an eye tell a depth to about this (common practice, no source). */
const DEPTH_PLUS_MINUS_MM = 0.1;
const DEPTH_PLUS_MINUS_PART = 0.05;
/** What a place on a board asks for differs by about this much from the board's own mean (a judgement). */
export const PLACE_PLUS_MINUS = 0.05;

/** The depth of the weakest place; that a place with so much of its dose is just through; or that it is (not) through. */
export type Reached =
  | { readonly kind: 'depth'; readonly depthMm: number }
  | { readonly kind: 'just through'; readonly times: number }
  | { readonly kind: 'through' }
  | { readonly kind: 'not through' };

/** @throws {InputError} where a cut cannot have turned out so. */
export function reachedOf(evidence: Evidence, cut: MeantCut, said: Said): Reached {
  const thicknessMm = evidence.stock!.thicknessMm!;
  switch (said.kind) {
    case 'depth':
    case 'part': {
      const depthMm = said.kind === 'depth' ? said.depthMm : said.part * thicknessMm;
      if (depthMm < thicknessMm && depthMm > 0) return { kind: 'depth', depthMm };
      throw new InputError(
        `found a depth of ${Number(depthMm.toFixed(3))} mm reached in a board of ${thicknessMm} mm; expected one above 0 and below that`,
      );
    }
    case 'all but': {
      const { lengthMm } = cut.path;
      if (said.uncutMm > lengthMm) {
        throw new InputError(
          `found ${said.uncutMm} mm uncut of a path of ${Math.round(lengthMm)} mm; expected less than all of it`,
        );
      }
      return { kind: 'just through', times: doseTimesAt(evidence, cut, said.uncutMm / lengthMm) };
    }
    default:
      return { kind: said.kind === 'through' ? 'through' : 'not through' };
  }
}

/** How much more dose than the weakest place that one has which a part of the path does not reach. */
function doseTimesAt(
  { lines, isBeside, program }: Evidence,
  { each: { operation }, path }: MeantCut,
  part: number,
): number {
  const { move, judgedMm, count, xMm, yMm } = lines.places;
  const isRepeated = repeatedMoves(program.moves, operation.firstMove, operation.lastMove);
  const doses: number[] = [];
  for (let k = bisectLeft(move, operation.firstMove); k < count && move[k]! <= operation.lastMove; k++)
    if (judgedMm[k]! > 0 && !isRepeated(move[k]!) && !isBeside?.(xMm[k]!, yMm[k]!))
      doses.push(doseAtPlace(lines, k).doseJPerMm2);
  doses.sort((a, b) => a - b);
  const dose = doses[Math.min(doses.length - 1, Math.floor(part * doses.length))]!;
  return Math.max(1, dose / path.weakest!.doseJPerMm2);
}

/** The doubt of a measured depth, as one of the dose that reaches it, by the wood as its profile says. */
export function depthError(
  { wood }: Evidence,
  { dwellS, headZMm, needTimes }: OnLine,
  depthMm: number,
): number {
  const off = Math.min(0.5 * depthMm, Math.hypot(DEPTH_PLUS_MINUS_MM, DEPTH_PLUS_MINUS_PART * depthMm));
  const [more, less] = [depthMm + off, depthMm - off].map((mm) =>
    wood.doseForDepth(mm, dwellS, headZMm, needTimes),
  );
  return Math.hypot(Math.log(more! / less!) / 2, PLACE_PLUS_MINUS);
}
