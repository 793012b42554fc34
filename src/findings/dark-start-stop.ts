import { feedWords } from '../words.ts';
import { isDarkAllAlong } from './below-speed.ts';
import {
  canDarken,
  DARK,
  fullSpeedStandard,
  midSideStandard,
  placesApartMm,
  pointInside,
  reachMm,
  type Standard,
  slowEnough,
  timesDarker,
} from './evidence/dark-places.ts';
import { type DarkPlaces, darkness, gatherDarkPlaces } from './evidence/darkness.ts';
import { evenOut } from './evidence/even-out.ts';
import { BURNED, type Evidence, type OperationEvidence, STOPPED, startOf } from './evidence/evidence.ts';
import { timesFullSpeed } from './evidence/survey.ts';
import type { Finding } from './finding.ts';
import { countWords, doseInstead, manyTimes, round } from './phrases.ts';

/**
 * `dark-start-stop`: a dot where a stroke of an outline begins or ends with the head at rest or nearly so and
 * the beam on. One finding per operation.
 */
export function findDarkStartStops(evidence: Evidence): Finding[] {
  return evidence.operations
    .filter(({ operation }) => operation.kind === 'outline' && canDarken(evidence, operation))
    .flatMap((each) => {
      const gathered = strokeEnds(evidence, each);
      return gathered ? [finding(evidence, each, gathered)] : [];
    });
}

/**
 * Goes along the strokes: burning without a gap, ended by a stop too. Where a stroke closes on its own start,
 * both its ends fall on one place and are told as one.
 */
function strokeEnds(evidence: Evidence, each: OperationEvidence): DarkPlaces | null {
  const { energies, motion, stops, survey, machine, program } = evidence;
  const { firstMove, lastMove, n } = each.operation;
  const { xMm, yMm, line } = program.moves;
  const { nominalMmPerS } = energies;
  const { entryMmPerS } = motion;
  const slow = isDarkAllAlong(evidence, each);
  const full = fullSpeedStandard(timesFullSpeed(survey, n));
  const slowFrom = slowEnough(evidence, slow ? DARK : full.dark);
  const places = gatherDarkPlaces(evidence, each, 0);
  const closeMm = placesApartMm(machine.spot) / 4;

  /** Where the head rests with the beam on, beam-on-at-rest tells it. */
  const isSlow = (junction: number, i: number) =>
    stops[junction] !== BURNED && entryMmPerS[junction]! < slowFrom * nominalMmPerS[i]!;
  const tell = (times: number, standard: Standard, i: number, [x, y]: readonly [number, number]): void => {
    const darker = timesDarker(evidence, each, i, [x, y], times, standard);
    if (darker === 0) return;
    places.add(darker, 0, { xMm: x, yMm: y, line: line[i]!, move: i, times });
    places.lift();
  };

  const look = (first: number, last: number): void => {
    const beginsSlow = isSlow(first, first);
    const endsSlow = isSlow(last + 1, last);
    if (!beginsSlow && !endsSlow) return;
    const [x, y] = startOf(evidence, first);
    const closed =
      last > first + 1 && Math.abs(x - xMm[last]!) < closeMm && Math.abs(y - yMm[last]!) < closeMm;
    const begins = energies.timesNominal(first, reachMm(evidence, first), true);
    const ends = energies.timesNominal(last + 1, reachMm(evidence, last), false);
    if (closed) {
      const standard = slow ? midSideStandard(evidence, last + 1, first) : full;
      tell((begins + ends) / 2, standard, first, [x, y]);
      return;
    }
    // An open end is judged a little inside: at the very end half the light is missing.
    if (beginsSlow) {
      const standard = slow ? midSideStandard(evidence, null, first) : full;
      tell(begins, standard, first, pointInside(evidence, first, true, reachMm(evidence, first) / 2));
    }
    if (endsSlow) {
      const standard = slow ? midSideStandard(evidence, last + 1, null) : full;
      tell(ends, standard, last, pointInside(evidence, last, false, reachMm(evidence, last) / 2));
    }
  };

  let start = -1;
  for (let i = firstMove; i <= lastMove + 1; i++) {
    const burning = i <= lastMove && nominalMmPerS[i] !== 0;
    if (start >= 0 && (!burning || stops[i] === STOPPED || stops[i] === BURNED)) {
      look(start, i - 1);
      start = -1;
    }
    if (burning && start < 0) start = i;
  }
  return places.finish();
}

function finding(evidence: Evidence, each: OperationEvidence, found: DarkPlaces): Finding {
  const { count, worst, places } = found.all;
  const { operation } = each;
  const { energies } = evidence;
  const full = energies.nominalMmPerS[worst.move]!;
  const { there, usual, times, word, besides, depthWords, measure } = darkness(evidence, each, found);
  const even = evenOut(evidence, each, 'which is off at rest and rises with speed', worst.times);
  return {
    kind: 'dark-start-stop',
    severity: 'warning',
    line: worst.line,
    atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
    operation: operation.n,
    message:
      `A ${word} dot marks ${countWords(count, 'place')} where a stroke begins or ends: the beam has the line’s whole power ` +
      `while the head is still far below ${feedWords(full)}, so the worst gets ${manyTimes(times)} the dose ` +
      `of the straight line${besides} (${doseInstead(there, usual)}${depthWords}).`,
    remedy: even.remedy,
    measure: {
      count,
      ...measure,
      full_speed_mm_s: round(full),
      places,
    },
    advice: { operation: operation.n, change: even.change },
  };
}
