import type { Motion } from '../motion/motion.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { feedWords, numberWords, percentWords } from '../words.ts';
import { evenOut } from './evidence/even-out.ts';
import { type Evidence, looksDifferent, middleOf, type OperationEvidence } from './evidence/evidence.ts';
import { atFeed } from './evidence/reach.ts';
import { type SlowRows, slowRowsOf, timesLonger, toneAlong } from './evidence/slow-rows.ts';
import { SLOW } from './evidence/survey.ts';
import type { Advice, Finding } from './finding.ts';
import { aboutFeed, doseInstead, manyTimes, mmWords, round, shadeInstead } from './phrases.ts';
import { steadyFeed } from './settings-words.ts';

/** Rows that are told beside the rest are at least this part of what the operation burns. A judgement. */
const PART = 0.1;
/** Feeds that are tried where the beam does not follow the head, as parts of the mean speed in these rows. */
const PACES = [1, 0.8, 0.6, 0.4];

/**
 * `below-speed` of a part: under constant power rows that never come up to the feed, plainly darker than the rest of their
 * operation, which does.
 */
export function findSlowRows(evidence: Evidence, each: OperationEvidence): Finding[] {
  const { operation, rows } = each;
  const { motion, survey } = evidence.unheld ?? evidence;
  const leastMm = PART * survey.burnedMm[operation.n]!;
  if (!rows || operation.powerMode !== 'constant' || survey.slowMm[operation.n]! < leastMm) return [];
  const slow = slowRowsOf(evidence, each, motion);
  if (slow.lengthMm < leastMm || slow.others.length === 0) return [];
  const times = timesLonger(slow.moves, motion, (i) => evidence.energies.nominalMmPerS[i]!);
  return looksDarker(evidence, each, times) ? [finding(evidence, each, slow, times)] : [];
}

/** Whether what gets so many times the dose of full speed, and lies under the beam so much longer, looks plainly different. */
export function looksDarker(evidence: Evidence, each: OperationEvidence, times: number): boolean {
  const { straightJPerMm2: doseJPerMm2, straightDwellS: dwellS } = each;
  const there = { doseJPerMm2: times * doseJPerMm2, dwellS: times * dwellS };
  return looksDifferent(evidence, each, there, { doseJPerMm2, dwellS });
}

function finding(evidence: Evidence, each: OperationEvidence, slow: SlowRows, times: number): Finding {
  const { motion, survey } = evidence.unheld ?? evidence;
  const { program } = evidence;
  const { operation, fullSpeedMmPerS: full, straightJPerMm2 } = each;
  const first = slow.moves[0]!;
  const share = slow.lengthMm / survey.burnedMm[operation.n]!;
  const rowMm = slow.lengthMm / slow.count;
  const runUpMm = full ** 2 / (2 * motion.accelMmPerS2[first]!);
  const tone = toneOf(evidence, each, slow.moves, motion);
  const usualTone = toneOf(evidence, each, slow.others, motion);
  const [xMm, yMm] = middleOf(evidence, first);
  const { remedy, change } = remedyOf(evidence, each, slow, times);
  const advice: Advice | null = change === null ? null : { operation: operation.n, change };
  return {
    kind: 'below-speed',
    severity: 'warning',
    line: program.moves.line[first]!,
    atMm: [round(xMm, 3), round(yMm, 3)],
    operation: operation.n,
    message:
      `On ${percentWords(round(share, 2))} of its length the head never comes up to ${feedWords(full)}, in other rows it does: ` +
      `these are ${mmWords(rowMm)} long on average, and coming up to it takes ${mmWords(runUpMm)}; ` +
      `${aboutFeed(full / times)} is their mean. Constant power makes up for none of it, so they get ${manyTimes(times)} ` +
      `the dose of the rest (${doseInstead(times * straightJPerMm2, straightJPerMm2)}) and come out ` +
      `${shadeInstead(tone, usualTone)}.`,
    remedy,
    measure: {
      share: round(share),
      slow_below_part: SLOW,
      row_mm: round(rowMm),
      mean_speed_mm_s: round(full / times),
      full_speed_mm_s: round(full),
      times_straight: round(times, 3),
      dose_j_mm2: round(times * straightJPerMm2),
      straight_j_mm2: round(straightJPerMm2),
      tone: round(tone),
      usual_tone: round(usualTone),
    },
    advice,
  };
}

/** Moves whose tones are averaged. */
const MOST_ASKED = 400;

/** How dark moves come out on the mean of their length, as warm as the wood is there. */
function toneOf(
  evidence: Evidence,
  each: OperationEvidence,
  moves: readonly number[],
  motion: Motion,
): number {
  const stride = Math.max(1, Math.floor(moves.length / MOST_ASKED));
  const asked = moves.filter((_, k) => k % stride === 0);
  let [sum, lengthMm] = [0, 0];
  for (const i of asked) {
    const { needTimes } = evidence.firedAt(...middleOf(evidence, i));
    sum += motion.lengthMm[i]! * toneAlong(evidence, each, motion, i, needTimes);
    lengthMm += motion.lengthMm[i]!;
  }
  return sum / lengthMm;
}

/** Proportional power; where the beam does not follow the head, the fastest feed at which they look like the rest. */
function remedyOf(
  evidence: Evidence,
  each: OperationEvidence,
  slow: SlowRows,
  times: number,
): { readonly remedy: string; readonly change: string | null } {
  const { machine } = evidence;
  if (machine.laser.m4_power === 'proportional')
    return evenOut(evidence, each, 'which turns the beam down with the head', times);
  const why = "This machine's beam does not follow the speed of the head, so burn";
  for (const pace of PACES) {
    const { feedMmPerMin, powerPercent, change } = steadyFeed(
      each.operation,
      machine,
      (pace * each.fullSpeedMmPerS) / times,
    );
    const feedMmPerS = mmPerMinToMmPerS(feedMmPerMin);
    const slower = atFeed(evidence, each.operation, feedMmPerS);
    if (
      looksDarker(
        evidence,
        each,
        timesLonger(slow.moves, slower, () => feedMmPerS),
      )
    )
      continue;
    return {
      remedy:
        `${why} it slower: at ${numberWords(feedMmPerMin, 4)} mm/min with ${numberWords(powerPercent)} % power ` +
        'these rows look like the rest.',
      change,
    };
  }
  return { remedy: `${why} these rows as an operation of their own, with less power.`, change: null };
}
