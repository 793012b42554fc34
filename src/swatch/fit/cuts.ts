import type { BeamOnWood } from '../../burn/beam-on-wood.ts';
import { depthLaw, excessForDepth, removalBeginsJPerMm2, removalJPerMm3 } from '../../burn/depth.ts';
import { firedNeed } from '../../burn/firing.ts';
import type { Material } from '../../burn/material.ts';
import { LEAST_DOSE_PART } from '../../burn/uncertainty.ts';
import { InputError } from '../../errors.ts';
import { greatestOf, leastOf } from '../../lists.ts';
import type { CutDose } from '../replay.ts';

/**
 * From which cut lines went through to what removal costs. The weakest line that went through and the
 * strongest that did not bracket the dose that the board's thickness takes; the removal energy is the one for
 * which the profile's own depth law asks for that dose.
 */
export interface RemovalFit {
  /** The dose on the line's centre that just goes through, and the bracket it lies in, J/mm². */
  readonly doseJPerMm2: number;
  readonly betweenJPerMm2: readonly [number, number];
  readonly removalJPerMm3: number;
  readonly sigmaJPerMm3: number;
  /** By what part of itself it is more where each number it was fitted with is one standard deviation more. */
  readonly leans: Readonly<
    Record<'wall_loss' | 'moisture_percent' | 'first_mark_j_mm2' | 'full_char_j_mm2', number>
  >;
  /** One standard deviation of what is its own, as a part of it: the bracket, and that no wood is known better. */
  readonly ownPart: number;
  /** A weaker line went through while a stronger one did not: the bracket was widened to hold both. */
  readonly mixed: boolean;
}

/** What the cuts say when they do not bracket it. */
export interface RemovalBound {
  readonly atLeastJPerMm3: number | null;
  readonly atMostJPerMm3: number | null;
}

export const isFit = (removal: RemovalFit | RemovalBound | null): removal is RemovalFit =>
  removal !== null && 'removalJPerMm3' in removal;

/**
 * @param through numbers of the cut lines that went through.
 * @throws {InputError} for a number that is none of the swatch's.
 */
export function fitRemoval(
  cuts: readonly CutDose[],
  through: readonly number[],
  thicknessMm: number,
  material: Material,
  beam: BeamOnWood,
  /** Standard uncertainties of the numbers of the profile that the answer rests on. */
  sigma: { readonly fullChar: number; readonly firstMark: number },
): RemovalFit | RemovalBound {
  const unknown = through.find((n) => !cuts.some(({ cut }) => cut.n === n));
  if (unknown !== undefined) {
    throw new InputError(
      `found cut ${unknown}; expected numbers from 1 to ${cuts.length}, as engraved over the cuts`,
    );
  }
  const isThrough = ({ cut }: CutDose) => through.includes(cut.n);
  const dwellS = cuts.reduce((sum, cut) => sum + cut.dwellS, 0) / cuts.length;
  const passes = greatestOf(cuts.map(({ cut }) => cut.passes));
  const times = firedNeed(passes, 0, material);
  const removal = (dose: number, wood: Material = material) =>
    removalFor(dose, { dwellS, times }, thicknessMm, wood, beam);
  const whole = cuts.filter(isThrough).map((cut) => cut.peakJPerMm2);
  const held = cuts.filter((cut) => !isThrough(cut)).map((cut) => cut.peakJPerMm2);
  const least = leastOf(whole);
  const most = greatestOf(held);
  if (whole.length === 0) return { atLeastJPerMm3: removal(most), atMostJPerMm3: null };
  if (held.length === 0) return { atLeastJPerMm3: null, atMostJPerMm3: removal(least) };

  const mixed = most >= least;
  const steps = cuts.map((cut) => cut.peakJPerMm2).sort((a, b) => a - b);
  const step = steps.length > 1 ? (steps.at(-1)! / steps[0]!) ** (1 / (steps.length - 1)) : 1.2;
  const between: [number, number] = mixed ? [least / step, most * step] : [most, least];
  const dose = Math.sqrt(between[0] * between[1]);
  const value = removal(dose);
  // Anywhere in the bracket is as likely: a uniform spread has 1/√12 of its width as standard deviation.
  const bracket = Math.abs(removal(between[1]) - removal(between[0])) / Math.sqrt(12);
  // The answer bends with what it rests on: the larger of the two ways counts.
  const moved = (name: ScalarNumber, by: number) => {
    const { value: at } = material[name];
    const [more, less] = [at + by, Math.max(0, at - by)].map((other) =>
      removal(dose, withValue(material, name, other)),
    ) as [number, number];
    return {
      most: Math.max(Math.abs(more - value), Math.abs(less - value)),
      lean: (more - less) / (2 * value),
    };
  };
  const wall = moved('wall_loss', material.wall_loss.plus_minus ?? 0.3);
  const moisture = moved('moisture_percent', material.moisture_percent.plus_minus ?? 3);
  const mark = moved('first_mark_j_mm2', sigma.firstMark);
  const char = moved('full_char_j_mm2', sigma.fullChar);
  const parts = [bracket, wall.most, moisture.most, mark.most, char.most, LEAST_DOSE_PART * value];
  return {
    doseJPerMm2: dose,
    betweenJPerMm2: between,
    removalJPerMm3: value,
    sigmaJPerMm3: Math.sqrt(parts.reduce((sum, part) => sum + part * part, 0)),
    leans: {
      wall_loss: wall.lean,
      moisture_percent: moisture.lean,
      first_mark_j_mm2: mark.lean,
      full_char_j_mm2: char.lean,
    },
    ownPart: Math.hypot(bracket / value, LEAST_DOSE_PART),
    mixed,
  };
}

const LEAST_REMOVAL = 0.01;
const MOST_REMOVAL = 100;

/**
 * The removal energy for which `thicknessMm` takes exactly this dose, J/mm³. The dose beyond the threshold is
 * the removal energy times what the beam's shape and the walls make of the depth; only drying, which comes on
 * top of the profile's number, keeps this from being one division.
 */
function removalFor(
  dose: number,
  { dwellS, times }: { readonly dwellS: number; readonly times: number },
  thicknessMm: number,
  material: Material,
  beam: BeamOnWood,
): number {
  const excess = dose - times * removalBeginsJPerMm2(material, beam.wavelengthNm, dwellS);
  const wanted = (excess * removalJPerMm3(material)) / excessForDepth(depthLaw(material, beam), thicknessMm);
  let low = LEAST_REMOVAL;
  let high = MOST_REMOVAL;
  for (let k = 0; k < 50; k++) {
    const middle = Math.sqrt(low * high);
    if (removalJPerMm3(withValue(material, 'removal_j_mm3', middle)) < wanted) low = middle;
    else high = middle;
  }
  return Math.sqrt(low * high);
}

type ScalarNumber =
  | 'removal_j_mm3'
  | 'wall_loss'
  | 'moisture_percent'
  | 'first_mark_j_mm2'
  | 'full_char_j_mm2';

const withValue = (material: Material, name: ScalarNumber, value: number): Material => ({
  ...material,
  [name]: { ...material[name], value },
});
