import type { ComesThrough } from '../../sure/come-through.ts';
import { chancesAfterSwatch, type Shares, sharesOf } from '../../sure/contributions.ts';
import { sureSentence } from '../../sure/words.ts';
import { MANY_TIMES, multipleWords, percentWords } from '../../words.ts';
import { depthOfWords } from '../phrases.ts';
import type { CutPath } from './cut-path.ts';
import type { Cut } from './cuts.ts';
import type { Evidence } from './evidence.ts';
import { besideSentence, partBesideSentence, shareBeside } from './on-board.ts';

/** What becomes of an operation that is meant to cut, and how sure that is. */
export interface CutForecast extends CutOutcome, ComesThrough {
  /** The part of such boards that counts as for sure. */
  readonly sure: number;
  /** How many times it is burned. */
  readonly passes: number;
  /** Which inputs make up what is not known, by shares of its variance, the greatest first. */
  readonly because: Shares;
  /** On which parts of such boards it would come through once a swatch is burned: either of the two. */
  readonly withSwatch: readonly [better: number, worse: number];
}

/** What becomes of it if machine, wood and board are what they are said to be. */
interface CutOutcome {
  readonly operation: number;
  /** Whether it is only taken for a cut, from how it is burned; false: somebody said that it is one. */
  readonly assumed: boolean;
  readonly through: boolean;
  /** The part of its length that stays uncut, 0 … 1. */
  readonly uncutShare: number;
  /** The part of its path that lies beside the board, 0 … 1; all else here is told of the rest. */
  readonly besideShare: number;
  /** How deep the cut goes where it is shallowest, mm; the thickness where it is through. */
  readonly shallowestMm: number;
  readonly thicknessMm: number;
  /**
   * How much more dose the weakest place gets than it needs, as a part of what it needs; negative exactly where the
   * cut is not through, and then how much too little. Depth grows less than dose does: half the dose is more than half the depth.
   */
  readonly margin: number;
}

/** The forecasts of cuts, for the report and the page. */
export function cutForecasts(evidence: Evidence, cuts: readonly Cut[]): CutForecast[] {
  const { stock, sure, isBeside } = evidence;
  return cuts.map(({ each: { operation }, isAssumed, path, comesThrough, unsure }) => ({
    operation: operation.n,
    assumed: isAssumed,
    through: path.uncut === null && path.weakest !== null,
    uncutShare: uncutShare(path),
    besideShare: shareBeside(evidence, isBeside, operation),
    shallowestMm: path.shallowestMm,
    thicknessMm: stock!.thicknessMm!,
    margin: path.weakest?.margin ?? -1,
    ...comesThrough,
    sure,
    passes: operation.passes,
    because: unsure ? sharesOf(unsure) : [],
    withSwatch: unsure ? chancesAfterSwatch(comesThrough.chanceThrough, unsure) : [0, 0],
  }));
}

/** The part of a cut's length that stays uncut. */
export const uncutShare = ({ uncutMm, lengthMm }: CutPath): number =>
  lengthMm > 0 ? Math.min(1, uncutMm / lengthMm) : 0;

/** From this share on a cut comes through nearly nowhere. */
export const NEARLY_ALL = 0.98;

/** A part this small is no margin. */
const JUST = 0.005;

/** `21 % of dose to spare`, `2400 times the dose it needs`, `70 % short of the dose it needs`. */
export function marginWords(margin: number): string {
  const rounded = Math.round(Math.abs(margin) * 100) / 100;
  if (margin < 0) return `${percentWords(rounded)} short of the dose it needs`;
  const times = 1 + rounded;
  return times < MANY_TIMES
    ? `${percentWords(rounded)} of dose to spare`
    : multipleWords(times, 'the dose it needs');
}

/** Said where it matters: where what was taken for a cut does not come through. */
export const TAKEN_FOR_A_CUT = 'taken for a cut';

/** Whether an operation cuts through, and how sure that is, in two sentences; and what of it lies beside the board. */
export function cutSentence(cut: CutForecast): string {
  const { operation, besideShare } = cut;
  if (besideShare === 1) return besideSentence(operation);
  const beside = besideShare > 0 ? ` ${partBesideSentence(besideShare)}` : '';
  return `${outcomeSentence(cut)} ${sureSentence(cut)}${beside}`;
}

function outcomeSentence(cut: CutOutcome): string {
  const { operation, assumed, through, uncutShare: share, shallowestMm, thicknessMm, margin } = cut;
  const where = cut.besideShare > 0 ? ' on the board' : '';
  const name = `Operation ${operation}`;
  if (through)
    return `${name} cuts through everywhere${where}, ${margin < JUST ? 'only just' : `with ${marginWords(margin)}`}.`;
  const taken = assumed ? `${name}, ${TAKEN_FOR_A_CUT},` : name;
  const depth = `${depthOfWords(shallowestMm, thicknessMm)} at the shallowest`;
  if (share >= 1) return `${taken} does not cut through: ${depth}.`;
  if (share > NEARLY_ALL) return `${taken} cuts through nearly nowhere: ${depth}.`;
  return `${taken} does not cut through along ${percentWords(Number(share.toFixed(3)))} of its path${where}: ${depth}.`;
}
