import { greatestOf, leastOf } from '../../lists.ts';
import { headZMm } from '../../program/operations.ts';
import { type CutPath, followCut } from './cut-path.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';
import { findLoops, type Loop } from './loops.ts';
import { boundsOf } from './survey.ts';

/** An operation that is meant to cut through. */
export interface Cut {
  readonly each: OperationEvidence;
  readonly loops: readonly Loop[];
  /** How the forecast says it is cut. */
  readonly path: CutPath;
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
 * Which operations are meant to cut the stock through. G-code does not say; these things do:
 *
 * - an outline whose straight parts go at least half through;
 * - a closed outline around all that the job burns, if it goes a quarter through;
 * - the same if it goes only a tenth through, but is burned with at least 80 % power and slower than every other
 *   outline: a first try that stays shallow.
 *
 * None when the stock's thickness is not known.
 */
export function cutsOf(evidence: Evidence): Cut[] {
  return meantToCut(evidence).map((cut) => {
    const { firstMove, lastMove } = cut.each.operation;
    return { ...cut, path: followCut(evidence, firstMove, lastMove) };
  });
}

function meantToCut(evidence: Evidence): Omit<Cut, 'path'>[] {
  const { stock, wood, motion, program, survey, machine } = evidence;
  const thicknessMm = stock?.thicknessMm ?? null;
  if (thicknessMm === null) return [];
  const whole = burnedExtent(evidence);
  const outlines = evidence.operations.filter(({ operation }) => operation.kind === 'outline');
  const slowest = leastOf(outlines.map((each) => each.fullSpeedMmPerS));
  const slowestTwice = outlines.filter((each) => each.fullSpeedMmPerS === slowest).length > 1;
  return outlines.flatMap((each) => {
    const { operation, straightJPerMm2, straightDwellS, fullSpeedMmPerS } = each;
    const part = wood.depthMm(straightJPerMm2, straightDwellS, headZMm(program, operation)) / thicknessMm;
    const likeCut =
      part >= TENTH &&
      operation.sMax >= NEARLY_FULL * machine.laser.s_max &&
      fullSpeedMmPerS === slowest &&
      !slowestTwice;
    if (part < QUARTER && !likeCut) return [];
    const loops = findLoops(program, operation, motion.lengthMm);
    if (part >= HALF) return [{ each, loops }];
    const bounds = boundsOf(survey, operation.n);
    const hasAll = encloses(bounds, whole) && loops.some((loop) => encloses(loop, bounds));
    return hasAll ? [{ each, loops }] : [];
  });
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
