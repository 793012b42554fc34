import { depthWithExcess } from '../burn/depth.ts';
import type { Fired } from '../burn/firing.ts';
import type { Material } from '../burn/material.ts';
import { needAt, needOf } from '../burn/need.ts';
import { toneBetween } from '../burn/tone.ts';
import type { WoodAnswer } from '../burn/wood-answer.ts';
import { nthRising } from '../lists.ts';
import { type SuchBoards, savedOnBoards } from './boards.ts';
import { DRAWS } from './draws.ts';
import { timesWith } from './warmed.ts';

/** A place that is engraved, and what it gets. */
export interface EngravedPlace extends Fired {
  /** Dose of all passes, J/mm²; dwell, s; height of the head while it burned, mm. */
  readonly doseJPerMm2: number;
  readonly dwellS: number;
  readonly headZMm: number;
  /** How many times that dose its deepest lines get, where it is the one by which an area of rows is seen; default 1. */
  readonly deepTimes?: number;
  /** Whether rows fill an area there, whose mean dose no spot's width changes. */
  readonly isFilled: boolean;
}

/** What comes of it: as the numbers stand, and from … to for nine boards of ten. */
export interface Engraved extends ToneSpan, DepthSpan {}

/** The tone of it. */
export interface ToneSpan {
  /** 0 bare … 1 burned on beyond full char. */
  readonly tone: number;
  readonly toneLow: number;
  readonly toneHigh: number;
}

/** The depth of it; at most the thickness, where it is known. */
export interface DepthSpan {
  readonly depthMm: number;
  readonly depthLowMm: number;
  readonly depthHighMm: number;
}

/** Below the low end lie this part of such boards, and as many above the high one. */
const BEYOND = 0.05;

/** What was drawn, and what the numbers themselves give, under the machine's own beam. */
interface Drawn {
  readonly boards: SuchBoards;
  readonly wood: WoodAnswer;
}

/** What lands at a place on each drawn board, J/mm², and how many times a plain dose it needs there. */
export interface OnBoards {
  readonly doseJPerMm2: Float64Array;
  readonly needs: Float64Array;
}

/**
 * The drawn power, on a line over the drawn width, with which dwell grows. How often it was fired stands; what that costs,
 * and what warmth saves, is drawn.
 */
export function onSuchBoards(place: EngravedPlace, boards: SuchBoards): OnBoards {
  const { dwellS, isFilled } = place;
  const { power, width, wood } = boards;
  const saved = savedOnBoards(boards, place);
  const doseJPerMm2 = new Float64Array(DRAWS);
  const needs = new Float64Array(DRAWS);
  const need = { byDepth: 0.5, bySqrtS: 0.5 };
  for (let k = 0; k < DRAWS; k++) {
    need.byDepth = wood.byDepth[k]!;
    need.bySqrtS = wood.bySqrtS[k]!;
    needs[k] = timesWith(place, saved[k]!, wood.firingCost[k]!) * needAt(need, dwellS * width[k]!);
    doseJPerMm2[k] = (place.doseJPerMm2 * power[k]!) / (isFilled ? 1 : width[k]!);
  }
  return { doseJPerMm2, needs };
}

/** The tone of a place, about which all such boards lie. */
export function toneSpanOf(place: EngravedPlace, on: OnBoards, { boards, wood }: Drawn): ToneSpan {
  const { doseJPerMm2, dwellS, needTimes } = place;
  const { firstMark, fullChar } = boards.wood;
  const tones = new Float64Array(DRAWS);
  for (let k = 0; k < DRAWS; k++)
    tones[k] = toneBetween(on.doseJPerMm2[k]! / on.needs[k]!, firstMark[k]!, fullChar[k]!);
  const [toneLow, toneHigh] = rangeOf(tones);
  return { tone: wood.tone(doseJPerMm2 / needTimes, dwellS), toneLow, toneHigh };
}

/** The depth of a place, about which all such boards lie. */
export function depthSpanOf(
  place: EngravedPlace,
  on: OnBoards,
  { boards, wood }: Drawn,
  thicknessMm: number | null,
): DepthSpan {
  const { doseJPerMm2, dwellS, headZMm, needTimes, deepTimes = 1 } = place;
  const {
    thickness,
    wood: { begins },
  } = boards;
  const costs = boards.costsAt(headZMm);
  const mostMm = thicknessMm ?? Infinity;
  const depthsMm = new Float64Array(DRAWS);
  for (let k = 0; k < DRAWS; k++) {
    const excess = on.doseJPerMm2[k]! * deepTimes - begins[k]! * on.needs[k]!;
    if (excess <= 0) continue;
    const deepMm = depthWithExcess(costs(k), excess);
    // Told for a board as thick as was said: through one that is drawn thinner is as deep as that goes.
    depthsMm[k] = deepMm >= mostMm * thickness[k]! ? mostMm : Math.min(mostMm, deepMm);
  }
  const [depthLowMm, depthHighMm] = rangeOf(depthsMm);
  const depthMm = Math.min(mostMm, wood.depthMm(deepTimes * doseJPerMm2, dwellS, headZMm, needTimes));
  return { depthMm, depthLowMm, depthHighMm };
}

/** What all but {@link BEYOND} on either side lie between; the values come out in another order. */
function rangeOf(values: Float64Array): readonly [low: number, high: number] {
  const left = Math.floor(BEYOND * values.length);
  return [nthRising(values, left), nthRising(values, values.length - 1 - left)];
}

const RANGE_STEPS = 32;

/** From far below the first mark to far beyond full char: the plain doses whose ranges are told, J/mm². */
export function plainSpan({
  first_mark_j_mm2: first,
  full_char_j_mm2: full,
}: Material): readonly [from: number, to: number] {
  return [first.value / 5, full.value * 5];
}

/**
 * How wide the ranges of all tones on a line are, for nine such boards of ten, where the beam stays about so long and fires
 * so.
 * @returns one for each plain dose, which rise by even ratios over {@link plainSpan}.
 */
export function toneRangesOf(
  boards: SuchBoards,
  wavelengthNm: number,
  dwellS: number,
  fired: Fired,
): Float64Array {
  const { power, width, wood, usual: material } = boards;
  const usual = fired.needTimes * needAt(needOf(material, wavelengthNm), dwellS);
  const ratios = power.map((watts, k) => {
    const need = wood.byDepth[k]! + wood.bySqrtS[k]! * Math.sqrt(dwellS * width[k]!);
    return ((watts / width[k]!) * usual) / need;
  });
  const [from, to] = plainSpan(material);
  const span = Math.log(to / from);
  return Float64Array.from({ length: RANGE_STEPS + 1 }, (_, step) => {
    const plain = from * Math.exp((span * step) / RANGE_STEPS);
    const saved = savedOnBoards(boards, { ...fired, doseJPerMm2: plain * usual });
    const [low, high] = rangeOf(
      ratios.map((ratio, k) => {
        const dose = (plain * ratio) / timesWith(fired, saved[k]!, wood.firingCost[k]!);
        return toneBetween(dose, wood.firstMark[k]!, wood.fullChar[k]!);
      }),
    );
    return high - low;
  });
}
