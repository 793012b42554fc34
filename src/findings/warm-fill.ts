import { firedNeed } from '../burn/firing.ts';
import { ROW_MM } from '../burn/speed-power.ts';
import { firingsOfWork, needTimesOfWork } from '../warmth/rows.ts';
import { numberWords, percentWords } from '../words.ts';
import { type Evidence, looksDifferent, middleOf, type OperationEvidence } from './evidence/evidence.ts';
import { type ShapeOf, useOfRows } from './evidence/rows-use.ts';
import { toneAlong } from './evidence/slow-rows.ts';
import { spreadLitMoves } from './evidence/straight-line.ts';
import { PLAINLY_DIFFERENT } from './evidence/visible-difference.ts';
import type { Finding } from './finding.ts';
import { mmWords, round, shadeInstead } from './phrases.ts';

/**
 * A fill is told of where so much of its length looks darker, and its power should come down to this part at most: less than
 * an eighth lies within what wood itself does.
 */
const DARK_SHARE = 0.05;
const LESS_POWER = 0.875;
/** … or where a small letter or two do, mm² of the board, by more than a sixth. */
const DARK_MM2 = 8;
const FAR_LESS_POWER = 0.83;
/** Where less of it than this is darker, the rest is what it is seen beside. */
const MOST = 0.5;
/** Moves that are asked, spread over the operation. */
const MOST_ASKED = 2000;
const FEWEST_ASKED = 10;
/** Rows along the other side are advised where they would be so many times as long. */
const PLAINLY_LONGER = 1.5;
/** Up to so much more the dose there is that of the feed. */
const AT_PACE = 1.1;
/** Where its own rows account for less than this part of the warmth, it was there before. */
const OWN_SHARE = 0.6;

/**
 * `warm-fill`: rows so short that the beam comes back while the wood is still warm, so that they burn darker than longer
 * ones at the same settings. A note, since nobody says how dark it is meant to be; a warning where most of the fill is not
 * darker, so that it comes out uneven; nothing where it looks like longer rows of the job, which get more. One finding per
 * operation of one power: in pictures warmth only shifts tones.
 */
export function findWarmFills(evidence: Evidence): Finding[] {
  if (evidence.firings === null) return [];
  return evidence.operations.flatMap((each) => {
    const { operation, rows } = each;
    if (!rows?.spacingMm || operation.sMin !== operation.sMax) return [];
    const usualTimes = needOfRows(evidence, each, () => ({ rowLengthMm: ROW_MM }));
    const warm = warmPlaces(evidence, each, usualTimes);
    if (!warm || isMatched(evidence, each, warm)) return [];
    const times = powerTimes(coolNeed(evidence, each), usualTimes, warm.needTimes);
    const isTold = warm.share >= DARK_SHARE ? times <= LESS_POWER : times <= FAR_LESS_POWER;
    return isTold ? [finding(evidence, each, { ...warm, usualTimes, powerTimes: times })] : [];
  });
}

/**
 * Whether the fill gets less than longer rows of the job, as much less as makes it look like them: then its power was
 * chosen so, as the remedy says.
 */
function isMatched(
  evidence: Evidence,
  each: OperationEvidence,
  { needTimes, slowTimes }: WarmPlaces,
): boolean {
  const { eye, operations } = evidence;
  const seen = (slowTimes * each.straightJPerMm2) / each.overSeen;
  return operations.some((other) => {
    const { operation, rows, straightJPerMm2, overSeen, straightNeedTimes } = other;
    if (!rows?.spacingMm || operation.sMin !== operation.sMax) return false;
    const beside = straightJPerMm2 / overSeen;
    if (!(rows.longestMm > each.rows!.longestMm && beside > seen)) return false;
    const difference = eye.difference(
      seen / needTimes,
      slowTimes * each.straightDwellS,
      beside / straightNeedTimes,
      other.straightDwellS,
    );
    return difference < PLAINLY_DIFFERENT;
  });
}

/**
 * The part of its power at which a warm fill looks as long rows do now: a dose f times as large meets a need that its own,
 * smaller warmth leaves, f·usual = cool − f·(cool − there), while what stays is in proportion to the dose.
 */
const powerTimes = (cool: number, usual: number, there: number): number => cool / (usual + cool - there);

/** How many times the need of one cool firing rows like these have; what is not said is as on a square of that length. */
function needOfRows(
  { machine, material, stock, law }: Evidence,
  { operation, rows, fullSpeedMmPerS }: OperationEvidence,
  shapeOf: ShapeOf,
): number {
  const work = {
    machine,
    material,
    thicknessMm: stock?.thicknessMm ?? null,
    use: useOfRows(rows!, shapeOf),
    passes: operation.passes,
  };
  return needTimesOfWork(work)(fullSpeedMmPerS, law.watts(operation.sMax, 1));
}

/** Where a fill is visibly darker than long rows at the same settings. */
interface WarmPlaces {
  /** The part of the fill's length. */
  readonly share: number;
  /** The middle one of them by need, and the move it is on. */
  readonly needTimes: number;
  readonly move: number;
  /** What falls on that move, as a multiple of what full speed gives. */
  readonly slowTimes: number;
}

/**
 * Looks at the middles of lit moves, spread over the operation.
 * @param usualTimes how many times the need of one cool firing long rows like its own have.
 * @returns null where too little of it is darker.
 */
function warmPlaces(evidence: Evidence, each: OperationEvidence, usualTimes: number): WarmPlaces | null {
  const { motion, energies } = evidence;
  const dark: Omit<WarmPlaces, 'share'>[] = [];
  let lengthMm = 0;
  let darkMm = 0;
  const asked = spreadLitMoves(each.operation, energies, MOST_ASKED);
  for (const move of asked) {
    lengthMm += motion.lengthMm[move]!;
    const { needTimes } = evidence.firedAt(...middleOf(evidence, move));
    const slowTimes = energies.wholeJ(move) / (energies.nominalJPerMm(move) * energies.flatMm(move) || 1);
    if (!isDarker(evidence, each, slowTimes, needTimes, usualTimes)) continue;
    darkMm += motion.lengthMm[move]!;
    dark.push({ needTimes, move, slowTimes });
  }
  // What was asked stands for all of its length, each pass of which covers the same wood.
  const areaMm2 = evidence.survey.burnedMm[each.operation.n]! / each.operation.passes / rowsPerMm(each);
  const isSmall = darkMm < DARK_SHARE * lengthMm && darkMm * areaMm2 < DARK_MM2 * lengthMm;
  if (asked.length < FEWEST_ASKED || darkMm === 0 || isSmall) return null;
  const middle = dark.sort((a, b) => a.needTimes - b.needTimes)[dark.length >> 1]!;
  return { share: darkMm / lengthMm, ...middle };
}

/** How many of its own rows each mm of wood gets, in all directions. */
function rowsPerMm({ operation, rows }: OperationEvidence): number {
  const own = (rows!.crossing ?? []).filter((other) => other.operation === operation.n);
  return [rows!, ...own].reduce((sum, { spacingMm }) => sum + 1 / spacingMm!, 0);
}

/** Whether the dose that falls there shows plainly darker at one need than at another. */
function isDarker(
  evidence: Evidence,
  each: OperationEvidence,
  slowTimes: number,
  needTimes: number,
  usualTimes: number,
): boolean {
  if (needTimes >= usualTimes) return false;
  const came = { doseJPerMm2: slowTimes * each.straightJPerMm2, dwellS: slowTimes * each.straightDwellS };
  return looksDifferent(evidence, each, { ...came, needTimes }, { ...came, needTimes: usualTimes });
}

function finding(
  evidence: Evidence,
  each: OperationEvidence,
  {
    share,
    needTimes,
    move,
    slowTimes,
    usualTimes,
    powerTimes: times,
  }: WarmPlaces & { readonly usualTimes: number; readonly powerTimes: number },
): Finding {
  const { machine, motion, program } = evidence;
  const { operation } = each;
  const [tone, usualTone] = [needTimes, usualTimes].map((need) =>
    toneAlong(evidence, each, motion, move, need),
  ) as [number, number];
  const isUneven = share < MOST;
  const isSlow = slowTimes > AT_PACE;
  const than = isSlow
    ? `the same dose would in rows of ${ROW_MM} mm`
    : isUneven
      ? 'the rest'
      : `rows of ${ROW_MM} mm at the same settings`;
  const share1000 = 1000 * times * Math.min(1, operation.sMax / machine.laser.s_max);
  const power = Math.max(0.1, Math.round(share1000) / 10);
  const rowMm = rowLengthMm(evidence, each, move);
  const [xMm, yMm] = middleOf(evidence, move);
  return {
    kind: 'warm-fill',
    severity: isUneven ? 'warning' : 'note',
    line: program.moves.line[move]!,
    atMm: [round(xMm, 3), round(yMm, 3)],
    operation: operation.n,
    message:
      `${isUneven ? 'Some of its rows are only' : 'Its rows are'} ${mmWords(rowMm)} long, so the beam is back while the wood is still warm: ` +
      `${percentWords(round(share, 2))} of the fill burns darker than ${than}, ` +
      `${shadeInstead(tone, usualTone)} (how much is a guess until long and short rows of a swatch are compared).`,
    remedy: isSlow ? evenFirst(evidence) : remedyOf(evidence, each, { power, times, needTimes, isUneven }),
    measure: {
      share: round(share),
      tone: round(tone),
      usual_tone: round(usualTone),
      need_times: round(needTimes),
      usual_need_times: round(usualTimes),
      row_mm: round(rowMm, 3),
      power_times: round(times),
    },
  };
}

/**
 * Less power alone would leave such rows darker than others, for the head is slow in them; what warmth is left once their
 * dose is even, a new forecast tells.
 */
const evenFirst = ({ machine }: Evidence): string =>
  `Give it an even dose first: ${
    machine.laser.m4_power === 'proportional'
      ? 'proportional power (M4) turns the beam down with the head, which is slow here'
      : 'at a speed that the head comes up to here'
  }. That leaves less warmth too, and a new forecast tells how much.`;

/** The need of the fill's own firings on cool wood. */
const coolNeed = (
  { machine, material }: Evidence,
  { operation: { passes }, rows }: OperationEvidence,
): number => firedNeed(firingsOfWork({ machine, use: useOfRows(rows!, () => ({})), passes }), 0, material);

/** How long the row is that a move belongs to, as far as it is burned in one go. */
function rowLengthMm({ energies, motion }: Evidence, { operation }: OperationEvidence, move: number): number {
  const isLit = (i: number): boolean =>
    i >= operation.firstMove && i <= operation.lastMove && energies.nominalMmPerS[i]! > 0;
  let lengthMm = motion.lengthMm[move]!;
  for (let i = move - 1; isLit(i); i--) lengthMm += motion.lengthMm[i]!;
  for (let i = move + 1; isLit(i); i++) lengthMm += motion.lengthMm[i]!;
  return lengthMm;
}

/** How far the fill reaches along its rows and across them. */
interface Shape {
  readonly alongMm: number;
  readonly acrossMm: number;
}

function shapeOf({ program: { moves }, energies }: Evidence, { operation, rows }: OperationEvidence): Shape {
  const { ux, uy, longestMm } = rows!;
  let [least, most] = [Infinity, -Infinity];
  for (let i = operation.firstMove; i <= operation.lastMove; i++) {
    if (energies.nominalMmPerS[i] === 0) continue;
    const across = ux * moves.yMm[i]! - uy * moves.xMm[i]!;
    least = Math.min(least, across);
    most = Math.max(most, across);
  }
  return { alongMm: longestMm, acrossMm: most - least };
}

function remedyOf(
  evidence: Evidence,
  each: OperationEvidence,
  at: {
    readonly power: number;
    readonly times: number;
    readonly needTimes: number;
    readonly isUneven: boolean;
  },
): string {
  const { power, times, needTimes, isUneven } = at;
  const { spacingMm, crossing } = each.rows!;
  const less = `${percentWords(round(times, 2))} of its power: ${numberWords(power, 3)} %`;
  if (isUneven) return `Make the small parts an operation of their own, with ${less}.`;
  const shape = shapeOf(evidence, each);
  const sentences = [
    `To look like those, it needs ${less}.`,
    'Where its power was chosen for this very fill, leave it as it is.',
  ];
  // What is crossed has rows along both sides already.
  if (!crossing && shape.acrossMm > PLAINLY_LONGER * shape.alongMm) {
    const turned = needOfRows(evidence, each, () => ({
      rowLengthMm: shape.acrossMm,
      rowCount: Math.max(1, Math.round(shape.alongMm / spacingMm!)),
    }));
    if (turned > needTimes)
      sentences.push(
        `Rows along its other side would be ${mmWords(shape.acrossMm)} long and leave the wood more time to cool.`,
      );
  }
  const own = needOfRows(evidence, each, (rows) => ({
    rowLengthMm: rows.longestMm,
    rowCount: rows === each.rows ? Math.max(1, Math.round(shape.acrossMm / spacingMm!)) : rows.count,
  }));
  const cool = coolNeed(evidence, each);
  if (cool - own < OWN_SHARE * (cool - needTimes))
    sentences.push(
      'A pause before it helps too: part of the warmth is there before its own rows add theirs.',
    );
  return sentences.join(' ');
}
