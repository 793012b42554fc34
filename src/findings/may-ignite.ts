import { linePeakDoseJPerMm2 } from '../burn/line-dose.ts';
import { CHARS_MORE, SLOWEST_MM_PER_S, SLOWEST_WORDS } from '../burn/settings-for.ts';
import { widthAcrossMm, widthAlongMm } from '../laser/spot.ts';
import { moveTimeS } from '../motion/timeline.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import { feedWords, lengthWords, numberWords, timeWords } from '../words.ts';
import type { Cut } from './evidence/cuts.ts';
import { type Evidence, type OperationEvidence, startOf } from './evidence/evidence.ts';
import { type Gathered, gatherPlaces, MOST_PLACES } from './evidence/places.ts';
import { isUpright, uprightsAmong } from './evidence/standing.ts';
import { blackDoseJPerMm2 } from './evidence/visible-difference.ts';
import type { Finding } from './finding.ts';
import { countWords, doseWords, manyTimes, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/**
 * A beam that stays on one spot for longer than this, and gives it more than {@link DRILLS} times what the darkest char
 * needs, may light a flame. A judgement: a piercing dwell of a few tenths of a second is common practice, the slowest
 * cuts people burn pass a spot in less, and no source tells when wood takes fire under a spot this small.
 */
export const LINGERS_S = 0.5;
const DRILLS = 10;
/** No spot is this much wider out of focus than in it: faster moves need no closer look. */
const WIDEST = 20;
/**
 * From this many times the dose it needs a cut has far more than it takes: five times leaves room for every knot, glue line
 * and dull lens (a judgement; between sheets of one wood, cuts scatter by about a third).
 */
export const FAR_MORE = 5;
/** The remedy stays this far below the limit. */
const SPARE = 0.5;

/**
 * `may-ignite`: a beam that creeps, or that goes up or down on one spot, for so long that the wood may take fire; and one
 * that creeps more slowly than wood is cut at all, which is a warning where the cut takes that much and else a stop. A
 * beam on a head at rest, or that goes up or down for less long, is told by `beam-on-at-rest`. One finding per operation;
 * but plunges are one for the job, however many operations they part it into, as where Z lifts the head for travel.
 */
export function findMayIgnite(evidence: Evidence, cuts: readonly Cut[] = []): Finding[] {
  const all = evidence.operations.flatMap((each): Told[] => {
    const lingers = lingering(evidence, each);
    if (!lingers) return [];
    const isNeeded = lingers.longestS <= LINGERS_S && isNeededToCut(cuts, each);
    return [{ each, lingers, isNeeded, remedy: isNeeded ? FASTER : remedyOf(evidence, each, lingers) }];
  });
  // Where its feed is the slip, each operation has advice of its own.
  const isPlunge = ({ lingers, remedy }: (typeof all)[number]): boolean =>
    lingers.upright && remedy.change === null;
  const plunges = all.filter(isPlunge);
  if (plunges.length <= 1) return all.map((one) => finding(evidence, one));
  const worst = plunges.reduce((a, b) => (b.lingers.doseJPerMm2 > a.lingers.doseJPerMm2 ? b : a));
  const lingers = { ...worst.lingers, gathered: gatheredOf(plunges.map((one) => one.lingers.gathered)) };
  return [
    ...all.filter((one) => !isPlunge(one)).map((one) => finding(evidence, one)),
    { ...finding(evidence, { ...worst, lingers }), operation: null },
  ];
}

/** Whether the operation is a cut that takes about as much as it gets. */
const isNeededToCut = (cuts: readonly Cut[], { operation: { n } }: OperationEvidence): boolean =>
  cuts.some(
    ({ each, path }) => each.operation.n === n && path.weakest !== null && path.weakest.margin + 1 < FAR_MORE,
  );

/** The places of several findings as those of one. */
function gatheredOf(all: readonly Gathered[]): Gathered {
  const worst = all.map((each) => each.worst).reduce((a, b) => (b.worse > a.worse ? b : a));
  return {
    worst,
    count: all.reduce((sum, { count }) => sum + count, 0),
    places: all.flatMap(({ places }) => places).slice(0, MOST_PLACES),
  };
}

/** An operation in which the beam lingers, and what is to be done about that. */
interface Told {
  readonly each: OperationEvidence;
  readonly lingers: Lingering;
  /** Whether it is a cut so slow because it must be, and no slower. */
  readonly isNeeded: boolean;
  readonly remedy: { readonly remedy: string; readonly change: string | null };
}

/** Whether `may-ignite` tells the operation. */
export const lingersOn = (evidence: Evidence, each: OperationEvidence): boolean =>
  lingering(evidence, each) !== null;

interface Lingering {
  readonly gathered: Gathered;
  /** The longest the beam stays on one spot, s, and what that spot gets, J/mm². */
  readonly longestS: number;
  readonly doseJPerMm2: number;
  /** The longest one is a move along Z alone. */
  readonly upright: boolean;
  /** Length crept, mm. */
  readonly creptMm: number;
}

/** Whether the wood may take fire under a beam that stays so long on one spot and gives it such a dose. */
export const mayIgnite = (evidence: Evidence, doseJPerMm2: number, seconds: number): boolean =>
  seconds > LINGERS_S && drills(evidence, doseJPerMm2, seconds);

function lingering(evidence: Evidence, each: OperationEvidence): Lingering | null {
  const { energies, machine, motion, program } = evidence;
  const { nominalMmPerS } = energies;
  const { firstMove, lastMove } = each.operation;
  const { line } = program.moves;
  const fast = Math.max((WIDEST * Math.max(...machine.spot.width_mm)) / LINGERS_S, SLOWEST_MM_PER_S);
  const places = gatherPlaces(0);
  let worst = { longestS: 0, doseJPerMm2: 0, upright: false };
  let creptMm = 0;
  const look = (move: number, seconds: number, dose: number, upright: boolean): void => {
    const creeps = !upright && nominalMmPerS[move]! < SLOWEST_MM_PER_S;
    if (!(creeps ? drills : mayIgnite)(evidence, dose, seconds)) return;
    places.add(seconds, 0, startOf(evidence, move), { line: line[move]!, move });
    places.lift();
    if (seconds > worst.longestS) worst = { longestS: seconds, doseJPerMm2: dose, upright };
    if (!upright) creptMm += energies.flatMm(move);
  };
  for (const stretch of uprightsAmong(evidence, firstMove, lastMove))
    look(stretch.firstMove, stretch.durationS, stretch.doseJPerMm2, true);
  for (let i = firstMove; i <= lastMove; i++) {
    const nominal = nominalMmPerS[i]!;
    if (nominal === 0 || nominal > fast || isUpright(evidence, i)) continue;
    const { alongMm, acrossMm } = spotOn(evidence, i);
    const alone = linePeakDoseJPerMm2(1, 1, acrossMm, machine.spot.shape) * each.operation.passes;
    const dose = Math.max(alone, each.straight.dosePerLineEnergy) * energies.nominalJPerMm(i);
    look(i, Math.min(moveTimeS(motion, i), alongMm / nominal), dose, false);
  }
  const gathered = places.finish();
  return gathered && { gathered, ...worst, creptMm };
}

/** Whether a dose on one spot is so far beyond what burns it fully black that it goes on drilling. */
export const drills = ({ material, machine }: Evidence, doseJPerMm2: number, dwellS: number): boolean =>
  doseJPerMm2 > DRILLS * blackDoseJPerMm2(material, machine.laser.wavelength_nm, dwellS);

/** The spot's widths along and across move i, mm. */
function spotOn({ machine: { spot }, program: { moves } }: Evidence, i: number) {
  const dx = moves.xMm[i]! - (i > 0 ? moves.xMm[i - 1]! : 0);
  const dy = moves.yMm[i]! - (i > 0 ? moves.yMm[i - 1]! : 0);
  const length = Math.sqrt(dx * dx + dy * dy);
  const [ux, uy, z] = [dx / length, dy / length, moves.zMm[i]!];
  return { alongMm: widthAlongMm(spot, ux, uy, z), acrossMm: widthAcrossMm(spot, ux, uy, z) };
}

function finding(evidence: Evidence, told: Told): Finding {
  const { each, lingers, isNeeded } = told;
  const { gathered, longestS, doseJPerMm2, upright, creptMm } = lingers;
  const { remedy, change } = told.remedy;
  const { machine, material, energies } = evidence;
  const { n, feedMmPerS } = each.operation;
  const { worst, count, places } = gathered;
  const black = blackDoseJPerMm2(material, machine.laser.wavelength_nm, longestS);
  const speed = energies.nominalMmPerS[worst.move]!;
  const stays = upright
    ? `The beam stays on one spot for ${timeWords(longestS)} while the head goes up or down` +
      `${count > 1 ? `, and at ${countWords(count, 'place')} in all` : ''}`
    : `The beam creeps along ${lengthWords(creptMm)} at ${feedWords(speed)} and stays ${timeWords(longestS)} on every spot`;
  return {
    kind: 'may-ignite',
    severity: isNeeded ? 'warning' : 'stop',
    line: worst.line,
    atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
    operation: n,
    message:
      `${stays}: ${doseWords(doseJPerMm2)}, ${manyTimes(doseJPerMm2 / black)} what burns it fully black. ` +
      (longestS > LINGERS_S ? 'The wood may take fire.' : `Slower than ${SLOWEST_WORDS} ${CHARS_MORE}.`),
    remedy,
    measure: {
      count,
      longest_s: round(longestS),
      dose_j_mm2: round(doseJPerMm2),
      times_black: round(doseJPerMm2 / black, 3),
      crept_mm: round(creptMm, 3),
      feed_mm_s: round(feedMmPerS, 6),
      places,
    },
    advice: change ? { operation: n, change: `${n}: ${change}` } : null,
  };
}

/** What helps a cut that must be so slow. */
const FASTER = {
  remedy:
    `Burn it at ${SLOWEST_WORDS} or faster, in as many passes as it takes then; thinner stock or a stronger laser is the ` +
    'better way. Never leave it unattended.',
  change: null,
};

/** How often mm/s are written where mm/min belong: the likely slip, where it explains the creeping. */
const SLIP = 60;

function remedyOf(
  { machine, energies }: Evidence,
  { operation }: OperationEvidence,
  { longestS, upright, gathered }: Lingering,
): { readonly remedy: string; readonly change: string | null } {
  const { feedMmPerS } = operation;
  const meant = Number((SLIP * SLIP * feedMmPerS).toPrecision(4)); // mm/min
  const [xTop, yTop, zTop] = machine.max_speed_mm_s;
  const top = upright ? zTop : Math.max(xTop, yTop);
  if (longestS / SLIP <= LINGERS_S && mmPerMinToMmPerS(meant) <= top) {
    return {
      remedy:
        `F is in mm/min: if ${numberWords(meant / SLIP, 4)} mm/s was meant, write F${numberWords(meant, 5)}. ` +
        'Never leave it unattended.',
      change: `speed ${meant}`,
    };
  }
  if (upright) {
    return {
      remedy: 'Switch the beam off (S0 or M5) while the head goes up or down, and on again where it burns.',
      change: null,
    };
  }
  // As fast as the head really goes there: its feed may be beyond the machine.
  const passesNowMmPerS = energies.nominalMmPerS[gathered.worst.move]!;
  const fastEnough = Math.max((passesNowMmPerS * longestS) / (SPARE * LINGERS_S), SLOWEST_MM_PER_S);
  const feed = plainFeed(fastEnough);
  if (fastEnough > Math.max(xTop, yTop)) {
    return {
      remedy: `The machine cannot go fast enough for so much light: burn it with less power. Never leave it unattended.`,
      change: null,
    };
  }
  return {
    remedy: `Burn it at ${numberWords(feed, 4)} mm/min or faster. Never leave it unattended.`,
    change: `speed ${feed}`,
  };
}
