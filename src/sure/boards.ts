import type { BeamOnWood } from '../burn/beam-on-wood.ts';
import { type CostOfDepth, costOfDepth, removalJPerMm3 } from '../burn/depth.ts';
import type { Material, Quantity } from '../burn/material.ts';
import { type Need, startNeed } from '../burn/need.ts';
import { beamOf } from '../burn/speed-power.ts';
import { CHAR_BEGINS_TONE, startPlainDose } from '../burn/tone.ts';
import { heldBelowChar, statedRelative } from '../burn/uncertainty.ts';
import { lately } from '../lately.ts';
import type { Machine } from '../machine/profile.ts';
import { DRAWS, lognormalDraws } from './draws.ts';
import type { Thickness } from './place.ts';
import { rowNames, startTogether, type Together } from './together.ts';
import { type FiredPlace, savedPerHeatOf, startSaved } from './warmed.ts';

/** A board's thickness is known to this part of itself where nobody measured it (common practice, no source). */
export const THICKNESS_PART = 0.03;

/** The relative standard uncertainty of a board's thickness. */
export const thicknessPart = ({ thicknessMm, thicknessPlusMinusMm }: Thickness): number =>
  thicknessMm === null
    ? THICKNESS_PART
    : (thicknessPlusMinusMm ?? THICKNESS_PART * thicknessMm) / thicknessMm;

/** What the profiles and the board could as well be, drawn together, as often as `draws.ts` says. */
export interface SuchBoards {
  /** The wood's profile as it stands. */
  readonly usual: Material;
  /** The wood of a draw; good until the next is asked for, which is written into the same object. */
  material(draw: number): Material;
  readonly wood: WoodDraws;
  /** Multiples of what the profile or the person says. */
  readonly power: Float64Array;
  readonly width: Float64Array;
  readonly thickness: Float64Array;
  /** What depth costs on the board of a draw, with the head at a height; good until the next is asked for. */
  costsAt(headZMm: number): (draw: number) => CostOfDepth;
}

/** What drawn woods answer with, by draw; doses in J/mm². */
export interface WoodDraws {
  readonly firstMark: Float64Array;
  readonly fullChar: Float64Array;
  /** Need under this beam: so much, and so much times the root of the dwell in s (`burn/need.ts`). */
  readonly byDepth: Float64Array;
  readonly bySqrtS: Float64Array;
  /** Plain dose at which removal begins; then dose per depth, J/mm³, and wall loss. */
  readonly begins: Float64Array;
  readonly removalJPerMm3: Float64Array;
  readonly wallLoss: Float64Array;
  readonly firingCost: Float64Array;
  /** What it makes of heat (`warmed.ts`). */
  readonly heatShare: Float64Array;
  readonly heatMostJPerMm2: Float64Array;
  readonly savedPerHeat: Float64Array;
}

/** The numbers of a wood that decide whether a cut comes through. */
export const WOOD = [
  'removal_j_mm3',
  'full_char_j_mm2',
  'first_mark_j_mm2',
  'wall_loss',
  'moisture_percent',
  'density_kg_m3',
  'char_rise_k',
  'firing_cost',
] as const;

/** The numbers that decide what warmth saves. No burn that is told of tells them apart: `learned` has none of them. */
export const HEAT = ['heat_kept', 'heat_kept_most_j_mm2', 'warmth_scale_k'] as const;

/** Absorptance and depth of at most this many rows are drawn, those nearest the beam's and the marks' wavelengths. */
const MOST_ROWS = 4;

/**
 * Draws what a forecast's profiles leave open. Each number is lognormal about its value with its `plus_minus`, on its own:
 * no source says how they hang together, unless burns that were told of did (`together.ts`). A number without `plus_minus`,
 * or of 0, is taken as it stands.
 */
export function drawBoards(material: Material, machine: Machine, board: Thickness): SuchBoards {
  const { optical_power_percent, spot_width_percent } = machine.plus_minus;
  const { wavelength_nm: wavelengthNm } = machine.laser;
  const together = startTogether(material, machine);
  const drawn = drawMaterials(material, wavelengthNm, 3, together);
  const wood = woodDraws(drawn, startNeed(material, wavelengthNm));
  const width = together?.factors('spot_width') ?? lognormalDraws(1, spot_width_percent / 100);
  const costsLately = lately<(draw: number) => CostOfDepth>(MOST_HEIGHTS);
  return {
    usual: material,
    power: together?.factors('optical_power') ?? lognormalDraws(0, optical_power_percent / 100),
    width,
    thickness: lognormalDraws(2, thicknessPart(board)),
    material: drawn,
    wood,
    costsAt: (headZMm) => costsLately([headZMm], () => startCosts(wood, startSpots(machine, headZMm, width))),
  };
}

/** Heights of the head whose answers are kept. */
export const MOST_HEIGHTS = 64;

function woodDraws(material: (draw: number) => Material, needOf: (material: Material) => Need): WoodDraws {
  const room = () => new Float64Array(DRAWS);
  const draws: WoodDraws = {
    firstMark: room(),
    fullChar: room(),
    byDepth: room(),
    bySqrtS: room(),
    begins: room(),
    removalJPerMm3: room(),
    wallLoss: room(),
    firingCost: room(),
    heatShare: room(),
    heatMostJPerMm2: room(),
    savedPerHeat: room(),
  };
  const charBegins = startPlainDose(CHAR_BEGINS_TONE);
  for (let k = 0; k < DRAWS; k++) {
    const wood = material(k);
    const need = needOf(wood);
    draws.firstMark[k] = wood.first_mark_j_mm2.value;
    draws.fullChar[k] = wood.full_char_j_mm2.value;
    draws.byDepth[k] = need.byDepth;
    draws.bySqrtS[k] = need.bySqrtS;
    draws.begins[k] = charBegins(wood);
    draws.removalJPerMm3[k] = removalJPerMm3(wood);
    draws.wallLoss[k] = wood.wall_loss.value;
    draws.firingCost[k] = wood.firing_cost.value;
    draws.heatShare[k] = wood.heat_kept.value;
    draws.heatMostJPerMm2[k] = wood.heat_kept_most_j_mm2.value;
    draws.savedPerHeat[k] = savedPerHeatOf(wood);
  }
  return draws;
}

/** @param first index of the first of its numbers among all that vary. */
function drawMaterials(
  material: Material,
  wavelengthNm: number,
  first: number,
  together: Together | null,
): (draw: number) => Material {
  const drawn = structuredClone(material);
  const varied: Varied[] = [];
  const vary = (name: string, to: Quantity, most = Infinity) => {
    const index = first + varied.length;
    const factors = together?.factors(name) ?? lognormalDraws(index, statedRelative(to));
    varied.push({ to, value: to.value, most, factors });
  };
  for (const name of WOOD) vary(name, drawn[name]);
  for (const row of rowsThatBear(drawn, wavelengthNm)) {
    const [absorptance, depth] = rowNames(drawn.absorption[row]!.wavelength_nm);
    vary(absorptance, drawn.absorption[row]!.absorptance, 1);
    vary(depth, drawn.absorption[row]!.depth_mm);
  }
  for (const name of HEAT) vary(name, drawn[name], name === 'heat_kept' ? 1 : Infinity);
  return (draw) => {
    for (let k = 0; k < varied.length; k++) {
      const { to, value, most, factors } = varied[k]!;
      to.value = Math.min(most, value * factors[draw]!);
    }
    const { first_mark_j_mm2: mark, full_char_j_mm2: char } = drawn;
    mark.value = heldBelowChar(mark.value, char.value);
    return drawn;
  };
}

/** A number to be drawn: where it is written, what it was, the most it may become, and its multiples by draw. */
interface Varied {
  readonly to: Quantity;
  readonly value: number;
  readonly most: number;
  readonly factors: Float64Array;
}

/** The rows on either side of the beam's wavelength and of the one the profile's doses are told for. */
export function rowsThatBear({ absorption, marked_with_nm }: Material, wavelengthNm: number): number[] {
  const rows = new Set<number>();
  for (const nm of [wavelengthNm, marked_with_nm]) {
    const after = absorption.findIndex((row) => row.wavelength_nm >= nm);
    const above = after < 0 ? absorption.length - 1 : after;
    rows.add(above);
    if (above > 0 && absorption[above]!.wavelength_nm !== nm) rows.add(above - 1);
  }
  return [...rows].slice(0, MOST_ROWS);
}

/** What warmth saves at a place, as a share of what one cool firing needs, by draw. */
export function savedOnBoards({ power, width, wood, usual }: SuchBoards, place: FiredPlace): Float64Array {
  const savedOn = startSaved(place, usual);
  const heat = { share: 0.5, mostJPerMm2: 0.5, savedPerHeat: 0.5 };
  const beam = { power: 0.5, width: 0.5 };
  const all = new Float64Array(DRAWS);
  for (let k = 0; k < DRAWS; k++) {
    heat.share = wood.heatShare[k]!;
    heat.mostJPerMm2 = wood.heatMostJPerMm2[k]!;
    heat.savedPerHeat = wood.savedPerHeat[k]!;
    beam.power = power[k]!;
    beam.width = width[k]!;
    all[k] = savedOn(heat, beam);
  }
  return all;
}

/** What depth costs on each drawn board under its beam, worked out once, and handed out in one object. */
function startCosts(wood: WoodDraws, spots: (draw: number) => BeamOnWood): (draw: number) => CostOfDepth {
  const removal = new Float64Array(DRAWS);
  const halfAtMm = new Float64Array(DRAWS);
  const offMm = new Float64Array(DRAWS);
  const rayleighMm = new Float64Array(DRAWS);
  for (let k = 0; k < DRAWS; k++) {
    const cost = costOfDepth(
      { removalJPerMm3: wood.removalJPerMm3[k]!, wallLoss: wood.wallLoss[k]! },
      spots(k),
    );
    removal[k] = cost.removalJPerMm3;
    halfAtMm[k] = cost.halfAtMm;
    offMm[k] = cost.offMm;
    rayleighMm[k] = cost.rayleighMm;
  }
  const now = { removalJPerMm3: 0.5, wallLoss: 0.5, halfAtMm: 0.5, offMm: 0.5, rayleighMm: 0.5 };
  return (draw) => {
    now.removalJPerMm3 = removal[draw]!;
    now.wallLoss = wood.wallLoss[draw]!;
    now.halfAtMm = halfAtMm[draw]!;
    now.offMm = offMm[draw]!;
    now.rayleighMm = rayleighMm[draw]!;
    return now;
  };
}

/** The beam of each draw at a height of the head; good until the next is asked for, which is written into the same object. */
function startSpots(machine: Machine, headZMm: number, width: Float64Array): (draw: number) => BeamOnWood {
  const beam = beamOf(machine, headZMm);
  const [x, y] = beam.spot.width_mm;
  const widths: [number, number] = [x, y];
  const drawn = { ...beam, spot: { ...beam.spot, width_mm: widths } };
  return (draw) => {
    widths[0] = x * width[draw]!;
    widths[1] = y * width[draw]!;
    return drawn;
  };
}
