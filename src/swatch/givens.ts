import type { BeamOnWood } from '../burn/beam-on-wood.ts';
import { firedNeed } from '../burn/firing.ts';
import { PEAK_OVER_BAND_MEAN } from '../burn/line-dose.ts';
import type { Material } from '../burn/material.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine, Spot } from '../machine/profile.ts';
import { degToRad } from '../units.ts';
import { rowFirings } from '../warmth/rows.ts';

/** What the swatch's settings are chosen from: the machine, and the wood as far as it is known. */
export interface Givens {
  readonly machine: Machine;
  readonly material: Material;
  readonly beam: BeamOnWood;
  /** The spot's width across x and across y, D4σ, mm. */
  readonly acrossXMm: number;
  readonly acrossYMm: number;
  readonly rowSpacingMm: number;
  /** How many times the dose of one firing rows so near take, each place being fired by several of them, cool. */
  readonly rowNeed: number;
}

/** No row spacing is finer: belts hold no more. */
const LEAST_ROW_SPACING_MM = 0.03;

export function givensOf(machine: Machine, material: Material): Givens {
  const [acrossXMm, acrossYMm] = widthsMm(machine.spot);
  // Half the spot's width: the dose then ripples by less than 3 % (Poisson summation), and less than 0.1 %
  // of it is left where the spot is a little wider than its profile says.
  const rowSpacingMm = Math.max(LEAST_ROW_SPACING_MM, Math.round(acrossYMm * 50) / 100);
  return {
    machine,
    material,
    beam: { spot: machine.spot, wavelengthNm: machine.laser.wavelength_nm },
    acrossXMm,
    acrossYMm,
    rowSpacingMm,
    rowNeed: firedNeed(rowFirings(machine.spot, rowSpacingMm), 0, material),
  };
}

/** The spot's D4σ widths along x and y: those of its own axes, turned. */
export function widthsMm(spot: Spot): [number, number] {
  const [u, v] = spot.width_mm;
  const turn = degToRad(spot.rotation_deg);
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  return [Math.hypot(u * cos, v * sin), Math.hypot(u * sin, v * cos)];
}

/** The S that comes nearest to `watts` of optical power, a whole number of the controller's levels. */
export function sFor(watts: number, { laser }: Machine): number {
  const lasing = Math.min(1, Math.max(0, watts / laser.optical_power_w));
  const duty = laser.threshold_fraction + (1 - laser.threshold_fraction) * lasing;
  const level =
    laser.power_levels === null ? duty : Math.round(duty * laser.power_levels) / laser.power_levels;
  return Math.round(level * laser.s_max);
}

/** The optical watts S gives at full speed. */
export const wattsOf = (s: number, { laser }: Machine): number => powerLaw(laser).watts(s, 1);

/** Line energy, J/mm, that leaves this peak dose on the centre of a line, `acrossMm` the spot's width across it. */
export const lineEnergyFor = (peakJPerMm2: number, acrossMm: number, spot: Spot): number =>
  (peakJPerMm2 * acrossMm) / PEAK_OVER_BAND_MEAN[spot.shape];

/** Reserve on the run-up that acceleration alone would take, and a little to settle, mm. */
const RUN_UP_RESERVE = 1.15;
const SETTLING_MM = 0.4;

/** The beam-off run an axis needs to be at speed before the beam comes on, mm. */
export const runUpMm = (speedMmPerS: number, accelMmPerS2: number): number =>
  (RUN_UP_RESERVE * speedMmPerS * speedMmPerS) / (2 * accelMmPerS2) + SETTLING_MM;

/** The fastest speed whose run-up fits into `roomMm`; 0 where not even a slow one does. */
export const fastestWithin = (roomMm: number, accelMmPerS2: number): number =>
  Math.sqrt((Math.max(0, roomMm - SETTLING_MM) * 2 * accelMmPerS2) / RUN_UP_RESERVE);

/** `count` numbers from `from` to `to`, each the same multiple of the one before. */
export const ratioSteps = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count }, (_, k) => from * (to / from) ** (count === 1 ? 0 : k / (count - 1)));
