import { type Fired, needOfFirings, savedByWarmth } from '../burn/firing.ts';
import type { Material } from '../burn/material.ts';
import { volumetricHeatJPerM3K } from '../burn/wood-physics.ts';
import { type Keeping, keptShareOfStroke } from '../warmth/kept.ts';

/**
 * What other woods and machines would make of the warmth of a place, without another walk of the beam: its heat came from
 * strokes like its own, so it is as much more or less as such a stroke leaves. How fast heat spreads is taken as it stands.
 */

/** A place that was fired, as far as its warmth goes. */
export interface FiredPlace extends Fired {
  /** Dose of all firings, J/mm². */
  readonly doseJPerMm2: number;
  /** Whether rows fill an area there, whose mean dose is told; else that of a line's middle. */
  readonly isFilled?: boolean;
}

/** What a wood makes of heat: how much stays, and what part of its need a J/mm³ of it saves. */
export interface WoodHeat extends Keeping {
  readonly savedPerHeat: number;
}

export const woodHeat = (material: Material): WoodHeat => ({
  share: material.heat_kept.value,
  mostJPerMm2: material.heat_kept_most_j_mm2.value,
  savedPerHeat: savedPerHeatOf(material),
});

export const savedPerHeatOf = (material: Material): number =>
  1 /
  (material.warmth_scale_k.value *
    volumetricHeatJPerM3K(material.density_kg_m3.value, material.moisture_percent.value));

/** What stands as a multiple of what the profiles say: power, and the spot's width. */
export interface Beamed {
  readonly power: number;
  readonly width: number;
}

/** Rows so near that they fill leave in the middle of their way √2 times the mean dose, for each firing that counts. */
const CREST = Math.SQRT2;

/**
 * What warmth saves at a place, as a share of what one cool firing needs there, on other woods and machines.
 * @param usual the wood that the place's need is told for.
 */
export function startSaved(place: FiredPlace, usual: Material): (heat: WoodHeat, beam: Beamed) => number {
  const { needTimes, firings, doseJPerMm2, isFilled = false } = place;
  const saved = savedByWarmth(needTimes, firings ?? 1, usual.firing_cost.value);
  // Nothing was warm, or nothing of it is told.
  if (firings === null || saved === 0) return () => saved;
  const heat = woodHeat(usual);
  /** The dose that one firing leaves in the middle of its way, and what of it saves: the share kept, times what a heat saves. */
  const peakJPerMm2 = ((isFilled ? CREST : 1) * doseJPerMm2) / Math.max(1, firings);
  const perSaved = keptShareOfStroke(heat, peakJPerMm2) * heat.savedPerHeat;
  if (perSaved === 0) return () => saved;
  return (other, { power, width }) =>
    (saved * power * keptShareOfStroke(other, (peakJPerMm2 * power) / width) * other.savedPerHeat) / perSaved;
}

/** How many times the need of one cool firing a place has where warmth saves so much and each further firing costs so much. */
export const timesWith = ({ firings, needTimes }: Fired, saved: number, cost: number): number =>
  firings === null ? needTimes : needOfFirings(firings, saved, cost);
