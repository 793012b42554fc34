import { costOfDepth, costOfWood, depthLaw, excessToDepth } from '../burn/depth.ts';
import type { Material } from '../burn/material.ts';
import { needAt, needOf } from '../burn/need.ts';
import { beamOf } from '../burn/speed-power.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone, toneOf } from '../burn/tone.ts';
import { InputError } from '../errors.ts';
import type { MeantCut } from '../findings/evidence/cuts.ts';
import { engravedPlace } from '../findings/evidence/engravings.ts';
import type { Evidence, OperationEvidence } from '../findings/evidence/evidence.ts';
import type { OnLine } from '../findings/evidence/on-line.ts';
import {
  dosesByDoubt,
  EYE_DOUBTS,
  IS_OF_PHOTO,
  PHOTO_DOUBTS,
  startLightOfDose,
} from '../piece/light-of-doses.ts';
import { startLooksAs } from '../piece/looks-as.ts';
import { LINE_PLUS_MINUS, type ToneSeen } from '../piece/tones.ts';
import type { Supposed } from './prior.ts';
import { depthError, PLACE_PLUS_MINUS, reachedOf } from './reached.ts';
import { isOfTone, type Said, SHADES } from './say.ts';

/** A number that wood, machine and board decide, and what was seen of it: a value, or that it is no less, or no more. */
export interface Observation {
  readonly operation: number;
  of(supposed: Supposed): number;
  readonly seen: 'value' | 'at least' | 'at most';
  readonly value: number;
  /** One standard uncertainty of what was seen. */
  readonly plusMinus: number;
}

/**
 * A tone that was picked, or seen to be as forecast: an eye with nothing to hold beside tells five steps of lightness apart
 * (2.3 bits of brightness: G. A. Miller, *Psychological Review* 63, 81 (1956); value from memory), each 0.18 of tone wide and
 * so ±0.05. What the eye is off by as a whole comes on top ({@link EYE_DOUBTS}): a photo of the same piece teaches more.
 */
const TONE_PLUS_MINUS = 0.05;
/** Beyond these tones the eye tells no more than that they are passed. */
const LIGHTEST_TOLD = 0.03;
const DARKEST_TOLD = 0.85;

/**
 * What was seen, where something was said of an operation.
 * @param cut where the operation is meant to cut.
 * @returns null where it tells nothing of wood, power and spot.
 * @throws {InputError} where an operation cannot have turned out so.
 */
export function observe(
  evidence: Evidence,
  each: OperationEvidence,
  cut: MeantCut | null,
  said: Said,
): Observation | null {
  if (said.kind === 'corners dark') return null;
  if (cut && (said.kind === 'shade' || said.kind === 'tone')) {
    throw new InputError(
      `found a tone told of operation ${each.operation.n}, which is meant to cut; expected how deep it is, or that it came through`,
    );
  }
  if (cut) return observeCut(evidence, cut, said);
  if (said.kind === 'as forecast' || said.kind === 'shade' || said.kind === 'tone')
    return observeTone(evidence, each, said);
  throw new InputError(
    `found a depth told of operation ${each.operation.n}, which is not meant to cut; expected as forecast, lighter, darker or a tone`,
  );
}

function observeCut(evidence: Evidence, cut: MeantCut, said: Said): Observation {
  const { n } = cut.each.operation;
  const { weakest, uncut, shallowestMm } = cut.path;
  if (!weakest) throw new InputError(`found nothing burned by operation ${n}; expected a cut that was begun`);
  const thicknessMm = evidence.stock!.thicknessMm!;
  const asForecast: Said = uncut ? { kind: 'depth', depthMm: shallowestMm } : { kind: 'through' };
  const reached = reachedOf(evidence, cut, said.kind === 'as forecast' ? asForecast : said);
  const margin = (times: number, depthMm: number | null) => (supposed: Supposed) =>
    logMargin(evidence, weakest, times, supposed, depthMm ?? thicknessMm * supposed.thickness);
  switch (reached.kind) {
    case 'depth':
      return {
        operation: n,
        of: margin(1, reached.depthMm),
        seen: 'value',
        value: 0,
        plusMinus: depthError(evidence, weakest, reached.depthMm),
      };
    case 'just through':
      return {
        operation: n,
        of: margin(reached.times, null),
        seen: 'value',
        value: 0,
        plusMinus: PLACE_PLUS_MINUS,
      };
    case 'through':
      return { operation: n, of: margin(1, null), seen: 'at least', value: 0, plusMinus: PLACE_PLUS_MINUS };
    case 'not through':
      return { operation: n, of: margin(1, null), seen: 'at most', value: 0, plusMinus: PLACE_PLUS_MINUS };
  }
}

/** The logarithm of what a place on a line gets over what it needs to a depth. */
function logMargin(
  { machine }: Evidence,
  { doseJPerMm2, dwellS, headZMm: z, needTimes }: OnLine,
  times: number,
  { material, power, width }: Supposed,
  depthMm: number,
): number {
  const beam = beamOf(machine, z);
  const [x, y] = machine.spot.width_mm;
  const spot = { ...beam.spot, width_mm: [x * width, y * width] as const };
  const need = needAt(needOf(material, beam.wavelengthNm), dwellS * width);
  const begins = plainDoseForTone(CHAR_BEGINS_TONE, material) * need * needTimes;
  const needed = begins + excessToDepth(costOfDepth(costOfWood(material), { ...beam, spot }), depthMm);
  return Math.log((times * doseJPerMm2 * power) / width / needed);
}

function observeTone(evidence: Evidence, each: OperationEvidence, said: Said): Observation {
  const { machine, material } = evidence;
  const { operation } = each;
  const { doseJPerMm2: fell, dwellS, needTimes, isFilled } = engravedPlace(evidence, each);
  // To the wood a place that needs twice the dose is one that got half of it.
  const doseJPerMm2 = fell / needTimes;
  const wavelengthNm = machine.laser.wavelength_nm;
  const forecast = toneOf(doseJPerMm2, dwellS, material, wavelengthNm);
  const [tone, plusMinus] = toneSeen(said, forecast);
  const shown = plainDoseForTone(Math.min(DARKEST_TOLD, Math.max(LIGHTEST_TOLD, tone)), material);
  const byDoubt = dosesByDoubt((off) => {
    const lightOf = startLightOfDose({ material, law: depthLaw(material, beamOf(machine)) }, off);
    return (lnTimes) => lightOf(shown * Math.exp(lnTimes));
  }, 0);
  const of = ({ material: wood, power, width, log }: Supposed): number => {
    const dose = (doseJPerMm2 * power) / (isFilled ? 1 : width);
    const doubted = EYE_DOUBTS.reduce((sum, name, k) => sum + byDoubt[k]! * log(name), 0);
    const plain = dose / needAt(needOf(wood, wavelengthNm), dwellS * width);
    return placeOn(wood, plain, material) - doubted * placePerLog(material);
  };
  // An eye tells the tone of lines apart no better than a photo.
  const ownPlusMinus = Math.hypot(PLACE_PLUS_MINUS, isFilled ? 0 : LINE_PLUS_MINUS);
  const seen = { operation: operation.n, of };
  // What was told darker or lighter than forecast is no bound against that, however dark or light the forecast.
  if (tone <= LIGHTEST_TOLD && tone <= forecast) {
    return {
      ...seen,
      seen: 'at most',
      value: placeOfTone(material, LIGHTEST_TOLD),
      plusMinus: PLACE_PLUS_MINUS,
    };
  }
  if (tone >= DARKEST_TOLD && tone >= forecast) {
    return {
      ...seen,
      seen: 'at least',
      value: placeOfTone(material, DARKEST_TOLD),
      plusMinus: PLACE_PLUS_MINUS,
    };
  }
  const off = Math.min(plusMinus, tone / 2, (1 - tone) / 2);
  const slope = (placeOfTone(material, tone + off) - placeOfTone(material, tone - off)) / (2 * off);
  return {
    ...seen,
    seen: 'value',
    value: placeOfTone(material, tone),
    plusMinus: Math.hypot(plusMinus * slope, ownPlusMinus * placePerLog(material)),
  };
}

/**
 * How dark an operation came out on a photo of the piece: by what its doses would be multiplied for its marks to look so, as
 * forecast 0. That it is at least so much is told of what came out darker only, and at most of what came out paler, so that
 * nothing is learned against what was seen.
 */
export function observePhoto(
  { machine, material }: Evidence,
  { operation, straightDwellS }: OperationEvidence,
  seen: ToneSeen,
): Observation {
  const wavelengthNm = machine.laser.wavelength_nm;
  const forecastNeed = needAt(needOf(material, wavelengthNm), straightDwellS);
  const looksAs = startLooksAs(seen.marks, material);
  const of = ({ material: wood, power, width, log }: Supposed): number => {
    const need = needAt(needOf(wood, wavelengthNm), straightDwellS * width);
    const doubted = PHOTO_DOUBTS.reduce((sum, name, k) => sum + seen.byDoubt[k]! * log(name), 0);
    const byWidth = seen.lnTimesPerLnWidth * Math.log(width);
    return looksAs((power * forecastNeed) / need, wood) + byWidth - doubted;
  };
  const isPale = seen.localTone <= LIGHTEST_TOLD && seen.lnTimes < 0;
  return {
    operation: operation.n,
    of,
    seen: seen.isAtLeast ? 'at least' : isPale ? 'at most' : 'value',
    value: seen.lnTimes,
    plusMinus: Math.hypot(seen.plusMinus, PLACE_PLUS_MINUS),
  };
}

/** From here on words and photo of one operation do not go together, in standard deviations of their difference (a judgement). */
const APART = 2;

/**
 * Whether words say another tone of an operation than a photo shows of the same piece. Tones beyond what an eye tells apart
 * are alike, and of a photo that tells a bound, so is what lies beyond it. The wood's colours are the same for both.
 */
export function isAgainstPhoto(said: Said, seen: ToneSeen, material: Material): boolean {
  if (!isOfTone(said)) return false;
  const told = (tone: number) => Math.min(DARKEST_TOLD, Math.max(LIGHTEST_TOLD, tone));
  const [tone, plusMinus] = toneSeen(said, seen.forecastTone);
  const darker = told(tone) - told(seen.seenTone);
  if (seen.isAtLeast && darker > 0) return false;
  const ofPhoto = seen.byDoubt.reduce(
    (sum, each, k) => (IS_OF_PHOTO[k] ? Math.hypot(sum, each) : sum),
    seen.plusMinus,
  );
  return Math.abs(darker) > APART * Math.hypot(plusMinus, placePerLog(material) * ofPhoto);
}

function toneSeen(said: Said, forecast: number): readonly [tone: number, plusMinus: number] {
  if (said.kind === 'tone') return [said.tone, TONE_PLUS_MINUS];
  if (said.kind !== 'shade') return [forecast, TONE_PLUS_MINUS];
  const [shift, plusMinus] = SHADES[said.shade];
  return [Math.min(1, Math.max(0, forecast + shift)), plusMinus];
}

/** Where between first mark (0) and full char (1) a dose at short dwell lies, by its logarithm; it goes on beyond both. */
function place({ first_mark_j_mm2: first, full_char_j_mm2: full }: Material, plainJPerMm2: number): number {
  return Math.log(plainJPerMm2 / first.value) / Math.log(full.value / first.value);
}

/**
 * The same on a supposed wood. What lies beyond its first mark or full char is told from there on by the profile's own steps,
 * so that a place beyond the one says nothing of the other.
 */
function placeOn(wood: Material, plainJPerMm2: number, material: Material): number {
  const { first_mark_j_mm2: first, full_char_j_mm2: full } = wood;
  if (plainJPerMm2 < first.value) return placePerLog(material) * Math.log(plainJPerMm2 / first.value);
  if (plainJPerMm2 > full.value) return 1 + placePerLog(material) * Math.log(plainJPerMm2 / full.value);
  return place(wood, plainJPerMm2);
}

const placeOfTone = (material: Material, tone: number): number =>
  place(material, plainDoseForTone(tone, material));

/** How far the place goes where the logarithm of dose goes by 1. */
const placePerLog = ({ first_mark_j_mm2: first, full_char_j_mm2: full }: Material): number =>
  1 / Math.log(full.value / first.value);
