import { NOT_FOLLOWED } from '../burn/firing.ts';
import { restCommandW } from '../dose/command.ts';
import { isLitAtRest } from '../program/beam-on.ts';
import { depthSpanWords } from '../sure/words.ts';
import { timeWords } from '../words.ts';
import type { Cut } from './evidence/cuts.ts';
import { type Evidence, spanMeasure, startOf } from './evidence/evidence.ts';
import { gapsUnderProportional } from './evidence/gaps.ts';
import { type Gathered, gatherPlaces } from './evidence/places.ts';
import { peakPerMm2 } from './evidence/spot-widths.ts';
import { blackDoseJPerMm2, PLAINLY_DIFFERENT } from './evidence/visible-difference.ts';
import type { Advice, Finding } from './finding.ts';
import { DRILLS, LINGERS_S } from './may-ignite.ts';
import { countWords, doseWords, round } from './phrases.ts';

/**
 * `beam-on-at-rest`: the program dwells (G4), or pauses for the operator (M0, M1), with the beam on, which burns a dot
 * or worse. Waits for the link are told by `starved`. At most one finding for the dwells and one for the pauses.
 */
export function findBeamOnAtRest(evidence: Evidence, cuts: readonly Cut[] = []): Finding[] {
  const isCut = new Set(cuts.map(({ each }) => each.operation.n));
  return [...dwells(evidence, isCut), ...pauses(evidence)];
}

/** Whether a rest before a move is a short pierce: the beam comes on and stays where a stroke begins. */
const isPierce = ({ energies: { nominalMmPerS } }: Evidence, move: number, durationS: number): boolean =>
  durationS <= LINGERS_S && nominalMmPerS[move]! > 0 && !(move > 0 && nominalMmPerS[move - 1]! > 0);

/** @param isCut the operations that are meant to cut: a short pierce at their strokes' beginnings is as it should be. */
function dwells(evidence: Evidence, isCut: ReadonlySet<number>): Finding[] {
  const { motion, machine, law, program, material, eye, sureness } = evidence;
  const { rests } = motion;
  const places = gatherPlaces(0);
  let longestS = 0;
  let standingS = 0;
  let drills = false;
  for (let k = 0; k < rests.count; k++) {
    const watts = rests.starved[k] ? 0 : restCommandW(k, motion, machine, law);
    if (watts === 0) continue;
    const durationS = rests.durationS[k]!;
    const move = rests.beforeMove[k]!;
    const pierce = isPierce(evidence, move, durationS);
    if (pierce && isCut.has(program.moves.operation[move]!)) continue;
    const [x, y] = startOf(evidence, move);
    const dose = watts * durationS * peakPerMm2(machine.spot, move > 0 ? program.moves.zMm[move - 1]! : 0);
    // Would it show on bare wood? A dwell too short or too faint for that is no trouble.
    if (eye.difference(dose, durationS, 0, durationS) < PLAINLY_DIFFERENT) continue;
    const black = blackDoseJPerMm2(material, machine.laser.wavelength_nm, durationS);
    drills ||= dose > DRILLS * black && !pierce;
    longestS = Math.max(longestS, durationS);
    standingS += durationS;
    places.add(dose, 0, [x, y], { line: rests.line[k]!, move });
    places.lift();
  }
  const gathered = places.finish();
  if (!gathered) return [];
  const { count, worst, places: where } = gathered;
  const deep = sureness.engraved({
    doseJPerMm2: worst.worse,
    dwellS: longestS,
    headZMm: worst.move > 0 ? program.moves.zMm[worst.move - 1]! : 0,
    ...NOT_FOLLOWED,
    isFilled: false,
  });
  return [
    {
      kind: 'beam-on-at-rest',
      severity: drills ? 'stop' : 'warning',
      line: worst.line,
      atMm: [round(worst.xMm, 3), round(worst.yMm, 3)],
      operation: operationAt(evidence, worst.move),
      message:
        `The head stands still with the beam on ${count === 1 ? 'once' : `at ${countWords(count, 'place')}`}, ` +
        `for up to ${timeWords(longestS)}: a burned dot, ${doseWords(worst.worse)} at its middle.` +
        (drills ? ` It drills about ${depthSpanWords(deep, 'mm deep')} and may set the wood alight.` : ''),
      remedy: `Switch the beam off (S0 or M5) before the dwell on line ${worst.line}${orProportional(evidence, worst.move)}.`,
      measure: {
        count,
        longest_s: round(longestS),
        standing_s: round(standingS),
        dose_j_mm2: round(worst.worse),
        depth_mm: round(deep.depthMm),
        ...spanMeasure(deep),
        places: where,
      },
      advice: adviceAt(evidence, worst.move),
    },
  ];
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
