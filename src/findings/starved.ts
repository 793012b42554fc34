import { bisectLeft } from 'd3-array';
import { restCommandW } from '../dose/command.ts';
import { lineTimeS } from '../motion/link.ts';
import type { Motion } from '../motion/motion.ts';
import { spanS } from '../motion/timeline.ts';
import type { Operation } from '../program/program.ts';
import { numberWords, timeWords } from '../words.ts';
import { FOLLOWS } from './below-speed.ts';
import { type Evidence, looksDifferent, type OperationEvidence, startOf } from './evidence/evidence.ts';
import { type Gathered, gatherPlaces } from './evidence/places.ts';
import { peakPerMm2 } from './evidence/spot-widths.ts';
import { timesFullSpeed } from './evidence/survey.ts';
import type { Finding } from './finding.ts';
import { aboutFeed, countWords as counted, doseInstead, manyTimes, round } from './phrases.ts';
import { steadyFeed } from './settings-words.ts';

/** The link costs an operation this part of its time, and this long, before it is worth a word. */
const COSTS = 0.05;
const COSTS_S = 0.5;
/** Advice keeps this far below what the link carries. */
const SPARE = 0.9;

/**
 * `starved`: the link brings moves too slowly, so that the head slows or waits. Compares with the plan an endless
 * link would allow. One finding per operation.
 */
export function findStarved(evidence: Evidence): Finding[] {
  const { unheld } = evidence;
  if (!unheld) return [];
  return evidence.operations.flatMap((each) => {
    const { operation } = each;
    const { firstMove, lastMove } = operation;
    const freeS = spanS(unheld.motion, firstMove, lastMove);
    const lostS = spanS(evidence.motion, firstMove, lastMove) - freeS;
    const waits = waitsOf(evidence, each);
    const slowed = slowedDose(evidence, each, timesFullSpeed(unheld.survey, operation.n));
    const costly = lostS > COSTS_S && lostS > COSTS * freeS;
    if (!costly && !waits.dots && !slowed.shows && !slowed.paler) return [];
    return [finding(evidence, each, { freeS, lostS, waits, slowed })];
  });
}

interface Waits {
  readonly count: number;
  readonly totalS: number;
  readonly longestS: number;
  /** Where the head waits longest. */
  readonly places: Gathered | null;
  /** Waits that burn a dot one can see; null: none. */
  readonly dots: Gathered | null;
}

function waitsOf(evidence: Evidence, each: OperationEvidence): Waits {
  const { motion, machine, law, program } = evidence;
  const { rests } = motion;
  const { firstMove, lastMove } = each.operation;
  const all = gatherPlaces(0);
  const dots = gatherPlaces(0);
  let count = 0;
  let totalS = 0;
  let longestS = 0;
  for (let k = bisectLeft(rests.beforeMove, firstMove + 1, 0, rests.count); k < rests.count; k++) {
    const move = rests.beforeMove[k]!;
    if (move > lastMove) break;
    if (!rests.starved[k]) continue;
    const durationS = rests.durationS[k]!;
    const [x, y] = startOf(evidence, move);
    count++;
    totalS += durationS;
    longestS = Math.max(longestS, durationS);
    all.add(durationS, 0, [x, y], { line: rests.line[k]!, move });
    all.lift();
    const watts = restCommandW(k, motion, machine, law);
    if (watts === 0) continue;
    const dose = watts * durationS * peakPerMm2(machine.spot, program.moves.zMm[move - 1]!);
    const { straightJPerMm2: usual, straightDwellS } = each;
    if (
      !looksDifferent(
        evidence,
        each,
        { doseJPerMm2: usual + dose, dwellS: durationS },
        { doseJPerMm2: usual, dwellS: straightDwellS },
      )
    )
      continue;
    dots.add(dose, 0, [x, y], { line: rests.line[k]!, move });
    dots.lift();
  }
  return { count, totalS, longestS, places: all.finish(), dots: dots.finish() };
}

interface Slowed {
  readonly times: number;
  readonly there: number;
  /** Plainly darker, under constant power; plainly paler, where proportional power nears the threshold. */
  readonly shows: boolean;
  readonly paler: boolean;
}

/** What slowness does to the dose on average; an endless link would give `free` times full speed's. */
function slowedDose(evidence: Evidence, each: OperationEvidence, free: number): Slowed {
  const { operation, straightJPerMm2, straightDwellS } = each;
  // Where the head never gets fast enough for proportional power to pass the threshold, nothing burns either way.
  const times = free > 0 ? timesFullSpeed(evidence.survey, operation.n) / free : 1;
  const there = straightJPerMm2 * times;
  const differs =
    times !== 1 &&
    looksDifferent(
      evidence,
      each,
      { doseJPerMm2: there, dwellS: straightDwellS * times },
      { doseJPerMm2: straightJPerMm2, dwellS: straightDwellS },
    );
  const constant = operation.powerMode === 'constant';
  return { times, there, shows: differs && constant && times > 1, paler: differs && !constant && times < 1 };
}

function finding(
  evidence: Evidence,
  each: OperationEvidence,
  { freeS, lostS, waits, slowed }: { freeS: number; lostS: number; waits: Waits; slowed: Slowed },
): Finding {
  const { operation, straightJPerMm2, fullSpeedMmPerS } = each;
  const { motion, machine, program } = evidence;
  const { n, firstMove } = operation;
  const { moves } = program;
  const { linesPerS, mmPerLine } = linkRate(evidence, operation);
  const canKeepMmPerS = SPARE * linesPerS * mmPerLine;
  const steady = steadyFeed(operation, machine, Math.min(canKeepMmPerS, fullSpeedMmPerS));
  const meanMmPerS = pathMm(motion, operation) / (freeS + lostS);
  const at = waits.dots?.worst ?? waits.places?.worst;
  const constant = operation.powerMode === 'constant';
  const dose = slowed.shows
    ? ` Constant power stays up, so the wood gets ${manyTimes(slowed.times)} the dose (${doseInstead(slowed.there, straightJPerMm2)} on average).`
    : '';
  const dots = waits.dots
    ? ` The beam stays on meanwhile and burns a dot at ${counted(waits.dots.count, 'place')}.`
    : '';
  const harmless =
    constant || (slowed.times < FOLLOWS && !slowed.paler)
      ? ' The wood looks the same.'
      : slowed.paler
        ? ` Proportional power falls faster than the head slows, as this diode emits nothing below its threshold, so the wood gets ${manyTimes(slowed.times)} the dose on average.`
        : ' Proportional power follows, so the wood gets its dose.';
  return {
    kind: 'starved',
    severity: slowed.shows || slowed.paler || waits.dots ? 'warning' : 'note',
    line: at?.line ?? operation.lines[0],
    atMm: at ? [at.xMm, at.yMm] : [moves.xMm[firstMove]!, moves.yMm[firstMove]!],
    operation: n,
    message:
      `The link is too slow for it: it carries ${numberWords(linesPerS)} lines a second, ${numberWords(mmPerLine, 2)} mm ` +
      `each, so the head stutters along at ${aboutFeed(meanMmPerS)} and takes ${timeWords(lostS)} longer` +
      `${waits.count > 0 ? `, waiting ${counted(waits.count, 'time')}` : ''}.${dose}${dots}${dose || dots ? '' : harmless}`,
    remedy:
      `Burn it at ${numberWords(steady.feedMmPerMin, 4)} mm/min with ${numberWords(steady.powerPercent)} % power, which the ` +
      `link keeps up with, or write it in pieces of ${numberWords(fullSpeedMmPerS / (SPARE * linesPerS), 2)} mm or longer.`,
    measure: {
      lost_s: round(lostS),
      waits: waits.count,
      waited_s: round(waits.totalS),
      longest_wait_s: round(waits.longestS),
      lines_per_s: round(linesPerS, 2),
      mm_per_line: round(mmPerLine),
      mean_speed_mm_s: round(meanMmPerS),
      full_speed_mm_s: round(fullSpeedMmPerS),
      times_straight: round(slowed.times, 3),
      places: (waits.dots ?? waits.places)?.places ?? [],
    },
    advice: { operation: n, change: steady.change },
  };
}

/** How many of an operation's lines the link carries in a second, and how much way is on each. */
function linkRate({ program, machine, motion }: Evidence, operation: Operation) {
  const [first, last] = operation.lines;
  let carryS = 0;
  let lines = 0;
  for (let line = first; line <= last; line++) {
    const timeS = lineTimeS(program.lineBytes[line - 1]!, machine.link!);
    carryS += timeS;
    if (timeS > 0) lines++;
  }
  return { linesPerS: lines / carryS, mmPerLine: pathMm(motion, operation) / lines };
}

function pathMm(motion: Motion, { firstMove, lastMove }: Operation): number {
  let sum = 0;
  for (let i = firstMove; i <= lastMove; i++) sum += motion.lengthMm[i]!;
  return sum;
}
