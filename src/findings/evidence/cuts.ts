import { bisectLeft, median } from 'd3-array';
import { greatestOf, leastOf } from '../../lists.ts';
import { headZMm } from '../../program/operations.ts';
import { type ComesThrough, NEVER } from '../../sure/come-through.ts';
import type { Unsure } from '../../sure/contributions.ts';
import type { LeastPlace } from '../../sure/place.ts';
import { type CutPath, followCut } from './cut-path.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';
import { findLoops, type Loop } from './loops.ts';
import { doseAtPlace } from './on-line.ts';
import { ownDoses } from './own-dose.ts';
import { boundsOf } from './survey.ts';

/** An operation that is meant to cut through, and how the forecast says it is cut. */
export interface MeantCut {
  readonly each: OperationEvidence;
  readonly loops: readonly Loop[];
  /** Whether that is taken from how it is burned; false: it was said. */
  readonly isAssumed: boolean;
  /** How the forecast says it is cut. */
  readonly path: CutPath;
  /** The place that decides, as chances are asked of it; null where nothing is burned. */
  readonly least: LeastPlace | null;
}

/** And how sure that is. */
export interface Cut extends MeantCut {
  /** How sure it is that it comes through. */
  readonly comesThrough: ComesThrough;
  /** What that rests on; null where nothing is burned. */
  readonly unsure: Unsure | null;
}

/** An outline that goes this deep is meant to cut, whatever its shape: nobody engraves half through. */
const HALF = 0.5;
/** The closed outline around everything is meant to cut from this depth on: deeper than any scored frame. */
const QUARTER = 0.25;
/**
 * … or from this depth on with nearly full power and the lowest speed of all outlines: that is how people try to
 * cut. A line scored at full power in passing stays shallower.
 */
const TENTH = 0.1;
const NEARLY_FULL = 0.8;

/**
 * Which operations are meant to cut the stock through: those of which it was said (all, of a job that finishes a cut), and unless the contrary was said
 * those which these things tell, as G-code does not say. What counts is the depth that is reached at the speeds the
 * head comes to, or at the programmed ones, if that is more:
 *
 * - an outline most of which goes at least half through;
 * - a closed outline around all that the job burns, if it goes a quarter through;
 * - the same if it goes only a tenth through, but is burned with at least 80 % power and slower than every other
 *   outline: a first try that stays shallow.
 *
 * None when the stock's thickness is not known.
 */
export function meantCutsOf(evidence: Evidence): MeantCut[] {
  const followed = meantToCut(evidence).map((cut) => {
    const { firstMove, lastMove } = cut.each.operation;
    return { ...cut, path: followCut(evidence, firstMove, lastMove) };
  });
  const leastOfEach = leastPlaces(evidence, followed);
  return followed.map((cut, k) => ({ ...cut, least: leastOfEach[k]! }));
}

/** The cuts of {@link meantCutsOf}, and how sure it is that they come through. */
export function cutsOf(evidence: Evidence): Cut[] {
  const { sureness } = evidence;
  return meantCutsOf(evidence).map((cut) => ({
    ...cut,
    comesThrough: cut.least ? sureness.comesThrough(cut.least) : NEVER,
    unsure: cut.least && sureness.cutUnsure(cut.least),
  }));
}

/** The weakest place of each cut as chances are asked of it. */
function leastPlaces(evidence: Evidence, cuts: readonly Pick<Cut, 'each' | 'path'>[]): (LeastPlace | null)[] {
  const { xMm, yMm } = evidence.lines.places;
  const burned = cuts.flatMap(({ each: { operation }, path: { weakest } }) =>
    weakest ? [{ operation, weakest }] : [],
  );
  const own = ownDoses(
    evidence,
    burned.map(({ operation: { n }, weakest: { at, doseJPerMm2 } }) => ({
      operation: n,
      xMm: xMm[at]!,
      yMm: yMm[at]!,
      doseJPerMm2,
    })),
  );
  let k = 0;
  return cuts.map(({ each: { operation }, path: { weakest } }) =>
    weakest ? { ...weakest, passes: operation.passes, perPassJPerMm2: own[k++]! / operation.passes } : null,
  );
}

function meantToCut(evidence: Evidence): Pick<Cut, 'each' | 'loops' | 'isAssumed'>[] {
  const { stock, motion, program, survey, machine } = evidence;
  const thicknessMm = stock?.thicknessMm ?? null;
  if (thicknessMm === null) return [];
  const whole = burnedExtent(evidence);
  const outlines = evidence.operations.filter(({ operation }) => operation.kind === 'outline');
  const slowest = leastOf(outlines.map((each) => each.fullSpeedMmPerS));
  const slowestTwice = outlines.filter((each) => each.fullSpeedMmPerS === slowest).length > 1;
  return outlines.flatMap((each) => {
    const { operation, fullSpeedMmPerS } = each;
    const { intent, sMax, n } = operation;
    if (intent === 'engrave' || survey.burnedMm[n] === 0) return [];
    if (intent === 'cut' || program.finishesCut) {
      return [{ each, loops: findLoops(program, operation, motion.lengthMm), isAssumed: false }];
    }
    const part = usualDepthMm(evidence, each, HALF * thicknessMm) / thicknessMm;
    const likeCut =
      part >= TENTH &&
      sMax >= NEARLY_FULL * machine.laser.s_max &&
      fullSpeedMmPerS === slowest &&
      !slowestTwice;
    if (part < QUARTER && !likeCut) return [];
    const loops = findLoops(program, operation, motion.lengthMm);
    const cut = { each, loops, isAssumed: true };
    if (part >= HALF) return [cut];
    const bounds = boundsOf(survey, n);
    const hasAll = encloses(bounds, whole) && loops.some((loop) => encloses(loop, bounds));
    return hasAll ? [cut] : [];
  });
}

/** Places of an operation that are looked at. */
const MOST_LOOKED_AT = 2000;

/**
 * How deep an outline goes as a rule, mm: at the programmed speed, or where the head is slower all along (small holes),
 * the depth that half its places pass.
 * @param enoughMm where the programmed speed alone goes so deep, its places need not be asked.
 */
function usualDepthMm(
  { lines, wood, program }: Evidence,
  { operation, straightJPerMm2, straightDwellS, straightNeedTimes }: OperationEvidence,
  enoughMm: number,
): number {
  const zMm = headZMm(program, operation);
  const programmedMm = wood.depthMm(straightJPerMm2, straightDwellS, zMm, straightNeedTimes);
  if (programmedMm >= enoughMm) return programmedMm;
  const { move, judgedMm } = lines.places;
  const first = bisectLeft(move, operation.firstMove);
  const last = bisectLeft(move, operation.lastMove + 1);
  const judged: number[] = [];
  for (let k = first; k < last; k++) if (judgedMm[k]! > 0) judged.push(k);
  const stride = Math.ceil(judged.length / MOST_LOOKED_AT);
  const reachedMm: number[] = [];
  for (let at = 0; at < judged.length; at += stride) {
    const { doseJPerMm2, dwellS, headZMm: z, needTimes } = doseAtPlace(lines, judged[at]!);
    reachedMm.push(wood.depthMm(doseJPerMm2, dwellS, z, needTimes));
  }
  return Math.max(programmedMm, median(reachedMm) ?? 0);
}

/** The extent of what all operations burn. */
function burnedExtent({ operations, survey }: Evidence): Box {
  const all = operations
    .filter(({ operation: { n } }) => survey.burnedMm[n]! > 0)
    .map(({ operation: { n } }) => boundsOf(survey, n));
  return {
    minXMm: leastOf(all.map(({ minXMm }) => minXMm)),
    minYMm: leastOf(all.map(({ minYMm }) => minYMm)),
    maxXMm: greatestOf(all.map(({ maxXMm }) => maxXMm)),
    maxYMm: greatestOf(all.map(({ maxYMm }) => maxYMm)),
  };
}

type Box = Pick<Loop, 'minXMm' | 'minYMm' | 'maxXMm' | 'maxYMm'>;

/** With a tenth of a millimetre of slack. */
const encloses = (outer: Box, inner: Box): boolean =>
  outer.minXMm <= inner.minXMm + 0.1 &&
  outer.minYMm <= inner.minYMm + 0.1 &&
  outer.maxXMm >= inner.maxXMm - 0.1 &&
  outer.maxYMm >= inner.maxYMm - 0.1;
