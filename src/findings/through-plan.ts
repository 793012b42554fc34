import { CHARS_MORE, SLOWEST_MM_PER_S, SLOWEST_WORDS } from '../burn/settings-for.ts';
import type { LeastPlace } from '../sure/place.ts';
import { partWords } from '../sure/words.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { numberWords, timesWords } from '../words.ts';
import { speedBeside } from './evidence/capped.ts';
import { leastAlone } from './evidence/cut-alone.ts';
import type { Cut } from './evidence/cuts.ts';
import { dutyFor, emittedW, ratioOf } from './evidence/emitted.ts';
import type { Evidence } from './evidence/evidence.ts';
import { atFeed } from './evidence/reach.ts';
import { mmWords } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** More passes than this are no plan: every one chars the walls again. Then the speed comes down too. */
const MOST_PASSES = 12;
const WANTED_PASSES = 4;
/** What takes at most this part of the passes, or of the time, is clearly less. A judgement. */
const CLEARLY_FEWER = 2 / 3;
/** Other power and passes leave other warmth behind, and mean dwell where others burn there too: within some hundredths. */
const SPARE = 1.03;

/** What would bring a cut through, and how to say it; no change where nothing does. */
export interface ThroughPlan {
  readonly change: string | null;
  readonly words: string;
}

/**
 * More power where the machine has it and that spares a good part of the passes, else more passes, else a slower speed
 * in a few of them.
 */
export function planThrough(evidence: Evidence, cut: Cut): ThroughPlan {
  const { passesForSure } = cut.comesThrough;
  const stronger = atFullPower(evidence, cut);
  if (stronger) {
    const most = Math.min(MOST_PASSES, CLEARLY_FEWER * (passesForSure ?? Infinity));
    let passes = cut.each.operation.passes;
    while (passes <= most && powerPercent(evidence, cut, passes) > 100) passes++;
    if (passes <= most) return powerPlan(evidence, cut, passes);
  }
  return passesForSure !== null && passesForSure <= MOST_PASSES
    ? passesPlan(evidence, cut, passesForSure)
    : slowerPlan(evidence, cut, stronger);
}

const thenWords = ({ sureness }: Evidence): string =>
  `then it comes through on ${partWords(sureness.sure)} such boards.`;

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
  return Math.ceil(100 * dutyFor(evidence, each, SPARE * evidence.sureness.powerForSure(least!, passes)));
}

function powerPlan(evidence: Evidence, cut: Cut, passes: number): ThroughPlan {
  const { each, comesThrough } = cut;
  const { passesForSure } = comesThrough;
  const { operation, fullSpeedMmPerS } = each;
  const percent = powerPercent(evidence, cut, passes);
  const at = speedBeside(evidence, each);
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

function passesPlan(evidence: Evidence, cut: Cut, passes: number): ThroughPlan {
  const { operation, fullSpeedMmPerS } = cut.each;
  const times = evidence.sureness.speedForSure(cut.least!, operation.passes);
  const isSooner = operation.passes <= CLEARLY_FEWER * passes * times;
  const speed = isSooner ? slowEnough(evidence, cut, operation.passes, times * fullSpeedMmPerS) : 0;
  const feed = plainFeed(speed);
  const slower =
    isSooner &&
    operation.passes * fullSpeedMmPerS <= CLEARLY_FEWER * passes * speed &&
    speed >= SLOWEST_MM_PER_S
      ? `, or ${timesWords(operation.passes)} at ${numberWords(feed, 4)} mm/min, which is sooner done`
      : '';
  return {
    change: `passes ${passes}`,
    words: `Burn it ${timesWords(passes)} in all${slower}: ${thenWords(evidence)}${slowInAll(fullSpeedMmPerS / passes)}`,
  };
}

/** A few passes at a slower speed, with all the power there is. */
function slowerPlan(evidence: Evidence, cut: Cut, stronger: LeastPlace | null): ThroughPlan {
  const { sureness, stock } = evidence;
  const {
    each,
    least,
    comesThrough: { passesForSure },
  } = cut;
  const { fullSpeedMmPerS } = each;
  const speed = slowEnough(
    evidence,
    cut,
    WANTED_PASSES,
    sureness.speedForSure(stronger ?? least!, WANTED_PASSES) * fullSpeedMmPerS,
    stronger ? stronger.perPassJPerMm2 / least!.perPassJPerMm2 : 1,
  );
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

/** A speed is tried so often; each next one makes up for what the last one lacked. */
const MOST_TRIES = 4;

/**
 * A speed at which so many passes do, no faster than the first one that is tried: a head that never came up to its feed, and
 * gave the more for it, may well come up to a lower one.
 * @param timesPower what is emitted then as a multiple of what is now.
 */
function slowEnough(
  evidence: Evidence,
  { each }: Cut,
  passes: number,
  firstMmPerS: number,
  timesPower = 1,
): number {
  const { sureness } = evidence;
  let speed = Math.min(firstMmPerS, each.fullSpeedMmPerS);
  for (let k = 0; k < MOST_TRIES && speed >= SLOWEST_MM_PER_S; k++) {
    const triedMmPerS = mmPerMinToMmPerS(plainFeed(speed));
    const then = leastAlone(evidence, each, atFeed(evidence, each.operation, triedMmPerS), passes);
    if (!then) return speed;
    const least = {
      ...then,
      doseJPerMm2: timesPower * then.doseJPerMm2,
      perPassJPerMm2: timesPower * then.perPassJPerMm2,
    };
    const times = sureness.speedForSure(least, passes);
    if (times >= 1) return triedMmPerS;
    speed = triedMmPerS * times;
  }
  return speed;
}

/** What to say of passes that come to this speed all together. */
const slowInAll = (mmPerS: number): string =>
  mmPerS < SLOWEST_MM_PER_S
    ? ` But all passes together are then slower than ${SLOWEST_WORDS}, where ${CHARS_MORE}: ` +
      'thinner stock or a stronger laser is the better way, and a scrap the place to try it.'
    : '';
