import { isSlower } from '../motion/trapezoid.ts';
import { feedWords } from '../words.ts';
import { isDarkAllAlong } from './below-speed.ts';
import {
  canDarken,
  DARK,
  fullSpeedStandard,
  lateS,
  midSideStandard,
  placesApartMm,
  promptSpeed,
  reachMm,
  slowEnough,
  timesDarker,
} from './evidence/dark-places.ts';
import { type DarkPlaces, darkness, gatherDarkPlaces } from './evidence/darkness.ts';
import { evenOut } from './evidence/even-out.ts';
import { doseOn, type Evidence, type OperationEvidence } from './evidence/evidence.ts';
import { timesFullSpeed } from './evidence/survey.ts';
import type { Finding } from './finding.ts';
import { aboutFeed, capital, countWords, doseInstead, manyTimes, round } from './phrases.ts';

/** A turn of less than a degree is no corner: what slows the head there is something else. */
const LEAST_TURN_COS = Math.cos(Math.PI / 180);

/**
 * `dark-corner`: corners of outlines, and tight curves, where the head slows and the beam does not, so that
 * dose there is well above the operation's own straight line and looks it. One finding per operation.
 */
export function findDarkCorners(evidence: Evidence): Finding[] {
  return evidence.operations
    .filter((each) => each.operation.kind === 'outline')
    .flatMap((each) => {
      const gathered = cornersOf(evidence, each);
      return gathered ? [finding(evidence, each, gathered)] : [];
    });
}

function cornersOf(evidence: Evidence, each: OperationEvidence): DarkPlaces | null {
  const { energies, motion, machine, survey, stops, program } = evidence;
  const { operation } = each;
  const late = comesLate(evidence, each);
  if (!late && !canDarken(evidence, operation)) return null;
  const { xMm, yMm, line } = program.moves;
  const { entryMmPerS } = motion;
  const { nominalMmPerS } = energies;
  const slow = isDarkAllAlong(evidence, each);
  const full = fullSpeedStandard(timesFullSpeed(survey, operation.n));
  const slowFrom = slowEnough(evidence, slow ? DARK : full.dark);
  const places = gatherDarkPlaces(evidence, each, placesApartMm(machine.spot));
  let alongMm = 0;
  for (let i = operation.firstMove + 1; i <= operation.lastMove; i++) {
    alongMm += motion.lengthMm[i - 1]!;
    if (nominalMmPerS[i] === 0 || nominalMmPerS[i - 1] === 0) {
      if (nominalMmPerS[i] === 0) places.lift();
      continue;
    }
    if (stops[i] !== 0 || entryMmPerS[i]! >= slowFrom * nominalMmPerS[i]!) continue;
    const x = xMm[i - 1]!;
    const y = yMm[i - 1]!;
    if (!turns(evidence, i) || isOnTheWayUp(evidence, i)) continue;
    const times = late ? measuredTimes(evidence, each, i) : timesAt(evidence, i);
    const standard = slow ? midSideStandard(evidence, i, i) : full;
    const darker = timesDarker(evidence, each, i, [x, y], times, standard);
    if (darker > 0) places.add(darker, alongMm, { xMm: x, yMm: y, line: line[i - 1]!, move: i, times });
  }
  return places.finish();
}

/** Energy near junction i as a multiple of full speed's, from both sides. */
function timesAt(evidence: Evidence, i: number): number {
  const { energies } = evidence;
  const before = energies.timesNominal(i, reachMm(evidence, i - 1), false);
  const after = energies.timesNominal(i, reachMm(evidence, i), true);
  return (before + after) / 2;
}

/** Power that follows speed but comes late is not in the closed form: ask the forecast itself. */
function measuredTimes(evidence: Evidence, each: OperationEvidence, i: number): number {
  const { xMm, yMm } = evidence.program.moves;
  const usual = each.straight.dosePerLineEnergy * evidence.energies.nominalJPerMm(i);
  return usual > 0 ? doseOn(evidence, each, i, xMm[i - 1]!, yMm[i - 1]!).doseJPerMm2 / usual : 0;
}

/** Whether proportional power lags so far that it is still high when the head has slowed. */
const comesLate = ({ machine }: Evidence, { operation, fullSpeedMmPerS }: OperationEvidence): boolean =>
  operation.powerMode === 'proportional' && lateS(machine) > 0 && fullSpeedMmPerS > promptSpeed(machine);

/** Whether the head is slow at junction i only since a stroke has begun there, or is about to end: no turn slows it. */
function isOnTheWayUp({ energies, motion }: Evidence, i: number): boolean {
  const { nominalMmPerS } = energies;
  const { entryMmPerS, peakMmPerS } = motion;
  let k = i - 1;
  while (nominalMmPerS[k]! > 0 && !isSlower(entryMmPerS[k + 1]!, peakMmPerS[k]!)) k--;
  if (!nominalMmPerS[k]) return true;
  k = i;
  while (nominalMmPerS[k]! > 0 && !isSlower(entryMmPerS[k]!, peakMmPerS[k]!)) k++;
  return !nominalMmPerS[k];
}

function turns({ program: { moves } }: Evidence, i: number): boolean {
  const { xMm, yMm } = moves;
  const ux = xMm[i - 1]! - (i > 1 ? xMm[i - 2]! : 0);
  const uy = yMm[i - 1]! - (i > 1 ? yMm[i - 2]! : 0);
  const vx = xMm[i]! - xMm[i - 1]!;
  const vy = yMm[i]! - yMm[i - 1]!;
  const dot = ux * vx + uy * vy;
  return dot < LEAST_TURN_COS * Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
}

function finding(evidence: Evidence, each: OperationEvidence, found: DarkPlaces): Finding {
  const { count, worst, places } = found.all;
  const { energies, motion } = evidence;
  const { operation } = each;
  const corners = Math.max(1, Math.round(count / operation.passes));
  const { there, usual, times, word, depthWords, measure } = darkness(evidence, each, found);
  const slowest = motion.entryMmPerS[worst.move]!;
  const slow = isDarkAllAlong(evidence, each);
  const standard = slow ? midSideStandard(evidence, worst.move, worst.move).times : 1;
  const full = energies.nominalMmPerS[worst.move]! / standard;
  const even = evenOut(evidence, each, 'which turns the beam down as the head slows', worst.times);
  const at = corners === 1 ? 'One corner burns' : `${capital(countWords(corners, 'corner'))} burn`;
  const why =
    operation.powerMode === 'constant'
      ? 'while the beam keeps its power'
      : 'and the beam does not turn down as far';
  return {
    kind: 'dark-corner',
    severity: 'warning',
    line: worst.line,
    atMm: [worst.xMm, worst.yMm],
    operation: operation.n,
    message:
      `${at} ${word}: the head slows from ${slow ? aboutFeed(full) : feedWords(full)} to ${aboutFeed(slowest)} ${why}, ` +
      `so ${corners === 1 ? 'it gets' : 'the worst gets'} ${manyTimes(times)} the dose of ${slow ? 'the middle of its sides' : 'the straight line'} ` +
      `(${doseInstead(there, usual)}${depthWords}).`,
    remedy: even.remedy,
    measure: {
      count: corners,
      ...measure,
      corner_speed_mm_s: round(slowest),
      full_speed_mm_s: round(full),
      places,
    },
    advice: { operation: operation.n, change: even.change },
  };
}
