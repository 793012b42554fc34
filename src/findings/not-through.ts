import { CHARS_MORE, SLOWEST_MM_PER_S, SLOWEST_WORDS } from '../burn/settings-for.ts';
import { powerFor } from '../burn/speed-power.ts';
import type { Operation } from '../program/program.ts';
import type { LeastPlace } from '../sure/place.ts';
import { boardsWords, partWords } from '../sure/words.ts';
import { feedWords, lengthWords, numberWords, percentWords, timesWords } from '../words.ts';
import { type Order, orderOnceThrough } from './cut-before-engraved.ts';
import { NO_SPEED, trueSpeed } from './evidence/capped.ts';
import { marginWords, NEARLY_ALL, TAKEN_FOR_A_CUT, uncutShare } from './evidence/cut-forecast.ts';
import type { CutPath, CutPlace } from './evidence/cut-path.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence, OperationEvidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { CUTTING_CAUTION, mmWords, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** More passes than this are no plan: every one chars the walls again. Then the speed comes down too. */
const MOST_PASSES = 12;
const WANTED_PASSES = 4;
/** What takes at most this part of the passes, or of the time, is clearly less. A judgement. */
const CLEARLY_FEWER = 2 / 3;
/** Other power and passes leave other warmth behind, and mean dwell where others burn there too: within some hundredths. */
const SPARE = 1.03;

/**
 * `not-through`: an operation that is meant to cut does not come through on 19 of 20 such boards. Says where, and which
 * passes or speed would do. One finding per operation.
 */
export function findNotThrough(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const short = cuts.flatMap((cut) => {
    const { weakest } = cut.path;
    return weakest && cut.comesThrough.chanceThrough < evidence.sure ? [{ cut, weakest }] : [];
  });
  if (short.length === 0) return [];
  const orderOf = orderOnceThrough(evidence, cuts);
  return short.map(({ cut, weakest }) => finding(evidence, cut, weakest, orderOf(cut.each.operation.n)));
}

/** What would cut, and how to say it. */
interface Plan {
  readonly change: string | null;
  readonly words: string;
}

/**
 * More power where the machine has it and that spares a good part of the passes, else more passes, else a slower speed
 * in a few of them.
 */
function planOf(evidence: Evidence, cut: Cut): Plan {
  const { passesForSure } = cut.comesThrough;
  const stronger = atFullPower(evidence, cut);
  if (stronger) {
    let passes = cut.each.operation.passes;
    while (passes <= MOST_PASSES && powerPercent(evidence, cut, passes) > 100) passes++;
    if (passes <= MOST_PASSES && passes <= CLEARLY_FEWER * (passesForSure ?? Infinity))
      return powerPlan(evidence, cut, passes);
  }
  return passesForSure !== null && passesForSure <= MOST_PASSES
    ? passesPlan(evidence, cut, passesForSure)
    : slowerPlan(evidence, cut, stronger);
}

const thenWords = ({ sureness }: Evidence): string =>
  `then it comes through on ${partWords(sureness.sure)} such boards.`;

/** What the operation emits at full speed as it stands, W. */
function emittedW({ law, machine }: Evidence, { operation, fullSpeedMmPerS }: OperationEvidence): number {
  return law.watts(Math.min(operation.sMax, machine.laser.s_max), ratioOf(operation, fullSpeedMmPerS));
}

/** Proportional power whose feed is beyond the machine never comes up to S. */
const ratioOf = ({ powerMode, feedMmPerS }: Operation, fullSpeedMmPerS: number): number =>
  powerMode === 'proportional' ? Math.min(1, fullSpeedMmPerS / feedMmPerS) : 1;

/** The weakest place with all the power there is; null where the cut has that already. */
function atFullPower(evidence: Evidence, { each, least }: Cut): LeastPlace | null {
  const {
    law,
    machine: { laser },
  } = evidence;
  const { operation, fullSpeedMmPerS } = each;
  const now = emittedW(evidence, each);
  const times = law.watts(laser.s_max, ratioOf(operation, fullSpeedMmPerS)) / now;
  if (!least || operation.sMax >= laser.s_max || !(now > 0)) return null;
  const { doseJPerMm2, perPassJPerMm2, passes } = least;
  return {
    ...least,
    doseJPerMm2: doseJPerMm2 + (times - 1) * passes * perPassJPerMm2,
    perPassJPerMm2: times * perPassJPerMm2,
  };
}

/** The power with which so many passes do, in whole per cent of full power. */
function powerPercent(evidence: Evidence, { each, least }: Cut, passes: number): number {
  const watts = SPARE * evidence.sureness.powerForSure(least!, passes) * emittedW(evidence, each);
  const duty = powerFor(evidence.machine.laser, watts) / ratioOf(each.operation, each.fullSpeedMmPerS);
  return Math.ceil(100 * duty);
}

function powerPlan(evidence: Evidence, cut: Cut, passes: number): Plan {
  const { each, comesThrough } = cut;
  const { passesForSure } = comesThrough;
  const { operation, fullSpeedMmPerS } = each;
  const percent = powerPercent(evidence, cut, passes);
  const at = operation.powerMode === 'constant' ? trueSpeed(evidence, each) : NO_SPEED;
  const often = passes === operation.passes ? '' : `, passes ${passes}`;
  const asItIs =
    passesForSure !== null && passesForSure <= MOST_PASSES
      ? `, or ${timesWords(passesForSure)} as it is`
      : '';
  return {
    change: `${at.setting}power ${percent}%${often}`,
    words:
      `Burn it ${timesWords(passes)} with ${numberWords(percent)} % power${at.words}${asItIs}: ` +
      `${thenWords(evidence)}${slowInAll(fullSpeedMmPerS / passes)}`,
  };
}

function passesPlan(evidence: Evidence, cut: Cut, passes: number): Plan {
  const { operation, fullSpeedMmPerS } = cut.each;
  const times = evidence.sureness.speedForSure(cut.least!, operation.passes);
  const isSooner = operation.passes <= CLEARLY_FEWER * passes * times;
  const feed = plainFeed(times * fullSpeedMmPerS);
  const slower =
    isSooner && times * fullSpeedMmPerS >= SLOWEST_MM_PER_S
      ? `, or ${timesWords(operation.passes)} at ${numberWords(feed, 4)} mm/min, which is sooner done`
      : '';
  return {
    change: `passes ${passes}`,
    words: `Burn it ${timesWords(passes)} in all${slower}: ${thenWords(evidence)}${slowInAll(fullSpeedMmPerS / passes)}`,
  };
}

/** A few passes at a slower speed, with all the power there is. */
function slowerPlan(evidence: Evidence, cut: Cut, stronger: LeastPlace | null): Plan {
  const { sureness, stock } = evidence;
  const {
    each,
    least,
    comesThrough: { passesForSure },
  } = cut;
  const { fullSpeedMmPerS } = each;
  const speed = sureness.speedForSure(stronger ?? least!, WANTED_PASSES) * fullSpeedMmPerS;
  const full = stronger ? ' with full power' : '';
  if (speed < SLOWEST_MM_PER_S) {
    const words =
      `Not even ${numberWords(WANTED_PASSES)} passes at ${SLOWEST_WORDS}${full} bring this beam through ` +
      `${mmWords(stock!.thicknessMm!)} on ${partWords(sureness.sure)} such boards; slower, ${CHARS_MORE}. ` +
      `Use thinner stock or ${stronger ? 'a stronger laser' : 'more power'}.`;
    return { change: null, words };
  }
  const wantedMmPerS = Math.min(speed, fullSpeedMmPerS);
  const feed = plainFeed(wantedMmPerS);
  const asItIs = passesForSure === null ? '' : `, or ${timesWords(passesForSure)} as it is`;
  return {
    change: `speed ${feed}, ${stronger ? 'power 100%, ' : ''}passes ${WANTED_PASSES}`,
    words:
      `Burn it ${timesWords(WANTED_PASSES)} at ${numberWords(feed, 4)} mm/min${full}${asItIs}: ${thenWords(evidence)}` +
      slowInAll(wantedMmPerS / WANTED_PASSES),
  };
}

/** What to say of passes that come to this speed all together. */
const slowInAll = (mmPerS: number): string =>
  mmPerS < SLOWEST_MM_PER_S
    ? ` But all passes together are then slower than ${SLOWEST_WORDS}, where ${CHARS_MORE}: ` +
      'thinner stock or a stronger laser is the better way, and a scrap the place to try it.'
    : '';

/** How to say that it was taken wrongly. */
const orEngraved = (n: number): string => `If it is to engrave only, say so with the change “${n}: engrave”.`;

/** What is to be expected if machine, wood and board are what they are said to be, and on how many they are. */
function messageOf({ stock, sureness }: Evidence, { each, path, isAssumed, comesThrough }: Cut): string {
  const { operation } = each;
  const { chanceThrough } = comesThrough;
  const name = `The outline${isAssumed ? `, ${TAKEN_FOR_A_CUT},` : ''}`;
  const burned = `burned ${timesWords(operation.passes)} at ${feedWords(operation.feedMmPerS)}`;
  const boards = boardsWords(chanceThrough, sureness.sure);
  if (!path.uncut) {
    const may = chanceThrough < 0.5 ? 'more likely stays uncut than not' : 'may not cut through';
    return `${name} ${may}: ${burned} it has ${marginWords(path.weakest!.margin)}, and comes through on ${boards}.`;
  }
  return (
    `${name} ${uncutWords(path)}: ${burned} it reaches ${mmWords(path.shallowestMm)} of ` +
    `${mmWords(stock!.thicknessMm!)} at the shallowest, and comes through on ${boards}.`
  );
}

function uncutWords(path: CutPath): string {
  const share = uncutShare(path);
  if (share > NEARLY_ALL && share < 1) return 'cuts through nearly nowhere';
  const along = `along ${lengthWords(path.uncutMm)} (${percentWords(round(share, 3))} of it)`;
  return `does not cut through ${share < 1 ? along : 'anywhere'}`;
}

function finding(evidence: Evidence, cut: Cut, weakest: CutPlace, order: Order | null): Finding {
  const { each, path, isAssumed, comesThrough } = cut;
  const { n, passes } = each.operation;
  const { places } = evidence.lines;
  const { at } = weakest;
  const line = evidence.program.moves.line[places.move[at]!]!;
  const atMm = [round(places.xMm[at]!, 3), round(places.yMm[at]!, 3)] as const;
  const worst = path.uncut?.worst;
  const plan = planOf(evidence, cut);
  return {
    kind: 'not-through',
    severity: 'warning',
    line: worst?.line ?? line,
    atMm: worst ? [round(worst.xMm, 3), round(worst.yMm, 3)] : atMm,
    operation: n,
    message: messageOf(evidence, cut),
    remedy: [
      plan.words,
      plan.change ? (order?.words ?? null) : null,
      isAssumed ? orEngraved(n) : null,
      plan.change ? CUTTING_CAUTION : null,
    ]
      .filter((words) => words !== null)
      .join(' '),
    measure: {
      uncut_mm: round(path.uncutMm, 2),
      share: round(uncutShare(path)),
      depth_mm: round(path.shallowestMm),
      thickness_mm: evidence.stock!.thicknessMm!,
      dose_j_mm2: round(weakest.doseJPerMm2),
      passes,
      assumed_cut: isAssumed ? 'yes' : 'no',
      chance_through: round(comesThrough.chanceThrough, 3),
      passes_needed: comesThrough.passesForSure ?? 'none',
      places: path.uncut?.places ?? [[...atMm, line]],
    },
    advice: plan.change
      ? {
          operation: n,
          change: `${n}: ${[plan.change, ...(order?.settings ? [order.settings] : [])].join(', ')}`,
        }
      : null,
  };
}
