import { cellAt } from '../grid.ts';
import { headZMm } from '../program/operations.ts';
import type { Operation } from '../program/program.ts';
import { depthSpanWords } from '../sure/words.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { numberWords, percentWords } from '../words.ts';
import { speedBeside } from './evidence/capped.ts';
import { pointInside } from './evidence/dark-places.ts';
import { dutyFor } from './evidence/emitted.ts';
import { depthSpan, type Evidence, type OperationEvidence, spanMeasure } from './evidence/evidence.ts';
import type { OnLine } from './evidence/on-line.ts';
import { doseOnPath, mostDose } from './evidence/on-path.ts';
import { atFeed, comesUpTo } from './evidence/reach.ts';
import { isMostlySlow } from './evidence/survey.ts';
import type { Finding } from './finding.ts';
import { mmWords, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** Deeper than a quarter, a thin board loses its stiffness and warps: a choice, to be changed by option. */
export const DEEPEST_ENGRAVING = 0.25;

const MOST_SAMPLES = 4000;
const FEWEST_SAMPLES = 10;
/** Told by the depth that only this part of the places exceeds: single spots are told by other findings. */
const DEEPEST_SHARE = 0.05;
/** The remedy aims a little below the limit. */
const AIM = 0.9;
/** In a row too short for its feed the head is fastest in the middle, and on half of its way slower than here. */
const SLOW_PART = 0.25;

/**
 * `too-deep`: engraving deeper than the chosen part of the stock; a stop where it comes out at the back. One finding
 * per operation. Nothing without a thickness.
 */
export function findTooDeep(evidence: Evidence): Finding[] {
  const thicknessMm = evidence.stock?.thicknessMm ?? null;
  if (thicknessMm === null) return [];
  const limitMm = evidence.deepestEngraving * thicknessMm;
  const asked = evidence.operations
    .filter(({ rows }) => rows !== null)
    .flatMap((each) => askedOf(evidence, each, limitMm) ?? []);
  const got = doseOnPath(
    evidence,
    asked.flatMap(({ places }) => places.map(({ atMm }) => atMm)),
  );
  let from = 0;
  return asked.flatMap((one) => {
    const there = got.slice(from, (from += one.places.length));
    const depthsMm = depthsOf(evidence, there);
    // Most engraving is not too deep: then its places need no order.
    if (depthsMm.filter((mm) => mm > limitMm).length <= passedOver(one)) return [];
    const deep = deepest(one, there, depthsMm, thicknessMm);
    return deep.depthMm > limitMm ? [finding(evidence, one, deep, thicknessMm)] : [];
  });
}

/** So many of the deepest places of an operation are passed over. */
const passedOver = ({ count }: Asked): number => Math.floor(count * DEEPEST_SHARE);

/** How deep places go, in wood as thick as that takes, mm. */
const depthsOf = ({ wood }: Evidence, got: readonly OnLine[]): number[] =>
  got.map(({ doseJPerMm2, dwellS, headZMm, needTimes }) =>
    wood.depthMm(doseJPerMm2, dwellS, headZMm, needTimes),
  );

interface Place {
  readonly move: number;
  readonly atMm: readonly [xMm: number, yMm: number];
}

/** An operation whose rows may go too deep. */
interface Asked {
  readonly each: OperationEvidence;
  /** The places that may be too deep, of so many that were looked at. */
  readonly places: readonly Place[];
  readonly count: number;
}

interface Deep extends Place {
  readonly depthMm: number;
  readonly got: OnLine;
  /** The part of the places that is through. */
  readonly throughShare: number;
}

/** null where by the grid no {@link DEEPEST_SHARE} of an operation's places can be deeper than `limitMm`. */
function askedOf(evidence: Evidence, each: OperationEvidence, limitMm: number): Asked | null {
  const { wood, program, firedAt } = evidence;
  const all = placesOf(evidence, each.operation);
  const zMm = headZMm(program, each.operation);
  const places = all.filter(
    ({ atMm }) =>
      mostDose(evidence, ...atMm) > wood.doseForDepth(limitMm, 0, zMm, firedAt(...atMm).needTimes),
  );
  const isLeftOpen = all.length >= FEWEST_SAMPLES && places.length > all.length * DEEPEST_SHARE;
  return isLeftOpen ? { each, places, count: all.length } : null;
}

/** What is told of them, by what falls there in closed form, so that nothing hangs on the grid's cells. */
function deepest(
  asked: Asked,
  got: readonly OnLine[],
  depthsMm: readonly number[],
  thicknessMm: number,
): Deep {
  const found = asked.places.map((place, k) => ({ ...place, got: got[k]!, depthMm: depthsMm[k]! }));
  // By how deep they would go in thicker wood: of those that are through the deepest is what a remedy must mend.
  found.sort((a, b) => b.depthMm - a.depthMm);
  const through = found.filter(({ depthMm }) => depthMm >= thicknessMm);
  const worst = found[passedOver(asked)]!;
  return {
    ...worst,
    depthMm: Math.min(worst.depthMm, thicknessMm),
    throughShare: through.length / asked.count,
  };
}

/** A place of every burning move, or of many evenly strewn; none that the grid leaves out. */
function placesOf(evidence: Evidence, { n, firstMove, lastMove }: Operation): Place[] {
  const { energies, dose, motion, survey } = evidence;
  const part = isMostlySlow(survey, n) ? SLOW_PART : 0.5;
  const stride = Math.max(1, Math.floor((lastMove - firstMove) / MOST_SAMPLES));
  const places: Place[] = [];
  for (let at = firstMove; at <= lastMove; at += stride) {
    let i = at;
    while (i <= lastMove && i < at + stride && energies.nominalMmPerS[i] === 0) i++;
    if (i > lastMove || i === at + stride) continue;
    const atMm = pointInside(evidence, i, true, part * motion.lengthMm[i]!);
    if (cellAt(dose.grid, ...atMm) >= 0) places.push({ move: i, atMm });
  }
  return places;
}

/** A speed is tried so often: where half the dose falls at row ends, the next one must make up for them. */
const MOST_TRIES = 4;
/** What comes out this much deeper than was aimed at is still told as such, and within the limit. */
const ABOUT = 1.05;

interface Shallower {
  readonly change: string;
  /** `at 1670 mm/min`. */
  readonly words: string;
}

/**
 * A speed at which it goes no deeper than `aimMm` where it is deepest, which at row ends under constant power hangs little on
 * the feed; else less power.
 */
function shallower(
  evidence: Evidence,
  one: Asked,
  { got, move }: Deep,
  aimMm: number,
  thicknessMm: number,
): Shallower {
  const { wood } = evidence;
  const { each } = one;
  const lessOn = ({ doseJPerMm2, dwellS, headZMm: zMm, needTimes }: OnLine): number =>
    Math.min(1, wood.doseForDepth(aimMm, dwellS, zMm, needTimes) / doseJPerMm2);
  const places = one.places.map(({ atMm }) => atMm);
  const less = lessOn(got);
  let feed = plainFeed(each.fullSpeedMmPerS / less);
  for (let k = 0; k < MOST_TRIES; k++) {
    const mmPerS = mmPerMinToMmPerS(feed);
    if (!comesUpTo(evidence, each, move, mmPerS)) break;
    const motion = atFeed(evidence, each.operation, mmPerS);
    const there = doseOnPath({ ...evidence, motion }, places);
    const then = deepest(one, there, depthsOf(evidence, there), thicknessMm);
    if (then.depthMm <= ABOUT * aimMm)
      return { change: `speed ${feed}`, words: `at ${numberWords(feed, 4)} mm/min` };
    feed = plainFeed(mmPerS / lessOn(then.got));
  }
  const duty = dutyFor(evidence, each, less);
  const power = Math.max(0.1, Math.floor(1000 * duty) / 10);
  const at = speedBeside(evidence, each);
  return {
    change: `${at.setting}power ${power}%`,
    words: `with ${numberWords(power, 3)} % power${at.words}`,
  };
}

function finding(evidence: Evidence, one: Asked, deep: Deep, thicknessMm: number): Finding {
  const { wood, deepestEngraving, program, energies } = evidence;
  const { each } = one;
  const { n } = each.operation;
  const { depthMm, got, atMm, move, throughShare } = deep;
  const { doseJPerMm2: there, dwellS, needTimes } = got;
  const span = { ...depthSpan(evidence, each, got), depthMm };
  const limitMm = deepestEngraving * thicknessMm;
  const aimMm = AIM * limitMm;
  const wanted = wood.doseForDepth(aimMm, dwellS, got.headZMm, needTimes);
  const { change, words } = shallower(evidence, one, deep, aimMm, thicknessMm);
  const out = throughShare > 0;
  const { moves } = program;
  const [xMm, yMm] = atMm;
  return {
    kind: 'too-deep',
    severity: out ? 'stop' : 'warning',
    line: moves.line[move]!,
    atMm: [round(xMm, 3), round(yMm, 3)],
    operation: n,
    message: out
      ? `The engraving burns through the board: ${numberWords(there, 2)} J/mm² reach deeper than its ${mmWords(thicknessMm)}.`
      : `The engraving goes ${depthSpanWords(span, 'mm deep')}, more than ${percentWords(deepestEngraving)} of the ` +
        `${mmWords(thicknessMm)} board: it weakens it and may warp it.`,
    remedy: `Engrave ${words}, which comes to about ${mmWords(aimMm)}.`,
    measure: {
      depth_mm: round(depthMm),
      ...spanMeasure(span),
      limit_mm: round(limitMm),
      thickness_mm: thicknessMm,
      dose_j_mm2: round(there),
      wanted_j_mm2: round(wanted),
      through_share: round(throughShare),
      full_speed_mm_s: round(energies.nominalMmPerS[move]!),
    },
    advice: { operation: n, change: `${n}: ${change}` },
  };
}
