import { feedWords, numberWords, percentWords } from '../words.ts';
import { evenOut } from './evidence/even-out.ts';
import { type Evidence, looksDifferent, type OperationEvidence } from './evidence/evidence.ts';
import { gapsUnderProportional } from './evidence/gaps.ts';
import { lookaheadReach } from './evidence/reach.ts';
import { isMostlySlow, meanSpeedMmPerS, SLOW, type Survey, timesFullSpeed } from './evidence/survey.ts';
import type { Finding } from './finding.ts';
import { aboutFeed, doseInstead, manyTimes, mmWords, round, tenthAbove } from './phrases.ts';
import { steadyFeed } from './settings-words.ts';
import { findSlowRows, looksDarker } from './slow-rows.ts';

/**
 * `below-speed`: most of an operation's length never reaches its feed, because its strokes are short or its curves
 * tight. With proportional power it takes longer and nothing else (a note), unless the diode's threshold makes it paler;
 * with constant power it burns darker.
 * Where the rest does come up to it, rows that never do are told beside that. What the link slows is told by `starved`.
 * One finding per operation.
 */
export function findBelowSpeed(evidence: Evidence): Finding[] {
  return evidence.operations.flatMap((each) =>
    isMostlySlow(surveyOf(evidence), each.operation.n)
      ? [finding(evidence, each)]
      : findSlowRows(evidence, each),
  );
}

/** As the machine is; what the link does to it is another finding. */
const surveyOf = (evidence: Evidence): Survey => evidence.unheld?.survey ?? evidence.survey;

/** Whether constant power lets it burn plainly darker than its feed would. */
function shows(evidence: Evidence, each: OperationEvidence): boolean {
  const { operation } = each;
  const times = timesFullSpeed(surveyOf(evidence), operation.n);
  return operation.powerMode === 'constant' && times > 1 && looksDarker(evidence, each, times);
}

/** Whether proportional power lets it burn plainly paler than its feed would, for falling below the threshold. */
function paler(evidence: Evidence, each: OperationEvidence): boolean {
  const { operation, straightJPerMm2: usual, straightDwellS } = each;
  const times = timesFullSpeed(surveyOf(evidence), operation.n);
  return (
    operation.powerMode === 'proportional' &&
    times < 1 &&
    looksDifferent(
      evidence,
      each,
      { doseJPerMm2: usual * times, dwellS: straightDwellS / times },
      { doseJPerMm2: usual, dwellS: straightDwellS },
    )
  );
}

/** Proportional power that gives this part of the dose, or more, follows. */
export const FOLLOWS = 0.95;

/** Slower than its mean by this part, the head keeps a feed nearly everywhere. */
const WITHIN_PACE = 0.7;

/** A feed that the head keeps, with the power that gives as much light. */
function atItsPace({ machine }: Evidence, { operation }: OperationEvidence, meanMmPerS: number) {
  const steady = steadyFeed(operation, machine, WITHIN_PACE * meanMmPerS);
  return {
    remedy:
      `Burn it at ${numberWords(steady.feedMmPerMin, 4)} mm/min with ${numberWords(steady.powerPercent)} % power, a speed ` +
      'that the head keeps.',
    change: steady.change,
  };
}

/** Such an operation has no straight line at full speed from which its corners and ends could stand out. */
export const isDarkAllAlong = (evidence: Evidence, each: OperationEvidence): boolean =>
  isMostlySlow(surveyOf(evidence), each.operation.n) && shows(evidence, each);

function finding(evidence: Evidence, each: OperationEvidence): Finding {
  const survey = surveyOf(evidence);
  const { operation, straightJPerMm2, fullSpeedMmPerS } = each;
  const { moves } = evidence.program;
  const { n, powerMode, firstMove } = operation;
  const share = survey.slowMm[n]! / survey.burnedMm[n]!;
  const meanMmPerS = meanSpeedMmPerS(survey, n);
  const times = timesFullSpeed(survey, n);
  const there = straightJPerMm2 * times;
  const dark = shows(evidence, each);
  const fades = paler(evidence, each);
  const gaps = fades && gapsUnderProportional(evidence, each) !== null;
  const mend = dark
    ? evenOut(evidence, each, 'which turns the beam down with the head', times)
    : fades && !gaps
      ? atItsPace(evidence, each, meanMmPerS)
      : null;
  const why = whySlow(evidence, each);
  const dose = dark
    ? ` Constant power makes up for none of it, so it gets ${manyTimes(times)} the dose of its feed on average ` +
      `(${doseInstead(there, straightJPerMm2)}).`
    : fades
      ? ` Proportional power falls faster than the head slows, as this diode emits nothing below its threshold, so it gets ` +
        `${manyTimes(times)} the dose of its feed on average (${doseInstead(there, straightJPerMm2)}).`
      : powerMode === 'constant' || times < FOLLOWS
        ? ' The wood looks the same; it only takes longer.'
        : ' Proportional power follows, so it only takes longer.';
  const harmless = gaps
    ? `What closes its gaps mends this too. ${why.quicker}`
    : `Nothing needs to change for the burn. ${why.quicker}`;
  return {
    kind: 'below-speed',
    severity: mend ? 'warning' : 'note',
    line: operation.lines[0],
    atMm: [moves.xMm[firstMove]!, moves.yMm[firstMove]!],
    operation: n,
    message:
      `The head never comes up to ${feedWords(fullSpeedMmPerS)} on ${percentWords(round(share, 3))} of its length: ` +
      `${why.words}; ${aboutFeed(meanMmPerS)} is the mean.${dose}`,
    remedy: mend?.remedy ?? harmless,
    measure: {
      share: round(share),
      slow_below_part: SLOW,
      mean_speed_mm_s: round(meanMmPerS),
      full_speed_mm_s: round(fullSpeedMmPerS),
      move_mm: round(why.moveMm),
      lookahead_limit_mm_s: round(why.lookaheadMmPerS),
      times_straight: round(times, 3),
      dose_j_mm2: round(there),
      straight_j_mm2: round(straightJPerMm2),
    },
    advice: mend && { operation: n, change: mend.change },
  };
}

interface Why {
  readonly words: string;
  /** What would bring the head up to speed. */
  readonly quicker: string;
  /** Mean length of a move, and the speed to which moves that short let the look-ahead rise. */
  readonly moveMm: number;
  readonly lookaheadMmPerS: number;
}

/**
 * Why the head stays slow: moves so short that all it looks ahead on is no braking distance, rows without a run-up, or strokes that are short or curved.
 */
function whySlow(evidence: Evidence, each: OperationEvidence): Why {
  const { motion, machine } = evidence;
  const { operation, rows, fullSpeedMmPerS: full } = each;
  const { firstMove } = operation;
  const { moveMm, mmPerS: lookaheadMmPerS } = lookaheadReach(evidence, operation);
  const accel = motion.accelMmPerS2[firstMove]!;
  const known = machine.lookahead_moves ?? Infinity;
  const numbers = { moveMm, lookaheadMmPerS: Math.min(lookaheadMmPerS, 1e6) };
  const runUpMm = (full * full) / (2 * accel);
  if (lookaheadMmPerS < full) {
    const longer = runUpMm / (known - 0.5);
    return {
      ...numbers,
      words: `its moves are ${mmWords(moveMm)} long on average, and the ${known} the controller looks ahead on are too short to brake from it`,
      quicker: `Moves of ${numberWords(longer, 2)} mm or longer would let the head come up to its feed.`,
    };
  }
  if (rows) {
    return {
      ...numbers,
      words: `its rows are too short to come up to it, which takes ${mmWords(runUpMm)}`,
      quicker: `${numberWords(tenthAbove(runUpMm * 1.07), 4)} mm of overscan would let the head come up to its feed.`,
    };
  }
  return {
    ...numbers,
    words: 'its strokes are too short or too curved for it',
    quicker: 'A lower feed would say what happens.',
  };
}
