import { NOT_FOLLOWED } from '../burn/firing.ts';
import { powerFor } from '../burn/speed-power.ts';
import { restCommandW } from '../dose/command.ts';
import { greatestOf } from '../lists.ts';
import { isLitAtRest } from '../program/beam-on.ts';
import { DWELL_P } from '../program/dwell.ts';
import type { DepthSpan } from '../sure/engraved.ts';
import { depthSpanWords } from '../sure/words.ts';
import { numberWords, shortTimeWords } from '../words.ts';
import type { Cut } from './evidence/cuts.ts';
import { type Evidence, spanMeasure, startOf } from './evidence/evidence.ts';
import { gapsUnderProportional } from './evidence/gaps.ts';
import { type Gathered, gatherPlaces } from './evidence/places.ts';
import { peakPerMm2 } from './evidence/spot-widths.ts';
import { uprightsAmong, zBefore } from './evidence/standing.ts';
import { blackDoseJPerMm2, PLAINLY_DIFFERENT } from './evidence/visible-difference.ts';
import type { Advice, Finding } from './finding.ts';
import { drills, LINGERS_S, mayIgnite } from './may-ignite.ts';
import { countWords, doseWords, listWords, mmWords, round } from './phrases.ts';

/**
 * `beam-on-at-rest`: the program dwells (G4), goes up or down on one spot, or pauses for the operator (M0, M1), with the beam
 * on, which burns a dot or worse. Waits for the link are told by `starved`, long ways up and down by `may-ignite`. At most
 * one finding for where it stands and one for the pauses.
 */
export function findBeamOnAtRest(evidence: Evidence, cuts: readonly Cut[] = []): Finding[] {
  const isCut = new Set(cuts.map(({ each }) => each.operation.n));
  return [...dwells(evidence, isCut), ...pauses(evidence)];
}

/** The beam stays on one spot: the head rests, or goes up or down there. */
interface Stand {
  /** The move before which the head rests, or with which it begins to go up or down. */
  readonly move: number;
  readonly line: number;
  readonly durationS: number;
  readonly doseJPerMm2: number;
  readonly headZMm: number;
  readonly upright: boolean;
  /** Whether the beam has come on only there; whether it burns on from there. */
  readonly begins: boolean;
  readonly goesOn: boolean;
}

const isBurned = ({ energies: { nominalMmPerS } }: Evidence, move: number): boolean =>
  move >= 0 && nominalMmPerS[move]! > 0;

/** Where the head rests with the beam on; waits for the link are told by `starved`. */
function rests(evidence: Evidence): Stand[] {
  const { motion, machine, law } = evidence;
  const { rests } = motion;
  const found: Stand[] = [];
  for (let k = 0; k < rests.count; k++) {
    const watts = rests.starved[k] ? 0 : restCommandW(k, motion, machine, law);
    if (watts === 0) continue;
    const move = rests.beforeMove[k]!;
    const durationS = rests.durationS[k]!;
    const headZMm = zBefore(evidence, move);
    found.push({
      move,
      line: rests.line[k]!,
      durationS,
      doseJPerMm2: watts * durationS * peakPerMm2(machine.spot, headZMm),
      headZMm,
      upright: false,
      begins: !isBurned(evidence, move - 1),
      goesOn: isBurned(evidence, move),
    });
  }
  return found;
}

/** Where it goes up or down with the beam on; what may set the wood alight is told by `may-ignite`. */
function uprights(evidence: Evidence): Stand[] {
  const { moves } = evidence.program;
  return uprightsAmong(evidence, 0, moves.count - 1)
    .filter(({ doseJPerMm2, durationS }) => !mayIgnite(evidence, doseJPerMm2, durationS))
    .map(({ firstMove: move, lastMove, ...stretch }) => ({
      move,
      line: moves.line[move]!,
      ...stretch,
      upright: true,
      begins: !isBurned(evidence, move - 1),
      goesOn: isBurned(evidence, lastMove + 1),
    }));
}

/** @param isCut the operations that are meant to cut: a short pierce at their strokes' beginnings is as it should be. */
function dwells(evidence: Evidence, isCut: ReadonlySet<number>): Finding[] {
  const { program, eye, sureness, stock } = evidence;
  const places = gatherPlaces(0);
  let longestS = 0;
  let standingS = 0;
  let isDrilled = false;
  let isDeep = false;
  const told: Stand[] = [];
  let mayBurn = false;
  for (const stand of [...rests(evidence), ...uprights(evidence)]) {
    const { move, line, durationS, doseJPerMm2: dose, begins, goesOn } = stand;
    // The beam comes on and stays where a stroke begins.
    const isShort = begins && durationS <= LINGERS_S;
    const pierces = isShort && goesOn;
    if (pierces && isCut.has(program.moves.operation[move]!)) continue;
    // Would it show on bare wood? A dwell too short or too faint for that is no trouble.
    if (eye.difference(dose, durationS, 0, durationS) < PLAINLY_DIFFERENT) continue;
    // A short one between dark ways is a dot that somebody wants there.
    isDrilled ||= drills(evidence, dose, durationS) && !isShort;
    isDeep ||= drills(evidence, dose, durationS) && !pierces;
    mayBurn ||= mayIgnite(evidence, dose, durationS);
    longestS = Math.max(longestS, durationS);
    standingS += durationS;
    places.add(dose, 0, startOf(evidence, move), { line, move });
    places.lift();
    told.push(stand);
  }
  const gathered = places.finish();
  if (!gathered) return [];
  const { count, worst, places: where } = gathered;
  const { headZMm, upright } = told.find(
    ({ move, doseJPerMm2 }) => move === worst.move && doseJPerMm2 === worst.worse,
  )!;
  const deep = sureness.depthSpan({
    doseJPerMm2: worst.worse,
    dwellS: longestS,
    headZMm,
    ...NOT_FOLLOWED,
    isFilled: false,
  });
  return [
    {
      kind: 'beam-on-at-rest',
      severity: isDrilled ? 'stop' : 'warning',
      line: worst.line,
      atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
      operation: operationAt(evidence, worst.move),
      message:
        `The head ${standsWords(told)} with the beam on ${count === 1 ? 'once' : `at ${countWords(count, 'place')}`}, ` +
        `for up to ${shortTimeWords(longestS)}: a burned dot, ${doseWords(worst.worse)} at its middle.` +
        (isDeep
          ? ` It drills ${drilledWords(deep, stock?.thicknessMm ?? null)}${mayBurn ? ' and may set the wood alight' : ''}.`
          : ''),
      remedy: remedyOf(evidence, told, { move: worst.move, doseJPerMm2: worst.worse, upright }),
      measure: {
        count,
        longest_s: round(longestS),
        standing_s: round(standingS),
        dose_j_mm2: round(worst.worse),
        depth_mm: round(deep.depthMm),
        ...spanMeasure(deep),
        places: where,
      },
      advice: upright ? null : adviceAt(evidence, worst.move),
    },
  ];
}

/** Whether the beam is on there alone, and not for long. */
const isDot = ({ begins, goesOn, durationS }: Stand): boolean => begins && !goesOn && durationS <= LINGERS_S;

/** No remedy names more lines than this. */
const MOST_NAMED = 6;

/** `line 25`, `lines 12, 17 and 22`, `lines 4, 6, 8, 10, 12, 14 and 26 more`. */
function linesWords(stands: readonly Stand[]): string {
  const lines = [...new Set(stands.map(({ line }) => line))].sort((a, b) => a - b);
  const more = lines.length - MOST_NAMED;
  const named = lines.slice(0, MOST_NAMED).map(String);
  return `line${lines.length === 1 ? '' : 's'} ${listWords(more > 0 ? [...named, `${more} more`] : named)}`;
}

/** A P of this many seconds or more is seldom meant; in milliseconds it is a common dot (a judgement). */
const LONG_DWELL_S = 5;
const MS = 1000;

/** Whether seconds were read where milliseconds were meant: each dwell would be a dot then. */
const isMsSlip = ({ machine, program }: Evidence, stands: readonly Stand[]): boolean =>
  machine.dwell_unit === 's' &&
  program.understood.some(({ topic }) => topic === DWELL_P) &&
  stands.every(
    ({ durationS, upright }) => !upright && durationS >= LONG_DWELL_S && durationS / MS <= LINGERS_S,
  );

/** @param worst the deepest of those told. */
function remedyOf(
  evidence: Evidence,
  told: readonly Stand[],
  worst: Pick<Stand, 'move' | 'doseJPerMm2' | 'upright'>,
): string {
  const slip = isMsSlip(evidence, told)
    ? `P was read in seconds. Were milliseconds meant, for rests of up to ${shortTimeWords(greatestOf(told.map(({ durationS }) => durationS)) / MS)}? ` +
      'Then set dwell_unit of the machine profile to ms, if the controller counts so, or write P in seconds. Else switch'
    : null;
  if (worst.upright) {
    const on = linesWords(told.filter(({ upright }) => upright));
    return `Switch the beam off (S0 or M5) while the head goes up or down on ${on}, and on again where it burns.`;
  }
  const resting = told.filter(({ upright }) => !upright);
  const before = `the beam off (S0 or M5) before the dwell${resting.length === 1 ? '' : 's'} on ${linesWords(resting)}`;
  const begin = slip ?? (told.every(isDot) ? `${dotsWords(evidence, told, worst)} Else switch` : 'Switch');
  return `${begin} ${before}${orProportional(evidence, worst.move)}.`;
}

/** What to do where dots are meant: nothing, or where they go deep less of P or S. */
function dotsWords(
  { material, machine, program, law }: Evidence,
  told: readonly Stand[],
  { move, doseJPerMm2 }: Pick<Stand, 'move' | 'doseJPerMm2'>,
): string {
  const { durationS, line } = told.find((each) => each.move === move && each.doseJPerMm2 === doseJPerMm2)!;
  const dark = blackDoseJPerMm2(material, machine.laser.wavelength_nm, durationS);
  const share = dark / doseJPerMm2;
  if (share >= 1) return 'Where dots are meant, nothing needs to change.';
  const seconds = durationS * share;
  const p = machine.dwell_unit === 'ms' ? seconds * MS : seconds;
  const { stops } = program;
  const k = stops.line.indexOf(line);
  const watts = law.watts(stops.s[k]!, 1);
  const s = powerFor(machine.laser, watts * share) * machine.laser.s_max;
  return (
    `Where dots are meant, a shorter dwell or a lower S drills less: on line ${line} P${numberWords(p, 2)} with the same S, ` +
    `or S${numberWords(s, 2)} with the same P, is enough for a fully black middle.`
  );
}

const drilledWords = (deep: DepthSpan, thicknessMm: number | null): string =>
  thicknessMm !== null && deep.depthMm >= thicknessMm
    ? `right through the board of ${mmWords(thicknessMm)}`
    : `about ${depthSpanWords(deep, 'mm deep')}`;

/** What the head does where the beam stays on one spot. */
function standsWords(stands: readonly Stand[]): string {
  if (stands.every(({ upright }) => upright)) return 'goes up or down over one spot';
  return stands.some(({ upright }) => upright)
    ? 'stands still, or goes up or down over one spot,'
    : 'stands still';
}

/** Nobody knows how long a pause lasts; with constant power the beam may burn all the while. */
function pauses(evidence: Evidence): Finding[] {
  const { program, machine, law } = evidence;
  const { stops, pauseLines } = program;
  if (pauseLines.length === 0) return [];
  const lines = new Set(pauseLines);
  const places = gatherPlaces(0);
  for (let k = 0; k < stops.count; k++) {
    const line = stops.line[k]!;
    if (!lines.has(line) || !isLitAtRest(stops, k, machine.laser.fires_on_rapids)) continue;
    if (law.watts(stops.s[k]!, 1) === 0) continue;
    const move = stops.beforeMove[k]!;
    places.add(0, 0, startOf(evidence, move), { line, move });
    places.lift();
  }
  const gathered: Gathered | null = places.finish();
  if (!gathered) return [];
  const { count, worst, places: where } = gathered;
  return [
    {
      kind: 'beam-on-at-rest',
      severity: 'stop',
      line: worst.line,
      atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
      operation: operationAt(evidence, worst.move),
      message:
        `The job pauses with the beam on (${countWords(count, 'pause')}, the first on line ${worst.line}), for as long as ` +
        'the operator likes: unless the controller switches it off by itself, it drills a hole and may set the wood alight.',
      remedy: `Switch the beam off (S0 or M5) before the pause on line ${worst.line}${orProportional(evidence, worst.move)}.`,
      measure: { count, places: where },
      advice: adviceAt(evidence, worst.move),
    },
  ];
}

/** The operation in the midst of which the head rests before a move; null between operations. */
function operationAt({ program: { moves } }: Evidence, move: number): number | null {
  const before = move > 0 ? moves.operation[move - 1]! : 0;
  return move < moves.count && before === moves.operation[move] && before > 0 ? before : null;
}

/** Whether proportional power would do: the machine has it, and it leaves no gaps in the operation. */
function canFollow(evidence: Evidence, move: number): boolean {
  const n = operationAt(evidence, move);
  if (n === null || evidence.machine.laser.m4_power !== 'proportional') return false;
  return gapsUnderProportional(evidence, evidence.operations[n - 1]!) === null;
}

const orProportional = (evidence: Evidence, move: number): string =>
  canFollow(evidence, move) ? ', or burn with proportional power (M4), which is off at rest' : '';

function adviceAt(evidence: Evidence, move: number): Advice | null {
  const n = operationAt(evidence, move);
  return n !== null && canFollow(evidence, move) ? { operation: n, change: `${n}: proportional` } : null;
}
