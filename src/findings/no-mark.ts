import { speedForToneMmPerS } from '../burn/settings-for.ts';
import { beamOf, powerFor } from '../burn/speed-power.ts';
import { doseForTone, middleTone } from '../burn/tone.ts';
import { headZMm } from '../program/operations.ts';
import { spanOf } from '../sure/contributions.ts';
import { feedWords, numberWords, percentWords } from '../words.ts';
import { NO_SPEED, trueSpeed } from './evidence/capped.ts';
import { doseForToneOn, type Evidence, type OperationEvidence, startOf } from './evidence/evidence.ts';
import { type LitSample, litSamples } from './evidence/lit-samples.ts';
import { MOSTLY, slowMmOf } from './evidence/survey.ts';
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
 * `no-mark`: an operation whose light leaves no mark, or almost none, at full speed, nor on most of its way; with the power
 * or the speed at which it would. What stays below the diode's threshold is told by `below-threshold`. One finding per operation.
 */
export function findNoMark(evidence: Evidence): Finding[] {
  return evidence.operations.flatMap((each) => {
    const faint = faintness(evidence, each, litSamples(evidence, each));
    return faint ? [finding(evidence, each, faint)] : [];
  });
}

interface Faintness {
  /** The part of its light that falls where it marks; `onlySlow`: the part of its length. */
  readonly markedShare: number;
  /** Whether it marks on a part of its length, but only where the head is slow. */
  readonly onlySlow: boolean;
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
  const lightOf = (of: (sample: LitSample) => number, from = 0): number =>
    samples.reduce((sum, sample) => sum + (of(sample) >= from ? of(sample) * sample.mm : 0), 0);
  const shareOf = (of: (sample: LitSample) => number): number => lightOf(of, markJPerMm2) / lightOf(of);
  const most = ({ mostJPerMm2 }: LitSample): number => mostJPerMm2;
  const light = lightOf(most);
  let markedShare = shareOf(most);
  const onlySlow = !(markedShare <= ALMOST_NOTHING);
  if (onlySlow) {
    if (!(shareOf(({ fullJPerMm2 }) => fullJPerMm2) <= ALMOST_NOTHING)) return null;
    markedShare = slowShare(evidence, each, samples, markJPerMm2);
    if (!(markedShare < MOSTLY)) return null;
  }
  samples.sort((a, b) => a.fullJPerMm2 - b.fullJPerMm2);
  let at = 0;
  for (let sum = 0; at < samples.length - 1; at++) {
    sum += samples[at]!.mostJPerMm2 * samples[at]!.mm;
    if (sum >= light / 2) break;
  }
  return { markedShare, onlySlow, typical: samples[at]!, markJPerMm2 };
}

/** The part of the length on which the head is so slow that constant power leaves a mark. */
function slowShare(
  { motion, energies }: Evidence,
  { operation }: OperationEvidence,
  samples: readonly LitSample[],
  markJPerMm2: number,
): number {
  if (operation.powerMode !== 'constant') return 1;
  let allMm = 0;
  let slowMm = 0;
  for (const { move, fullJPerMm2 } of samples) {
    allMm += motion.lengthMm[move]!;
    slowMm += slowMmOf(motion, move, energies.nominalMmPerS[move]! * Math.min(1, fullJPerMm2 / markJPerMm2));
  }
  return slowMm / allMm;
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

function shownWords(markedShare: number, onlySlow: boolean): string {
  if (onlySlow)
    return `It will show only where the head is slow, on ${percentWords(round(markedShare, 2))} of its length`;
  return `${markedShare > 0 ? 'Almost nothing' : 'Nothing'} of it will show`;
}

function finding(
  evidence: Evidence,
  each: OperationEvidence,
  { markedShare, onlySlow, typical, markJPerMm2 }: Faintness,
): Finding {
  const { machine, material, law, energies, program } = evidence;
  const { operation, straightNeedTimes: times } = each;
  const { n, sMax } = operation;
  const { laser } = machine;
  const speed = energies.nominalMmPerS[typical.move]!;
  const dose = typical.fullJPerMm2;
  const wanted = doseForToneOn(evidence, each, AIM_TONE);
  const s = Math.min(typical.s, laser.s_max);
  // Where the feed is beyond the machine, proportional power gives less than S says, and all of it at the feed it runs.
  const at = trueSpeed(evidence, each);
  const isPart = operation.powerMode === 'proportional' && at !== NO_SPEED;
  const full = law.watts(s, 1);
  // Of so few levels that a part of S is none of them, all of S is the one that is known to give light.
  const watts = (isPart ? law.watts(s, speed / operation.feedMmPerS) : full) || full;
  const power = (powerFor(laser, (watts * wanted) / dose) * Math.min(sMax, laser.s_max)) / s;
  const feed = plainFeed(
    speedForToneMmPerS(
      AIM_TONE,
      ((dose * speed) / times) * (full / watts),
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
      `${shownWords(markedShare, onlySlow)}: at ${feedWords(speed)} with S${numberWords(s, 4)} ` +
      `the wood gets ${doseWords(dose)}, and a mark begins at ${numberWords(markJPerMm2, 2)}${marksFrom(evidence, each)}.`,
    remedy: byPower
      ? `Burn it with ${numberWords(percent)} % power${at.words}, or ${slower}: either gives a plain tan.`
      : `Burn it ${slower}, which gives a plain tan; no power of this beam does at ${feedWords(speed)}.`,
    measure: {
      marked_share: round(markedShare),
      dose_j_mm2: round(dose),
      mark_j_mm2: round(markJPerMm2),
      wanted_j_mm2: round(wanted),
      needed_power_percent: byPower ? percent : 'none',
      needed_feed_mm_min: feed,
    },
    advice: {
      operation: n,
      change: byPower ? `${n}: ${at.setting}power ${percent}%` : `${n}: speed ${feed}`,
    },
  };
}
