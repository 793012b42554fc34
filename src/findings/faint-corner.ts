import { feedWords, numberWords, percentWords } from '../words.ts';
import { type Evidence, hatchOf, type OperationEvidence } from './evidence/evidence.ts';
import { type Gaps, gaplessSettings, gapsUnderProportional } from './evidence/gaps.ts';
import { fastestMmPerS, lookaheadReach } from './evidence/reach.ts';
import { roomWords, rowsRunUp } from './evidence/run-up.ts';
import type { Finding } from './finding.ts';
import { aboutFeed, capital, countWords, manyTimes, mmWords, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/** From this part of its length on, an operation burns nowhere. */
const NEARLY_ALL = 0.98;

/**
 * `faint-corner`: corners, starts and stops of outlines and ends of rows that stay bare, because proportional power falls
 * below the diode's threshold where the head is slow. One finding per operation.
 */
export function findFaintCorners(evidence: Evidence): Finding[] {
  return evidence.operations.flatMap((each) => {
    if (each.operation.powerMode !== 'proportional') return [];
    const gaps = gapsUnderProportional(evidence, each);
    return gaps ? [finding(evidence, each, gaps)] : [];
  });
}

function finding(evidence: Evidence, each: OperationEvidence, gaps: Gaps): Finding {
  const { operation, rows } = each;
  const { n, sMin, sMax } = operation;
  const { gathered, longestMm, bareMm, bareBelowMmPerS } = gaps;
  const { count, worst, places } = gathered;
  const share = Math.min(1, bareMm / evidence.survey.burnedMm[n]!);
  const isAtEnds = gaps.atEnd || gaps.endMm > bareMm / 2;
  const remedy = rows && isAtEnds ? byOverscan(evidence, each, gaps) : bySpeed(evidence, each, gaps);
  const { threshold_fraction: threshold, s_max } = evidence.machine.laser;
  const s =
    sMin === sMax ? `S${numberWords(sMax, 4)}` : `S${numberWords(sMin, 4)} to S${numberWords(sMax, 4)}`;
  const where = !rows
    ? countWords(count, 'place')
    : gaps.endMm < bareMm
      ? countWords(count, 'place in its rows', 'places in its rows')
      : countWords(count, 'row end');
  const what =
    share >= NEARLY_ALL
      ? `Nothing of it will burn, ${mmWords(bareMm)} in all`
      : `${capital(where)} ${count === 1 ? 'stays' : 'stay'} bare${rows ? '' : ', where the head is slow in corners and where strokes begin and end'}: ` +
        `${mmWords(longestMm)} at the worst, ${mmWords(bareMm)} (${percentWords(round(share, 3))}) in all`;
  return {
    kind: 'faint-corner',
    severity: 'warning',
    line: worst.line,
    atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
    operation: n,
    message:
      `${what}. Proportional power follows the head down, and this diode emits nothing below ${percentWords(threshold)} of ` +
      `full power (S${numberWords(threshold * s_max, 4)}): with ${s} at ${feedWords(operation.feedMmPerS)} it leaves no mark below ` +
      `${aboutFeed(bareBelowMmPerS)}.`,
    remedy: remedy.words,
    measure: {
      count,
      longest_mm: round(longestMm, 3),
      bare_mm: round(bareMm, 3),
      share: round(share),
      bare_below_mm_s: round(bareBelowMmPerS),
      ...remedy.measure,
      places,
    },
    advice: remedy.change ? { operation: n, change: `${n}: ${remedy.change}` } : null,
  };
}

interface Remedy {
  readonly words: string;
  readonly change: string | null;
  readonly measure: Finding['measure'];
}

/** Rows: the head is at speed where they begin and end, as far as the look-ahead lets it. */
function byOverscan(evidence: Evidence, each: OperationEvidence, { gathered, bareMm, endMm }: Gaps): Remedy {
  const { operation } = each;
  const rows = hatchOf(each);
  const full = evidence.energies.nominalMmPerS[gathered.worst.move]!;
  const reached = fastestMmPerS(evidence, operation, evidence.motion);
  const speed = Math.min(full, Math.max(reached, lookaheadReach(evidence, operation).mmPerS));
  const some = endMm < bareMm ? ` That is for the ends, ${mmWords(endMm)} of it in all.` : '';
  const { neededMm, overscanMm } = rowsRunUp(evidence, rows, speed);
  return {
    words:
      `Leave ${numberWords(overscanMm, 4)} mm of overscan: this machine needs ${mmWords(neededMm)} to come up to ` +
      `${speed < full ? aboutFeed(speed) : feedWords(speed)}.${some}${roomWords(evidence, operation.n, rows, overscanMm)}`,
    change: `overscan ${overscanMm} mm`,
    measure: { needed_mm: round(neededMm), overscan_mm: overscanMm },
  };
}

/**
 * Outlines: a lower feed with as much light on the line; or more light at this one. Of shades the palest would go first there,
 * and where the feed is as low as it need be that would be the job as it is: then more light is all.
 */
function bySpeed(evidence: Evidence, each: OperationEvidence, gaps: Gaps): Remedy {
  const { machine } = evidence;
  const { sMin, sMax, feedMmPerS } = each.operation;
  const { feedMmPerMin, powerPercent, leastS, timesDarker } = gaplessSettings(evidence, each, gaps);
  const isSame =
    feedMmPerMin === plainFeed(feedMmPerS) &&
    Math.abs(powerPercent - (100 * sMax) / machine.laser.s_max) < A_TENTH;
  if (isSame || sMin !== sMax)
    return {
      words:
        leastS === null
          ? 'Burn what is to show there with constant power (M3).'
          : `Let S be at least ${numberWords(leastS, 4)} where something is to show in the places told of.`,
      change: null,
      measure: { least_s: leastS ?? 'none' },
    };
  const more =
    leastS === null
      ? ''
      : ` Or let S be at least ${numberWords(leastS, 4)} at the present speed, with ${manyTimes(timesDarker)} the dose.`;
  return {
    words:
      `Burn it at ${numberWords(feedMmPerMin, 4)} mm/min with ${numberWords(powerPercent)} % power: as dark as now, and no ` +
      `gap is wider than the spot.${more}`,
    change: `speed ${feedMmPerMin}, power ${powerPercent}%`,
    measure: { feed_mm_min: feedMmPerMin, power_percent: powerPercent, least_s: leastS ?? 'none' },
  };
}

/** A step of the power that is told, in per cent. */
const A_TENTH = 0.1;
