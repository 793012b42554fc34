import { costOfDepth, costOfWood, excessToDepth } from '../burn/depth.ts';
import type { Material } from '../burn/material.ts';
import { needAt, needOf } from '../burn/need.ts';
import { beamOf } from '../burn/speed-power.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone, toneOf } from '../burn/tone.ts';
import { InputError } from '../errors.ts';
import type { Cut } from '../findings/evidence/cuts.ts';
import { engravedPlace } from '../findings/evidence/engravings.ts';
import type { Evidence, OperationEvidence } from '../findings/evidence/evidence.ts';
import type { OnLine } from '../findings/evidence/on-line.ts';
import { PHOTO_DOUBTS, type ToneSeen } from '../piece/tones.ts';
import type { Supposed } from './prior.ts';
import { depthError, PLACE_PLUS_MINUS, reachedOf } from './reached.ts';
import { type Said, SHADES } from './say.ts';

/** A number that wood, machine and board decide, and what was seen of it: a value, or that it is no less, or no more. */
export interface Observation {
  readonly operation: number;
  of(supposed: Supposed): number;
  readonly seen: 'value' | 'at least' | 'at most';
  readonly value: number;
  /** One standard uncertainty of what was seen. */
  readonly plusMinus: number;
}

/** A tone that was picked, or seen to be as forecast. */
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
  cut: Cut | null,
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

function observeCut(evidence: Evidence, cut: Cut, said: Said): Observation {
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
  const of = ({ material: wood, power, width }: Supposed): number => {
    const dose = (doseJPerMm2 * power) / (isFilled ? 1 : width);
    return place(wood, dose / needAt(needOf(wood, wavelengthNm), dwellS * width));
  };
  const forecast = toneOf(doseJPerMm2, dwellS, material, wavelengthNm);
  const [tone, plusMinus] = toneSeen(said, forecast);
  const seen = { operation: operation.n, of };
  if (tone <= LIGHTEST_TOLD) {
    return {
      ...seen,
      seen: 'at most',
      value: placeOfTone(material, LIGHTEST_TOLD),
      plusMinus: PLACE_PLUS_MINUS,
    };
  }
  if (tone >= DARKEST_TOLD) {
    return {
      ...seen,
      seen: 'at least',
      value: placeOfTone(material, DARKEST_TOLD),
      plusMinus: PLACE_PLUS_MINUS,
    };
  }
  const off = Math.min(plusMinus, tone - LIGHTEST_TOLD / 2, 0.9 - tone);
  const slope = (placeOfTone(material, tone + off) - placeOfTone(material, tone - off)) / (2 * off);
  return {
    ...seen,
    seen: 'value',
    value: placeOfTone(material, tone),
    plusMinus: Math.hypot(plusMinus * slope, PLACE_PLUS_MINUS * placePerLog(material)),
  };
}

/** How dark an operation came out on a photo of the piece. */
export function observePhoto(
  { machine, material }: Evidence,
  each: OperationEvidence,
  seen: ToneSeen,
): Observation {
  const { straightDwellS } = each;
  const wavelengthNm = machine.laser.wavelength_nm;
  const perLog = placePerLog(material);
  const doseJPerMm2 = seen.plainJPerMm2 * needAt(needOf(material, wavelengthNm), straightDwellS);
  const of = ({ material: wood, power, width, log }: Supposed): number => {
    const plain = (doseJPerMm2 * power) / needAt(needOf(wood, wavelengthNm), straightDwellS * width);
    const doubted = PHOTO_DOUBTS.reduce((sum, name, k) => sum + seen.byDoubt[k]! * log(name), 0);
    return place(wood, plain) - perLog * doubted;
  };
  return {
    operation: each.operation.n,
    of,
    seen: seen.seenTone <= LIGHTEST_TOLD ? 'at most' : seen.seenTone >= DARKEST_TOLD ? 'at least' : 'value',
    value: place(material, seen.plainJPerMm2 * Math.exp(seen.lnTimes)),
    plusMinus: perLog * Math.hypot(seen.plusMinus, PLACE_PLUS_MINUS),
  };
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

const placeOfTone = (material: Material, tone: number): number =>
  place(material, plainDoseForTone(tone, material));

/** How far the place goes where the logarithm of dose goes by 1. */
const placePerLog = ({ first_mark_j_mm2: first, full_char_j_mm2: full }: Material): number =>
  1 / Math.log(full.value / first.value);
