import { bisectRight } from 'd3-array';
import { beamSpread } from '../laser/spot.ts';
import { lately } from '../lately.ts';
import { type BeamOnWood, rayleighMm, surfaceOffMm, surfaceWidthMm, widening } from './beam-on-wood.ts';
import { firedNeed } from './firing.ts';
import type { Material } from './material.ts';
import { needAt, needOf } from './need.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone } from './tone.ts';

/**
 * Dose to depth. Once the surface has begun to char, every further bit of dose takes away its share of wood;
 * the deeper the kerf, the less of the light arrives: it has spread, and walls, smoke and plume take some.
 * All passes add up as if they were one; the reasons stand in MODEL.md.
 */

/** No forecast goes deeper: the beam leaves no focused spot there. */
export const MAX_DEPTH_MM = 50;
const STEPS = 4000;

/** Moisture the profile's removal energy is told for, %. */
const REMOVAL_MOISTURE_PERCENT = 12;
/** To warm water from room temperature to the boil and boil it off, J/kg (steam tables; value from memory). */
const DRYING_J_PER_KG = 2.6e6;
/** Kerfs as deep as this many spot widths have half their wall loss. */
const HALF_WALL_LOSS_ASPECT = 5;

/**
 * How deep a dose beyond the removal threshold reaches: `excessJPerMm2[k]` is what depth k·stepMm takes, by
 * Simpson's rule. Rising from 0; owned by {@link depthLaw}.
 */
export interface DepthLaw {
  readonly stepMm: number;
  readonly excessJPerMm2: Float64Array;
}

/**
 * Dose per depth on an open floor, J/mm³, at the profile's own moisture: water must be boiled off first, so
 * wet wood takes more.
 */
export function removalJPerMm3(material: Material): number {
  const moisture = material.moisture_percent.value;
  const dryKgPerMm3 = (material.density_kg_m3.value / (1 + moisture / 100)) * 1e-9;
  const drying = (dryKgPerMm3 * DRYING_J_PER_KG * (moisture - REMOVAL_MOISTURE_PERCENT)) / 100;
  return Math.max(0.1 * material.removal_j_mm3.value, material.removal_j_mm3.value + drying);
}

/** What a wood asks for depth: dose per depth on an open floor, J/mm³, and how much more deep kerfs cost. */
export interface CostOfWood {
  readonly removalJPerMm3: number;
  readonly wallLoss: number;
}

export const costOfWood = (material: Material): CostOfWood => ({
  removalJPerMm3: removalJPerMm3(material),
  wallLoss: material.wall_loss.value,
});

/** What decides the cost of depth under one beam; all plain numbers, since it is asked very often. */
export interface CostOfDepth extends CostOfWood {
  /** The depth at which a kerf has half its wall loss, and what the beam widens by, mm. */
  readonly halfAtMm: number;
  readonly offMm: number;
  readonly rayleighMm: number;
}

export function costOfDepth(
  { removalJPerMm3: removal, wallLoss }: CostOfWood,
  beam: BeamOnWood,
): CostOfDepth {
  return {
    removalJPerMm3: removal / widening(beam, 0),
    wallLoss,
    halfAtMm: HALF_WALL_LOSS_ASPECT * surfaceWidthMm(beam),
    offMm: surfaceOffMm(beam),
    rayleighMm: rayleighMm(beam),
  };
}

/** What a further bit of depth costs at a depth, J/mm³. */
function slopeAt(
  { removalJPerMm3: removal, wallLoss, halfAtMm, offMm, rayleighMm: zR }: CostOfDepth,
  depthMm: number,
) {
  const aspect = depthMm / halfAtMm;
  const walls = 1 + (wallLoss * aspect * aspect) / (1 + aspect * aspect);
  return removal * walls * beamSpread(offMm + depthMm, zR);
}

/** The law for one material under one beam, sampled to {@link MAX_DEPTH_MM}. */
export function depthLaw(material: Material, beam: BeamOnWood): DepthLaw {
  const cost = costOfDepth(costOfWood(material), beam);
  const { removalJPerMm3: removal, wallLoss, halfAtMm, offMm, rayleighMm: zR } = cost;
  return lawLately([removal, wallLoss, halfAtMm, offMm, zR], () => lawOf(cost));
}

/** Room for all heights of a job that is burned at many (`burn-dose.ts`), and as many again. */
const lawLately = lately<DepthLaw>(128);

function lawOf(cost: CostOfDepth): DepthLaw {
  const slope = (depthMm: number) => slopeAt(cost, depthMm);
  const stepMm = MAX_DEPTH_MM / STEPS;
  const excessJPerMm2 = new Float64Array(STEPS + 1);
  let above = slope(0);
  for (let k = 0; k < STEPS; k++) {
    const below = slope((k + 1) * stepMm);
    const step = above + 4 * slope((k + 0.5) * stepMm) + below;
    excessJPerMm2[k + 1] = excessJPerMm2[k]! + (step * stepMm) / 6;
    above = below;
  }
  return { stepMm, excessJPerMm2 };
}

/**
 * {@link excessForDepth} of one depth, J/mm², for a law that is asked only once: within 1e-4 of it.
 */
export function excessToDepth(cost: CostOfDepth, depthMm: number): number {
  if (depthMm <= 0) return 0;
  if (depthMm > MAX_DEPTH_MM) return Infinity;
  return costBetween(cost, 0, depthMm, slopeAt(cost, 0), slopeAt(cost, depthMm), 4);
}

/** {@link depthOfExcess} for a law that is asked only once, mm: within 1e-3 of it. */
export function depthWithExcess(cost: CostOfDepth, excessJPerMm2: number): number {
  if (!(excessJPerMm2 > 0)) return 0;
  let slope = slopeAt(cost, 0);
  let depthMm = Math.min(MAX_DEPTH_MM, excessJPerMm2 / slope);
  let slopeThere = slopeAt(cost, depthMm);
  let missing = excessJPerMm2 - costBetween(cost, 0, depthMm, slope, slopeThere, 1);
  // Newton's way: the law's slope is the cost itself, and hardly bends, so that a step leaves less than its square to go.
  for (let k = 0; k < 20; k++) {
    const fromMm = depthMm;
    slope = slopeThere;
    const next = fromMm + missing / slope;
    depthMm = Math.min(MAX_DEPTH_MM, 4 * fromMm, Math.max(fromMm / 4, next));
    if (Math.abs(depthMm - fromMm) < LAST_STEP * fromMm) break;
    slopeThere = slopeAt(cost, depthMm);
    missing -= costBetween(cost, fromMm, depthMm, slope, slopeThere, 1);
  }
  return depthMm;
}

/** A step of so small a part of the depth is the last. */
const LAST_STEP = 0.01;

/** What the depth from … to costs, J/mm², by Simpson's rule; the slopes at both are known. */
function costBetween(
  cost: CostOfDepth,
  fromMm: number,
  toMm: number,
  slopeFrom: number,
  slopeTo: number,
  fewest: number,
): number {
  const finestMm = Math.min(cost.halfAtMm, cost.rayleighMm) / 1.5;
  const steps = Math.min(STEPS, Math.max(fewest, Math.ceil(Math.abs(toMm - fromMm) / finestMm)));
  const stepMm = (toMm - fromMm) / steps;
  let sum = slopeFrom + slopeTo;
  for (let k = 0; k < steps; k++) {
    sum += 4 * slopeAt(cost, fromMm + (k + 0.5) * stepMm);
    if (k > 0) sum += 2 * slopeAt(cost, fromMm + k * stepMm);
  }
  return (sum * stepMm) / 6;
}

/** Depth, mm, of a dose beyond the threshold, J/mm²; 0…{@link MAX_DEPTH_MM}. */
export function depthOfExcess(law: DepthLaw, excessJPerMm2: number): number {
  const { stepMm, excessJPerMm2: samples } = law;
  if (!(excessJPerMm2 > 0)) return 0;
  if (excessJPerMm2 >= samples[STEPS]!) return MAX_DEPTH_MM;
  const above = bisectRight(samples, excessJPerMm2, 1, STEPS);
  const below = above - 1;
  return stepMm * (below + (excessJPerMm2 - samples[below]!) / (samples[above]! - samples[below]!));
}

/** The inverse of {@link depthOfExcess}; ∞ beyond {@link MAX_DEPTH_MM}. */
export function excessForDepth(law: DepthLaw, depthMm: number): number {
  if (depthMm <= 0) return 0;
  if (depthMm > MAX_DEPTH_MM) return Infinity;
  const at = Math.min(STEPS - 1, Math.floor(depthMm / law.stepMm));
  const from = law.excessJPerMm2[at]!;
  return from + (law.excessJPerMm2[at + 1]! - from) * (depthMm / law.stepMm - at);
}

/** The local dose at which removal begins, J/mm²: where carbonisation does. */
export const removalBeginsJPerMm2 = (material: Material, wavelengthNm: number, dwellS: number): number =>
  plainDoseForTone(CHAR_BEGINS_TONE, material) * needAt(needOf(material, wavelengthNm), dwellS);

/**
 * Depth removed, mm, where `passes` passes each leave the local dose `doseJPerMm2` (J/mm²) with the dwell
 * `dwellS` (s) on wood that has cooled since the one before.
 * @param law from {@link depthLaw}, to ask many times; made here when left out.
 */
export function depthOf(
  doseJPerMm2: number,
  dwellS: number,
  material: Material,
  beam: BeamOnWood,
  passes = 1,
  law: DepthLaw = depthLaw(material, beam),
): number {
  const begins = firedNeed(passes, 0, material) * removalBeginsJPerMm2(material, beam.wavelengthNm, dwellS);
  return depthOfExcess(law, passes * doseJPerMm2 - begins);
}

/** The inverse: the dose of all passes together that reaches `depthMm`, J/mm². */
export const doseForDepth = (
  depthMm: number,
  dwellS: number,
  material: Material,
  beam: BeamOnWood,
  law: DepthLaw = depthLaw(material, beam),
): number => removalBeginsJPerMm2(material, beam.wavelengthNm, dwellS) + excessForDepth(law, depthMm);
