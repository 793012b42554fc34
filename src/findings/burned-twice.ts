import { spanS } from '../motion/timeline.ts';
import { headZMm } from '../program/operations.ts';
import type { DepthSpan } from '../sure/engraved.ts';
import { depthSpanWords } from '../sure/words.ts';
import { lengthWords, timeWords } from '../words.ts';
import {
  depthSpan,
  type Evidence,
  looksDifferent,
  type OperationEvidence,
  spanMeasure,
  startOf,
} from './evidence/evidence.ts';
import { findOverlaps, type Overlap } from './evidence/overlaps.ts';
import type { Finding } from './finding.ts';
import { countWords, doseInstead, doseWords, round } from './phrases.ts';

/** An operation that lies on itself over most of its path is burned in passes, more here and fewer there. */
const IN_PASSES = 0.75;

/**
 * `burned-twice`: stretches of outline that are burned again by mistake: a stroke that stands in the file twice, or an
 * edge that two shapes share. Passes of a whole operation are meant and stay quiet, unless no board could need them: how
 * thick it is may not be known. A warning where it shows; a note where the wood is black anyway and only time is lost.
 * One finding per operation.
 */
export function findBurnedTwice(evidence: Evidence): Finding[] {
  const overlaps = findOverlaps(evidence).flatMap((overlap) => {
    const each = evidence.operations[overlap.operation - 1]!;
    const on = evidence.operations[overlap.on - 1]!;
    const finding = judge(evidence, each, on, overlap);
    return finding ? [finding] : [];
  });
  const told = new Set(overlaps.map(({ operation }) => operation));
  const overAndOver = evidence.operations.filter(
    (each) => !told.has(each.operation.n) && isOverAndOver(evidence, each),
  );
  return [...overlaps, ...overAndOver.map((each) => tooManyPasses(evidence, each))];
}

/** Nobody cuts in more passes, nor through thicker wood, with a diode (judgements from common practice, no source). */
const MOST_PASSES = 20;
const THICKEST_MM = 20;

/** How deep an operation of such passes would go, mm. */
const depthOf = ({ wood, program }: Evidence, each: OperationEvidence): number =>
  wood.depthMm(
    each.straightJPerMm2,
    each.straightDwellS,
    headZMm(program, each.operation),
    each.straightNeedTimes,
  );

/** … and between what on such boards. */
const spanOf = (evidence: Evidence, each: OperationEvidence): DepthSpan =>
  depthSpan(evidence, each, { doseJPerMm2: each.straightJPerMm2, dwellS: each.straightDwellS });

/** Whether passes are more than any board needs, where nobody said what it is for nor how thick the board is. */
function isOverAndOver(evidence: Evidence, each: OperationEvidence): boolean {
  const { passes, intent } = each.operation;
  if (passes === 1 || intent !== undefined || (evidence.stock?.thicknessMm ?? null) !== null) return false;
  return passes > MOST_PASSES || depthOf(evidence, each) > THICKEST_MM;
}

function tooManyPasses(evidence: Evidence, each: OperationEvidence): Finding {
  const { program, motion } = evidence;
  const { n, passes, firstMove, lastMove } = each.operation;
  const lostS = (spanS(motion, firstMove, lastMove) * (passes - 1)) / passes;
  const dose = each.straightJPerMm2;
  return {
    kind: 'burned-twice',
    severity: 'warning',
    line: program.moves.line[firstMove]!,
    atMm: startOf(evidence, firstMove).map((mm) => round(mm, 3)) as [number, number],
    operation: n,
    message:
      `The same path is burned ${passes} times, ${doseWords(dose)} in all, which goes ` +
      `${depthSpanWords(spanOf(evidence, each), 'mm deep')} where there is so much wood. How thick the board is was not said, so ` +
      'whether it is a cut could not be judged.',
    remedy: `Say how thick the board is if it is meant to cut; if not, burn it once, which saves ${timeWords(lostS)}.`,
    measure: {
      count: passes,
      dose_j_mm2: round(dose),
      depth_mm: round(depthOf(evidence, each), 2),
      ...spanMeasure(spanOf(evidence, each)),
      lost_s: round(lostS, 2),
    },
  };
}

function judge(
  evidence: Evidence,
  each: OperationEvidence,
  on: OperationEvidence,
  overlap: Overlap,
): Finding | null {
  const { n } = each.operation;
  const own = each === on;
  if (own && overlap.againMm > IN_PASSES * overlap.distinctMm) return null;
  const [more, less] = each.straightJPerMm2 > on.straightJPerMm2 ? [each, on] : ([on, each] as const);
  const once = more.straightJPerMm2;
  const twice = once + less.straightJPerMm2;
  const { straightNeedTimes: needTimes } = more;
  // What comes on top counts as less than one more firing, where it is the weaker (`burn/firing.ts`).
  const firings = (twice * twice) / (once * once + less.straightJPerMm2 ** 2);
  const again = evidence.firings ? evidence.material.firing_cost.value * (firings - 1) : 0;
  const shows = looksDifferent(
    evidence,
    each,
    { doseJPerMm2: twice, dwellS: more.straightDwellS, needTimes: needTimes + again },
    { doseJPerMm2: once, dwellS: more.straightDwellS, needTimes },
  );
  if (!shows && !own) return null;
  const savedS = overlap.lengthMm / each.fullSpeedMmPerS;
  const { worst, count, places } = overlap.places;
  const where = own ? '' : `, where operation ${on.operation.n} burns too`;
  return {
    kind: 'burned-twice',
    severity: shows ? 'warning' : 'note',
    line: worst.line,
    atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
    operation: n,
    message:
      `${lengthWords(overlap.lengthMm)} of the outline is burned again at ${countWords(count, 'place')}${where}: the same line stands ` +
      `there twice. ` +
      (shows
        ? `It gets ${doseInstead(twice, once)} and comes out darker than the rest.`
        : `The wood is black there anyway; the line gets wider and ${timeWords(savedS)} are lost.`),
    remedy: `Delete the doubled line in the drawing (it begins at line ${worst.line}); it saves ${timeWords(savedS)}.`,
    measure: {
      overlap_mm: round(overlap.lengthMm, 2),
      count,
      with_operation: on.operation.n,
      dose_j_mm2: round(twice),
      straight_j_mm2: round(once),
      lost_s: round(savedS, 2),
      places,
    },
  };
}
