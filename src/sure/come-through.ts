import { bisectRight } from 'd3-array';
import type { Stock } from '../board.ts';
import { excessToDepth } from '../burn/depth.ts';
import type { Material } from '../burn/material.ts';
import { needOf } from '../burn/need.ts';
import { beamOf } from '../burn/speed-power.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone } from '../burn/tone.ts';
import type { Machine } from '../machine/profile.ts';
import { drawBoards, type SuchBoards } from './boards.ts';
import { DRAWS } from './draws.ts';

/** A cut is for sure where at least this part of such boards comes through: 19 of 20. */
export const SURE = 0.95;

/** The place of a cut that gets least of what it needs, and what another pass would bring it. */
export interface LeastPlace {
  /** Dose of all passes, J/mm²; dwell, s; height of the head while it burned, mm. */
  readonly doseJPerMm2: number;
  readonly dwellS: number;
  readonly headZMm: number;
  readonly passes: number;
  /** What one pass adds to the dose, J/mm². */
  readonly perPassJPerMm2: number;
  /** How many times the need of one cool firing all of them have (`burn/firing.ts`). */
  readonly needTimes: number;
  /** Whether firings count: each further pass then asks for more. */
  readonly firingsCount: boolean;
}

/** How sure it is that a cut comes through. */
export interface ComesThrough {
  /** The part of such boards that it comes through, 0 … 1. */
  readonly chanceThrough: number;
  /** The fewest passes with which it is for sure; null: no number of passes does. */
  readonly passesForSure: number | null;
}

/** Answers for one machine, wood and board; the draws are made when first asked for. */
export type Sureness = (place: LeastPlace) => ComesThrough;

/** No chance at all, whatever is drawn: nothing burns there. */
export const NEVER: ComesThrough = { chanceThrough: 0, passesForSure: null };

/**
 * How sure cuts are. On a drawn board a place needs the threshold of that wood, for the drawn spot's dwell, and the
 * dose that takes away the drawn thickness under the drawn spot; it gets the drawn power over the drawn width times
 * what was forecast. All places of a cut rise and fall together, so the one that gets least decides.
 * @param sure the part of boards that is enough; {@link SURE} by default.
 */
export function startSureness(
  material: Material,
  machine: Machine,
  stock: Stock,
  sure: number = SURE,
): Sureness {
  let boards: SuchBoards | null = null;
  const needs = new Map<number, Needs>();
  return (place) => {
    boards ??= drawBoards(material, machine, stock);
    const z = machine.spot.rayleigh_mm === null ? 0 : place.headZMm;
    let drawn = needs.get(z);
    if (!drawn) {
      drawn = needsOf(boards, machine, stock.thicknessMm!, z);
      if (needs.size >= MOST_HEIGHTS) needs.clear();
      needs.set(z, drawn);
    }
    const passes = passesNeeded(place, boards, drawn, material.firing_cost.value).sort();
    return { chanceThrough: shareUpTo(passes, place.passes), passesForSure: fewestFor(passes, sure) };
  };
}

/** Heights whose needs are kept. */
const MOST_HEIGHTS = 64;

/** What the drawn boards need, but for dwell and firings: by draw. */
interface Needs {
  /** Dose at which removal begins with one cool firing: so much, and so much times the root of the dwell in s, J/mm². */
  readonly begins: Float64Array;
  readonly beginsBySqrtS: Float64Array;
  /** What takes away the thickness beyond that, J/mm². */
  readonly excess: Float64Array;
  readonly firingCost: Float64Array;
}

function needsOf(boards: SuchBoards, machine: Machine, thicknessMm: number, headZMm: number): Needs {
  const beam = beamOf(machine, headZMm);
  const [x, y] = machine.spot.width_mm;
  const begins = new Float64Array(DRAWS);
  const beginsBySqrtS = new Float64Array(DRAWS);
  const excess = new Float64Array(DRAWS);
  const firingCost = new Float64Array(DRAWS);
  for (let k = 0; k < DRAWS; k++) {
    const material = boards.material(k);
    const width = boards.width[k]!;
    const drawn = { ...beam, spot: { ...beam.spot, width_mm: [x * width, y * width] as const } };
    const plain = plainDoseForTone(CHAR_BEGINS_TONE, material);
    const { byDepth, bySqrtS } = needOf(material, beam.wavelengthNm);
    begins[k] = plain * byDepth;
    beginsBySqrtS[k] = plain * bySqrtS;
    excess[k] = excessToDepth(material, drawn, thicknessMm * boards.thickness[k]!);
    firingCost[k] = material.firing_cost.value;
  }
  return { begins, beginsBySqrtS, excess, firingCost };
}

/**
 * How many passes each drawn board takes, not rounded; ∞ where none does. With n passes a place gets n times what a pass
 * adds and what others burned there; it needs what begins removal, 1 − s + (n − 1)·m times over, and the thickness beyond.
 */
function passesNeeded(
  place: LeastPlace,
  { power, width }: SuchBoards,
  needs: Needs,
  usualFiringCost: number,
): Float64Array {
  const { doseJPerMm2, dwellS, passes, perPassJPerMm2, firingsCount } = place;
  const othersJPerMm2 = doseJPerMm2 - passes * perPassJPerMm2;
  const saved = firingsCount ? savedByWarmth(place, usualFiringCost) : 0;
  return power.map((watts, k) => {
    const once = needs.begins[k]! + needs.beginsBySqrtS[k]! * Math.sqrt(dwellS * width[k]!);
    const more = firingsCount ? Math.max(0, needs.firingCost[k]! - saved) : 0;
    const lean = watts / width[k]!;
    const gainJPerMm2 = lean * perPassJPerMm2 - once * more;
    const wantedJPerMm2 = once * (1 - saved - more) + needs.excess[k]! - lean * othersJPerMm2;
    if (wantedJPerMm2 <= 0) return 0;
    return gainJPerMm2 > 0 ? wantedJPerMm2 / gainJPerMm2 : Infinity;
  });
}

/**
 * The share of one firing's need that warmth saves, s, read back from the need of all firings together: the inverse of
 * `firedNeed` in `burn/firing.ts`.
 */
function savedByWarmth({ passes, needTimes }: LeastPlace, firingCost: number): number {
  const saved = (1 + (passes - 1) * firingCost - needTimes) / passes;
  return saved < firingCost ? saved : 1 - needTimes;
}

/** The part of a rising list that is at most `most`. */
const shareUpTo = (rising: Float64Array, most: number): number => bisectRight(rising, most) / rising.length;

function fewestFor(rising: Float64Array, sure: number): number | null {
  const passes = rising[Math.max(0, Math.ceil(sure * rising.length) - 1)]!;
  return passes < Infinity ? Math.max(1, Math.ceil(passes)) : null;
}
