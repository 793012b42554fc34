import { mmPerSToMmPerMin } from '../units.ts';
import { feedWords, numberWords, percentWords } from '../words.ts';
import { isCapped, mostCappedMove } from './evidence/capped.ts';
import { type Evidence, looksDifferent, type OperationEvidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { doseInstead, manyTimes, round } from './phrases.ts';
import { steadyFeed } from './settings-words.ts';

/**
 * `speed-capped`: a feed above what the machine can run. With proportional power the line energy stays what the
 * file says (a note); with constant power the wood gets more. One finding per operation.
 */
export function findSpeedCapped(evidence: Evidence): Finding[] {
  const { survey } = evidence;
  return evidence.operations
    .filter(({ operation: { n } }) => isCapped(survey, n))
    .map((each) => finding(evidence, each));
}

function finding(evidence: Evidence, each: OperationEvidence): Finding {
  const { survey, machine, program, energies } = evidence;
  const { operation, straight, straightDwellS } = each;
  const { n, feedMmPerS, powerMode } = operation;
  const { moves } = program;
  const times = survey.mostCapped[n]!;
  const move = mostCappedMove(evidence, each);
  const topMmPerS = energies.nominalMmPerS[move]!;
  // What the file asks for: the dose at its feed, which constant power does not get at the limit.
  const there = straight.dosePerLineEnergy * energies.nominalJPerMm(move);
  const asked = there / times;
  const shows =
    powerMode === 'constant' &&
    looksDifferent(
      evidence,
      each,
      { doseJPerMm2: there, dwellS: straightDwellS },
      { doseJPerMm2: asked, dwellS: straightDwellS / times },
    );
  const share = survey.cappedMm[n]! / survey.burnedMm[n]!;
  const steady = steadyFeed(operation, machine, topMmPerS);
  const dose =
    powerMode === 'proportional'
      ? ' Proportional power turns down with it, so the wood gets what the file says; it only takes longer.'
      : shows
        ? ` Constant power stays up, so the wood gets ${manyTimes(times)} what the file says (${doseInstead(there, asked)}).`
        : ' The wood looks the same; it only takes longer.';
  return {
    kind: 'speed-capped',
    severity: shows ? 'warning' : 'note',
    line: moves.line[move]!,
    atMm: [round(moves.xMm[move]!, 3), round(moves.yMm[move]!, 3)],
    operation: n,
    message:
      `Its feed of ${feedWords(feedMmPerS)} is beyond the machine, which runs at most ${feedWords(topMmPerS)} ` +
      `there: ${percentWords(round(share, 3))} of its length burns at that instead.${dose}`,
    remedy: shows
      ? `Burn it at ${numberWords(steady.feedMmPerMin, 4)} mm/min with ${numberWords(steady.powerPercent)} % power, which gives the dose that was meant.`
      : `Nothing needs to change; ${numberWords(steady.feedMmPerMin, 4)} mm/min would say what happens.`,
    measure: {
      feed_mm_min: round(mmPerSToMmPerMin(feedMmPerS), 2),
      limit_mm_min: round(mmPerSToMmPerMin(topMmPerS), 2),
      times_feed: round(times, 3),
      share: round(share),
      dose_j_mm2: round(there),
      asked_j_mm2: round(powerMode === 'proportional' ? there : asked),
    },
    advice: shows ? { operation: n, change: steady.change } : null,
  };
}
