import { excessToDepth } from '../burn/depth.ts';
import type { Fired } from '../burn/firing.ts';
import type { Material } from '../burn/material.ts';
import { beamOf } from '../burn/speed-power.ts';
import { type WoodAnswer, woodAnswer } from '../burn/wood-answer.ts';
import { InputError } from '../errors.ts';
import { lately } from '../lately.ts';
import { nthRising } from '../lists.ts';
import type { Machine } from '../machine/profile.ts';
import { drawBoards, MOST_HEIGHTS, type SuchBoards, savedOnBoards } from './boards.ts';
import { cutUnsure, toneUnsure, type Unsure } from './contributions.ts';
import { DRAWS } from './draws.ts';
import {
  type DepthSpan,
  depthSpanOf,
  type Engraved,
  type EngravedPlace,
  onSuchBoards,
  type ToneSpan,
  toneRangesOf,
  toneSpanOf,
} from './engraved.ts';
import type { LeastPlace, Thickness } from './place.ts';

/** A cut is for sure where at least this part of such boards comes through: 19 of 20. */
export const SURE = 0.95;
/** Less than every other board is not sure of anything, and the fixed set of boards cannot tell more than 99 of 100. */
export const LEAST_SURE = 0.5;
export const MOST_SURE = 0.99;

/** What {@link startSureness} takes, for errors. */
export const SURE_EXPECTED = `a part of boards from ${LEAST_SURE} to ${MOST_SURE}, as in ${SURE}`;

export const isSure = (part: number): boolean => part >= LEAST_SURE && part <= MOST_SURE;

/** How sure it is that a cut comes through. */
export interface ComesThrough {
  /** The part of such boards that it comes through, 0 … 1. */
  readonly chanceThrough: number;
  /** The fewest passes with which it is for sure; null: more than {@link mostPasses}. */
  readonly passesForSure: number | null;
}

/** Nobody burns one line more often than this: where so many passes do not do, none are told. */
const HOPELESS_PASSES = 50;

/** The most passes that are told of; a job that has more is taken at its word. */
export const mostPasses = (passes: number): number => Math.max(HOPELESS_PASSES, passes);

/** Answers for one machine, wood and board; the draws are made when first asked for. */
export interface Sureness {
  /** The part of boards that is enough. */
  readonly sure: number;
  comesThrough(place: LeastPlace): ComesThrough;
  /**
   * The greatest speed with which so many passes are for sure, as a multiple of the present one; 0 where none is.
   * Warmth that is left from before is taken to save as much as it does now.
   */
  speedForSure(place: LeastPlace, passes: number): number;
  /** The least power with which so many passes are for sure, as a multiple of the present one; ∞ where none is. */
  powerForSure(place: LeastPlace, passes: number): number;
  /** The tone and depth that come of a place, and their ranges. */
  engraved(place: EngravedPlace): Engraved;
  /** The depth alone. */
  depthSpan(place: EngravedPlace): DepthSpan;
  /** How wide the ranges of all tones are, where the beam stays about so long and fires so: over even ratios of plain dose. */
  toneRanges(dwellS: number, fired: Fired): Float64Array;
  /** What each input does to the margin of a cut (its logarithm), and to a tone. */
  cutUnsure(place: LeastPlace): Unsure;
  toneUnsure(place: EngravedPlace): Unsure;
}

/** No chance at all, whatever is drawn: nothing burns there. */
export const NEVER: ComesThrough = { chanceThrough: 0, passesForSure: null };

/**
 * How sure cuts are. On a drawn board a place needs the threshold of that wood, for the drawn spot's dwell, and the
 * dose that takes away the drawn thickness under the drawn spot; it gets the drawn power over the drawn width times
 * what was forecast. All places of a cut rise and fall together, so the one that gets least decides.
 * @param sure the part of boards that is enough; {@link SURE} by default.
 * @throws {InputError} for a part that is none of 0.5 … 0.99.
 */
export function startSureness(
  material: Material,
  machine: Machine,
  thickness: Thickness,
  sure: number = SURE,
): Sureness {
  if (!isSure(sure)) throw new InputError(`found sure: ${sure}; expected ${SURE_EXPECTED}`);
  let made: Answers | null = null;
  const answers = (): Answers => {
    made ??= answersFor(material, machine, thickness, sure);
    return made;
  };
  const alike = startAlike();
  const toneSpan = remembered((place: EngravedPlace) => answers().toneSpan(place), alike);
  const depthSpan = remembered((place: EngravedPlace) => answers().depthSpan(place), alike);
  return {
    sure,
    comesThrough: remembered((place: LeastPlace) => answers().comesThrough(place), alike),
    speedForSure: (place, passes) => answers().speedForSure(place, passes),
    powerForSure: (place, passes) => answers().powerForSure(place, passes),
    engraved: (place) => ({ ...toneSpan(place), ...depthSpan(place) }),
    depthSpan,
    toneRanges: (dwellS, fired) => answers().toneRanges(dwellS, fired),
    cutUnsure: remembered((place: LeastPlace) => answers().cutUnsure(place), alike),
    toneUnsure: remembered((place: EngravedPlace) => answers().toneUnsure(place), alike),
  };
}

/** The same, every question as it is put. */
interface Answers extends Omit<Sureness, 'sure' | 'engraved'> {
  toneSpan(place: EngravedPlace): ToneSpan;
}

/** From forecast to forecast most places stay what they were: what one has asked the next need not work out. */
const answersLately = lately<Answers>(4);

function answersFor(material: Material, machine: Machine, thickness: Thickness, sure: number): Answers {
  return answersLately([...keyOfBoards(material, machine, thickness), sure], () =>
    startAnswers(material, machine, thickness, sure),
  );
}

function startAnswers(material: Material, machine: Machine, thickness: Thickness, sure: number): Answers {
  let made: Kept | null = null;
  const kept = (): Kept => {
    made ??= drawnFor(material, machine, thickness);
    return made;
  };
  const of = (place: LeastPlace): Drawn => {
    const { boards, needsAt } = kept();
    const needs = needsAt(machine.spot.rayleigh_mm === null ? 0 : place.headZMm);
    return { boards, needs };
  };
  const { thicknessMm } = thickness;
  // The tone of a place and its depth are asked one after the other.
  const on = ofLast((place: EngravedPlace) => onSuchBoards(place, kept().boards));
  return {
    toneSpan: remembered((place: EngravedPlace) => toneSpanOf(place, on(place), kept()), asPut),
    depthSpan: remembered(
      (place: EngravedPlace) => depthSpanOf(place, on(place), kept(), thicknessMm),
      asPut,
    ),
    comesThrough: remembered((place: LeastPlace) => {
      const passes = passesNeeded(place, of(place));
      const enough = nthRising(passes, lastOfSure(sure));
      const most = mostPasses(place.passes);
      return {
        chanceThrough: shareUpTo(passes, place.passes),
        passesForSure: enough <= most ? Math.max(1, Math.ceil(enough)) : null,
      };
    }, asPut),
    speedForSure: (place, passes) =>
      nthRising(speedsAllowed(place, passes, of(place)), DRAWS - 1 - lastOfSure(sure)),
    powerForSure: (place, passes) => nthRising(powersNeeded(place, passes, of(place)), lastOfSure(sure)),
    toneRanges: (dwellS, fired) => toneRangesOf(kept().boards, machine.laser.wavelength_nm, dwellS, fired),
    cutUnsure: remembered((place: LeastPlace) => cutUnsure(place, { material, machine, thickness }), asPut),
    toneUnsure: remembered(
      (place: EngravedPlace) => toneUnsure(place, { material, machine, thickness }),
      asPut,
    ),
  };
}

/** Answers kept; and to how many digits places must be alike to share one. */
const MOST_KEPT = 4096;
const ALIKE_DIGITS = 5;
/** After so many places they share an answer that are alike to a hundredth; dwells, which do little, to a twentieth. */
const MANY = 250;
const STEPS_PER_E = 100;
const DWELL_STEPS_PER_E = 20;

/** The key of a place that shares its answer with none but itself. */
const asPut = (place: object): string => JSON.stringify(place);

/**
 * The key of places that share an answer within one forecast, by how many it has asked of already. Of one place the tone, the
 * depth and what is unsure are asked one after the other.
 */
function startAlike(): (place: object, asked: number) => string {
  const fine = ofLast((place: object) => keyOf(place, false));
  const rough = ofLast((place: object) => keyOf(place, true));
  return (place, asked) => (asked >= MANY ? rough : fine)(place);
}

function keyOf(place: object, isRough: boolean): string {
  const words = Object.entries(place).map(([name, value]) => {
    if (typeof value !== 'number') return String(value);
    if (!isRough || !(value > 0) || Number.isInteger(value)) return value.toPrecision(ALIKE_DIGITS);
    return String(Math.round(Math.log(value) * (name === 'dwellS' ? DWELL_STEPS_PER_E : STEPS_PER_E)));
  });
  return `${isRough ? '≈' : ''}${words.join(' ')}`;
}

/** A job may have an operation on every line, few of which differ in what they give: each is asked of the boards once. */
function remembered<Place extends object, Answer>(
  ask: (place: Place) => Answer,
  keyOf: (place: Place, asked: number) => string,
): (place: Place) => Answer {
  const known = new Map<string, Answer>();
  return (place) => {
    const key = keyOf(place, known.size);
    let answer = known.get(key);
    if (answer === undefined) {
      answer = ask(place);
      if (known.size >= MOST_KEPT) known.clear();
      known.set(key, answer);
    }
    return answer;
  };
}

/** Keeps the answer to the question that was asked last. */
function ofLast<Question, Answer>(ask: (question: Question) => Answer): (question: Question) => Answer {
  let last: { readonly question: Question; readonly answer: Answer } | null = null;
  return (question) => {
    if (last?.question !== question) last = { question, answer: ask(question) };
    return last.answer;
  };
}

/** Of what boards ask for, in rising order, the one up to which there are enough. */
const lastOfSure = (sure: number): number => Math.max(0, Math.ceil(sure * DRAWS) - 1);

/** What was drawn, and what it needs at one height. */
interface Drawn {
  readonly boards: SuchBoards;
  readonly needs: Needs;
}

interface Kept {
  readonly boards: SuchBoards;
  readonly needsAt: (headZMm: number) => Needs;
  /** What the numbers themselves give. */
  readonly wood: WoodAnswer;
}

/** Draws kept, by all that wood, machine and board say: while a setting is dragged, and from job to job, they stay. */
const drawnLately = lately<Kept>(4);

/** All that the drawn boards hang on. */
const keyOfBoards = (
  material: Material,
  machine: Machine,
  { thicknessMm, thicknessPlusMinusMm: plusMinusMm = null }: Thickness,
) => [JSON.stringify([material, machine]), thicknessMm, plusMinusMm] as const;

function drawnFor(material: Material, machine: Machine, thickness: Thickness): Kept {
  const { thicknessMm } = thickness;
  return drawnLately(keyOfBoards(material, machine, thickness), () => {
    const boards = drawBoards(material, machine, thickness);
    const needsLately = lately<Needs>(MOST_HEIGHTS);
    const needsAt = (headZMm: number): Needs =>
      needsLately([headZMm], () => needsOf(boards, thicknessMm!, headZMm));
    return { boards, needsAt, wood: woodAnswer(material, beamOf(machine)) };
  });
}

/** What the drawn boards need at one height, but for dwell and firings: by draw. */
interface Needs {
  /** Dose at which removal begins with one cool firing: so much, and so much times the root of the dwell in s, J/mm². */
  readonly begins: Float64Array;
  readonly beginsBySqrtS: Float64Array;
  /** What takes away the thickness beyond that, J/mm². */
  readonly excess: Float64Array;
}

function needsOf({ wood, thickness, costsAt }: SuchBoards, thicknessMm: number, headZMm: number): Needs {
  const costs = costsAt(headZMm);
  const excess = new Float64Array(DRAWS);
  for (let k = 0; k < DRAWS; k++) excess[k] = excessToDepth(costs(k), thicknessMm * thickness[k]!);
  return {
    begins: wood.begins.map((plain, k) => plain * wood.byDepth[k]!),
    beginsBySqrtS: wood.begins.map((plain, k) => plain * wood.bySqrtS[k]!),
    excess,
  };
}

/** Of one place on one drawn board, J/mm²: what a pass leaves, what others left, and what the place needs. */
interface Asked {
  readonly perPass: number;
  readonly others: number;
  /** Where removal begins with one firing: whatever the speed, and what the root of its multiple divides. */
  readonly steady: number;
  readonly slow: number;
  /** How many times that n firings need: so much, and so much for each. */
  readonly once: number;
  readonly more: number;
  readonly excess: number;
}

/** All drawn boards, one after the other; what is asked is good until the next is, which is written into the same object. */
function eachBoard(place: LeastPlace, { boards, needs }: Drawn, ask: (asked: Asked) => number): Float64Array {
  const { doseJPerMm2, dwellS, passes, perPassJPerMm2, firings, isFilled = false } = place;
  const { power, width, wood } = boards;
  const othersJPerMm2 = doseJPerMm2 - passes * perPassJPerMm2;
  /** Firings that are no passes: what crosses there. */
  const others = firings === null ? 0 : Math.max(1, firings) - passes;
  const savedOn = savedOnBoards(boards, place);
  const asked = { perPass: 0.5, others: 0.5, steady: 0.5, slow: 0.5, once: 0.5, more: 0.5, excess: 0.5 };
  const answers = new Float64Array(DRAWS);
  for (let k = 0; k < DRAWS; k++) {
    const saved = savedOn[k]!;
    const lean = isFilled ? power[k]! : power[k]! / width[k]!;
    asked.perPass = lean * perPassJPerMm2;
    asked.others = lean * othersJPerMm2;
    asked.steady = needs.begins[k]!;
    asked.slow = needs.beginsBySqrtS[k]! * Math.sqrt(dwellS * width[k]!);
    asked.more = firings === null ? 0 : Math.max(0, wood.firingCost[k]! - saved);
    asked.once = 1 - saved + (others - 1) * asked.more;
    asked.excess = needs.excess[k]!;
    answers[k] = ask(asked);
  }
  return answers;
}

/**
 * How many passes each drawn board takes, not rounded; ∞ where none does. With n passes a place gets n times what a pass
 * adds and what others burned there; it needs what begins removal, 1 − s + (n − 1)·m times over, others' firings among them,
 * and the thickness beyond.
 */
const passesNeeded = (place: LeastPlace, drawn: Drawn): Float64Array =>
  eachBoard(place, drawn, ({ perPass, others, steady, slow, once, more, excess }) => {
    const begins = steady + slow;
    const gain = perPass - begins * more;
    const wanted = begins * once + excess - others;
    if (wanted <= 0) return 0;
    return gain > 0 ? wanted / gain : Infinity;
  });

/**
 * Up to which multiple f of its speed each drawn board is cut by n passes: with y = 1/√f the doses n·p·y² and the need
 * begins·(steady + slow·y) are equal at a root.
 */
const speedsAllowed = (place: LeastPlace, passes: number, drawn: Drawn): Float64Array =>
  eachBoard(place, drawn, ({ perPass, others, steady, slow, once, more, excess }) => {
    const times = once + passes * more;
    const square = passes * perPass;
    const linear = slow * times;
    const constant = steady * times + excess - others;
    if (constant <= 0) return Infinity;
    if (!(square > 0 && constant < Infinity)) return 0;
    const y = (linear + Math.sqrt(linear * linear + 4 * square * constant)) / (2 * square);
    return 1 / (y * y);
  });

/** With which multiple of its power each drawn board is cut by n passes, what others burned there being as it is. */
const powersNeeded = (place: LeastPlace, passes: number, drawn: Drawn): Float64Array =>
  eachBoard(place, drawn, ({ perPass, others, steady, slow, once, more, excess }) => {
    const wanted = (steady + slow) * (once + passes * more) + excess - others;
    if (wanted <= 0) return 0;
    return perPass > 0 ? wanted / (passes * perPass) : Infinity;
  });

/** The part of a list that is at most `most`. */
function shareUpTo(values: Float64Array, most: number): number {
  let count = 0;
  for (const each of values) if (each <= most) count++;
  return count / values.length;
}
