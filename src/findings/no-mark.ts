import { speedForToneMmPerS } from '../burn/settings-for.ts';
import { beamOf, powerFor } from '../burn/speed-power.ts';
import { doseForTone, middleTone } from '../burn/tone.ts';
import { headZMm } from '../program/operations.ts';
import { spanOf } from '../sure/contributions.ts';
import { feedWords, numberWords } from '../words.ts';
import { doseForToneOn, type Evidence, type OperationEvidence, startOf } from './evidence/evidence.ts';
import { type LitSample, litSamples } from './evidence/lit-samples.ts';
import { MARK_TONE } from './evidence/visible-difference.ts';
import type { Finding } from './finding.ts';
import { doseWords, round } from './phrases.ts';
import { plainFeed } from './settings-words.ts';

/**
 * Where no more than this part of an operation's light falls where it marks, it marks almost nothing (a judgement). By
 * light, not by length: a drawing on a wide and nearly white ground is no blank.
 */
const ALMOST_NOTHING = 0.05;
/** What the remedy aims at: a plain tan. */
const AIM_TONE = middleTone('tan');

/**
 * `no-mark`: an operation whose light leaves no mark, or almost none, also at full speed; with the power or the speed
 * at which it would. What stays below the diode's threshold is told by `below-threshold`. One finding per operation.
 */
export function findNoMark(evidence: Evidence): Finding[] {
  return evidence.operations.flatMap((each) => {
    const faint = faintness(evidence, each, litSamples(evidence, each));
    return faint ? [finding(evidence, each, faint)] : [];
  });
}

interface Faintness {
  /** The part of its light that falls where it marks. */
  readonly markedShare: number;
  /** A sample in the middle: half of the light falls on places that get more. */
  readonly typical: LitSample;
  readonly markJPerMm2: number;
}

/** null where the operation marks something, and where it emits nothing. */
export function faintness(
  evidence: Evidence,
  each: OperationEvidence,
  samples: LitSample[],
): Faintness | null {
  const markJPerMm2 = doseForToneOn(evidence, each, MARK_TONE);
  let light = 0;
  let marks = 0;
  for (const { mostJPerMm2, mm } of samples) {
    light += mostJPerMm2 * mm;
    if (mostJPerMm2 >= markJPerMm2) marks += mostJPerMm2 * mm;
  }
  const markedShare = marks / light;
  if (!(markedShare <= ALMOST_NOTHING)) return null;
  samples.sort((a, b) => a.fullJPerMm2 - b.fullJPerMm2);
  let at = 0;
  for (let sum = 0; at < samples.length - 1; at++) {
    sum += samples[at]!.mostJPerMm2 * samples[at]!.mm;
    if (sum >= light / 2) break;
  }
  return { markedShare, typical: samples[at]!, markJPerMm2 };
}

/** ` (0.09 to 0.16)`: what a mark takes on nine such boards of ten. */
function marksFrom(
  { material, machine, stock }: Evidence,
  { straightDwellS, straightNeedTimes }: OperationEvidence,
): string {
  const bench = { material, machine, thickness: stock ?? { thicknessMm: null } };
  const span = spanOf(bench, ({ material: wood, power, width }) => {
    const dose = doseForTone(MARK_TONE, straightDwellS * width, wood, machine.laser.wavelength_nm);
    return (straightNeedTimes * dose * width) / power;
  });
  const [low, high] = span.map((dose) => numberWords(dose, 2));
  return low === high ? '' : ` (${low} to ${high})`;
}

function finding(
  evidence: Evidence,
  each: OperationEvidence,
  { markedShare, typical, markJPerMm2 }: Faintness,
): Finding {
  const { machine, material, law, energies, program } = evidence;
  const { operation, straightNeedTimes: times } = each;
  const { n, sMax } = operation;
  const { laser } = machine;
  const speed = energies.nominalMmPerS[typical.move]!;
  const dose = typical.fullJPerMm2;
  const wanted = doseForToneOn(evidence, each, AIM_TONE);
  const s = Math.min(typical.s, laser.s_max);
  const power = (powerFor(laser, (law.watts(s, 1) * wanted) / dose) * Math.min(sMax, laser.s_max)) / s;
  const feed = plainFeed(
    speedForToneMmPerS(
      AIM_TONE,
      (dose * speed) / times,
      material,
      beamOf(machine, headZMm(program, operation)),
    ),
  );
  const percent = Math.ceil(power * 1000) / 10;
  const byPower = percent <= 100;
  const slower = `at ${numberWords(feed, 4)} mm/min`;
  const [x, y] = startOf(evidence, typical.move);
  return {
    kind: 'no-mark',
    severity: 'warning',
    line: program.moves.line[typical.move]!,
    atMm: [round(x, 3), round(y, 3)],
    operation: n,
    message:
      `${markedShare > 0 ? 'Almost nothing' : 'Nothing'} of it will show: at ${feedWords(speed)} with S${numberWords(s, 4)} ` +
      `the wood gets ${doseWords(dose)}, and a mark begins at ${numberWords(markJPerMm2, 2)}${marksFrom(evidence, each)}.`,
    remedy: byPower
      ? `Burn it with ${numberWords(percent)} % power, or ${slower}: either gives a plain tan.`
      : `Burn it ${slower}, which gives a plain tan; no power of this beam does at ${feedWords(speed)}.`,
    measure: {
      marked_share: round(markedShare),
      dose_j_mm2: round(dose),
      mark_j_mm2: round(markJPerMm2),
      wanted_j_mm2: round(wanted),
      needed_power_percent: byPower ? percent : 'none',
      needed_feed_mm_min: feed,
    },
    advice: { operation: n, change: byPower ? `${n}: power ${percent}%` : `${n}: speed ${feed}` },
  };
}
