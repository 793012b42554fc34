import { depthOf } from '../burn/respond.ts';
import { restCommandW } from '../dose/command.ts';
import { timeWords } from '../words.ts';
import { beamOf, type Evidence, startOf } from './evidence.ts';
import { blackDoseJPerMm2, PLAINLY_DIFFERENT } from './eye.ts';
import type { Finding, Severity } from './finding.ts';
import { type Gathered, gatherPlaces } from './places.ts';
import { countWords, doseWords, mmWords, round } from './say.ts';
import { peakPerMm2 } from './spot-widths.ts';

/** A standing beam that takes this much more than the darkest char needs drills a hole and may light a flame. */
const DRILLS = 10;

/**
 * `beam-on-at-rest`: the program dwells (G4) with the beam on, which burns a dot. Waits for the link are told by
 * `starved`. One finding for the job.
 */
export function findBeamOnAtRest(evidence: Evidence): Finding[] {
  const { motion, machine, law, program, material, eye } = evidence;
  const { rests } = motion;
  const places = gatherPlaces(0);
  let longestS = 0;
  let standingS = 0;
  for (let k = 0; k < rests.count; k++) {
    if (rests.starved[k]) continue;
    const watts = restCommandW(k, motion, machine, law);
    const durationS = rests.durationS[k]!;
    if (watts <= 0) continue;
    const move = rests.beforeMove[k]!;
    const [x, y] = startOf(evidence, move);
    const dose = watts * durationS * peakPerMm2(machine.spot, move > 0 ? program.moves.zMm[move - 1]! : 0);
    // Would it show on bare wood? A dwell too short or too faint for that is no trouble.
    if (eye.difference(dose, durationS, 0, durationS) < PLAINLY_DIFFERENT) continue;
    longestS = Math.max(longestS, durationS);
    standingS += durationS;
    places.add(dose, 0, x, y, rests.line[k]!, move);
    places.lift();
  }
  const gathered = places.finish();
  if (!gathered) return [];
  const black = blackDoseJPerMm2(material, machine.laser.wavelength_nm, longestS);
  const severity: Severity = gathered.worst.worse > DRILLS * black ? 'stop' : 'warning';
  return [finding(evidence, gathered, severity, longestS, standingS, program.operations.length)];
}

function finding(
  evidence: Evidence,
  { count, worst, places }: Gathered,
  severity: Severity,
  longestS: number,
  standingS: number,
  operations: number,
): Finding {
  const { program, material, stock } = evidence;
  const { moves } = program;
  const n = moves.operation[Math.min(worst.move, moves.count - 1)] ?? 0;
  const operation = n > 0 && n <= operations ? program.operations[n - 1]! : null;
  const beam = operation ? beamOf(evidence, operation) : null;
  const depth = beam ? depthOf(worst.worse, longestS, material, beam) : 0;
  const deep = Math.min(depth, stock?.thicknessMm ?? depth);
  const hole =
    severity === 'stop' ? ` It drills about ${mmWords(deep)} deep and may set the wood alight.` : '';
  return {
    kind: 'beam-on-at-rest',
    severity,
    line: worst.line,
    atMm: [worst.xMm, worst.yMm],
    operation: operation?.n ?? null,
    message:
      `The head stands still with the beam on ${count === 1 ? 'once' : `at ${countWords(count, 'place')}`}, ` +
      `for up to ${timeWords(longestS)}: a burned dot, ${doseWords(worst.worse)} at its middle.${deep > 0 ? hole : ''}`,
    remedy:
      `Switch the beam off (S0 or M5) before the dwell on line ${worst.line}` +
      (operation ? ', or burn with proportional power (M4), which is off at rest.' : '.'),
    measure: {
      count,
      longest_s: round(longestS),
      standing_s: round(standingS),
      dose_j_mm2: round(worst.worse),
      places,
    },
    advice: operation ? { operation: operation.n, change: `${operation.n}: proportional` } : null,
  };
}
