import { max } from 'd3-array';
import { powerLaw } from '../laser/power.ts';
import { widthAcrossMm } from '../laser/spot.ts';
import type { LaserSource, Machine } from '../machine/profile.ts';
import type { BeamOnWood } from './beam-on-wood.ts';
import { surfaceWidthMm } from './beam-on-wood.ts';
import { type DepthLaw, depthLaw, depthOfExcess, excessForDepth, removalBeginsJPerMm2 } from './depth.ts';
import type { Fired } from './firing.ts';
import type { Material } from './material.ts';
import { doseAcross, type EvenRows, ownShare } from './ripple.ts';
import { plainMeanForTone, seenAsArea, startSeenTimes } from './seen-area.ts';
import {
  areaDoseTimesSpeed,
  lineDoseTimesSpeed,
  speedForDepthMmPerS,
  speedForToneMmPerS,
} from './settings-for.ts';
import { doseForTone, namedFrom, plainDoseForTone, TONE_REGIONS, toneOf, toneRegion } from './tone.ts';

/**
 * Speed and power to what the wood does: the question behind the chart and behind every suggestion. For long
 * straight lines at full speed; how the head gets there is motion's business.
 *
 * At speed v every use of the beam leaves the dose k·P/v, so on a chart of speed and power the curves of equal
 * dose are P/v = const. Tone follows them but for the dwell, which asks for a little more dose the slower
 * the beam (`need.ts`).
 */

/** What the beam is used for: a single line, or rows so near each other that they fill an area. */
export type Use = { readonly kind: 'line' } | RowsUse;

export interface RowsUse extends RowsShape {
  readonly kind: 'rows';
  /** Rows in other directions over the same area, which change in speed and power alike; left out: none. */
  readonly crossing?: readonly CrossingUse[];
}

interface RowsShape {
  readonly rowSpacingMm: number;
  /** How long the rows are; left out {@link ROW_MM}. Short ones come back while the wood is warm (`warmth/rows.ts`). */
  readonly rowLengthMm?: number;
  /** How many there are; left out as many as make a square. The last of many find wood that all others have warmed. */
  readonly rowCount?: number;
  /** How far the head runs on dark beyond both ends; left out as far as it takes to turn. */
  readonly overscanMm?: number;
}

/** Rows that cross others. */
export interface CrossingUse extends RowsShape {
  /** The direction they run in where those that they cross run along x, a unit vector. */
  readonly ux: number;
  readonly uy: number;
  /** The mean dose they leave, as a multiple of what the rows leave that they cross. */
  readonly meanTimes: number;
}

/** Rows are taken to be so long where nobody says, mm: as on a piece of usual size. */
export const ROW_MM = 50;

/** Everything that decides a burn besides speed and power. */
export interface Work {
  readonly machine: Machine;
  readonly material: Material;
  /** Thickness of the stock, mm; null: not known, nothing is said about cutting through. */
  readonly thicknessMm: number | null;
  /** One standard uncertainty of it, mm; null or left out: 3 % of it (`sure/boards.ts`). */
  readonly thicknessPlusMinusMm?: number | null;
  readonly use: Use;
  /** How many times the same path is burned. */
  readonly passes: number;
  /** Height of the head while it burns, mm; default 0. */
  readonly headZMm?: number;
}

/** What becomes of the wood, from the least to the most. */
export const REGIONS = [...TONE_REGIONS.map(({ name }) => name), 'cut'] as const;
export type Region = (typeof REGIONS)[number];

/** What one setting does. */
export interface Outcome extends Fired {
  /** Local dose of all passes, J/mm²: on the centre of a line, or the mean of an area of rows. */
  readonly doseJPerMm2: number;
  /** The one dose that gives its tone, J/mm²; and how many times that its deepest lines get (`seen-area.ts`). */
  readonly seenJPerMm2: number;
  readonly deepTimes: number;
  /** How long each pass stays on a place, s. */
  readonly dwellS: number;
  readonly tone: number;
  /** Depth removed, mm; at most the stock's thickness. */
  readonly depthMm: number;
  readonly region: Region;
}

/** The answers for one work; everything that does not depend on speed and power is worked out once. */
export interface SpeedPower {
  readonly work: Work;
  readonly beam: BeamOnWood;
  /** Dose of all passes × speed, per watt, 1/mm. */
  readonly dosePerLineEnergy: number;
  /** Whether it is seen as an area, and told by its mean dose: rows, unless each lies by itself. */
  readonly isArea: boolean;
  /** How many times that its deepest lines get; 1 for lines. */
  readonly deepestTimes: number;
  /** The one plain dose (`tone.ts`) that looks like this mean one does, as a multiple of it. */
  seenTimes(plainJPerMm2: number): number;
  outcome(speedMmPerS: number, watts: number): Outcome;
  /** The fastest speed at which this tone is still reached, mm/s. */
  speedForTone(tone: number, watts: number): number;
  /**
   * The fastest speed at which the region, or one beyond it, is reached, mm/s: ∞ for *no mark*, and 0 where no
   * speed does. Faster than that the wood is in an earlier region.
   */
  fastest(region: Region, watts: number): number;
  /** The least watts with which the region is reached at this speed; 0 for *no mark*, ∞ where no power does. */
  wattsFor(region: Region, speedMmPerS: number): number;
  /** The watts that give this tone at this speed. */
  wattsForTone(tone: number, speedMmPerS: number): number;
  /** The one speed at which all passes leave this dose, mm/s. */
  speedForDose(doseJPerMm2: number, watts: number): number;
}

/** The beam of a machine, as the wood sees it, with the head at a height. */
export const beamOf = ({ spot, laser }: Machine, headZMm = 0): BeamOnWood => ({
  spot,
  wavelengthNm: laser.wavelength_nm,
  headZMm,
});

/**
 * Answers for one use of the beam on one wood, for any speed and power.
 * @param work lengths in mm; its row spacing and number of passes must be above 0.
 * @param needTimes how many times the need of one cool firing a place has at a speed, mm/s, and optical watts; default
 *   once (`warmth/rows.ts` follows warmth and repeated firing).
 * @param firings as how many equal ones its firings then count.
 * @returns functions of speeds in mm/s and optical watts, with doses in J/mm² and depths in mm. Source: dose = k·P/v,
 *   and MODEL.md for the wood's answer.
 */
export function speedPower(
  work: Work,
  needTimes: (speedMmPerS: number, watts: number) => number = () => 1,
  firings: number | null = null,
): SpeedPower {
  const { machine, material, thicknessMm, use, passes, headZMm = 0 } = work;
  const beam = beamOf(machine, headZMm);
  // Worked out when depth is first asked for: tones do without it.
  let knownLaw: DepthLaw | null = null;
  const law = (): DepthLaw => (knownLaw ??= depthLaw(material, beam));
  const widthMm = surfaceWidthMm(beam);
  const across = use.kind === 'line' ? null : doseAcross(machine.spot, rowsOf(use), headZMm);
  const isArea = across !== null;
  const dosePerLineEnergy = passes * doseTimesSpeed(use, beam, machine, isArea);
  // Places of a line, and of rows that lie by themselves, are told by its middle.
  const places = across ?? [1];
  const deepest = max(places)!;
  const timesForTone = startTimesForTone(places, material);

  const outcome = (speedMmPerS: number, watts: number): Outcome => {
    const doseJPerMm2 = (dosePerLineEnergy * watts) / speedMmPerS;
    const dwellS = widthMm / speedMmPerS;
    const times = needTimes(speedMmPerS, watts);
    const lit = { dwellS, material, wavelengthNm: beam.wavelengthNm };
    const seen = seenAsArea(places, doseJPerMm2 / times, lit);
    const tone = toneOf(seen.doseJPerMm2, dwellS, material, beam.wavelengthNm);
    const begins = times * removalBeginsJPerMm2(material, beam.wavelengthNm, dwellS);
    const reach = depthOfExcess(law(), deepest * doseJPerMm2 - begins);
    const through = thicknessMm !== null && reach >= thicknessMm * (1 - 1e-12);
    return {
      doseJPerMm2,
      seenJPerMm2: times * seen.doseJPerMm2,
      deepTimes: seen.deepTimes,
      dwellS,
      needTimes: times,
      firings,
      tone,
      depthMm: Math.min(reach, thicknessMm ?? reach),
      region: through ? 'cut' : toneRegion(tone),
    };
  };
  const speedForTone = (tone: number, watts: number): number =>
    settled(
      (times) =>
        speedForToneMmPerS(tone, (dosePerLineEnergy * watts) / (times * timesForTone(tone)), material, beam),
      (speed) => needTimes(speed, watts),
    );
  const cutSpeed = (watts: number): number =>
    thicknessMm === null
      ? 0
      : settled(
          (times) =>
            speedForDepthMmPerS(thicknessMm, deepest * dosePerLineEnergy * watts, material, beam, {
              law: law(),
              times,
            }),
          (speed) => needTimes(speed, watts),
        );
  const fastest = (region: Region, watts: number): number => {
    if (region === 'no mark') return Infinity;
    if (region === 'cut') return cutSpeed(watts);
    // Thin stock may be cut before it is dark.
    return Math.max(speedForTone(toneFrom(region), watts), cutSpeed(watts));
  };
  const speedForDose = (doseJPerMm2: number, watts: number): number =>
    (dosePerLineEnergy * watts) / doseJPerMm2;
  const wattsForTone = (tone: number, speedMmPerS: number): number =>
    settled(
      (times) =>
        (times *
          timesForTone(tone) *
          doseForTone(tone, widthMm / speedMmPerS, material, beam.wavelengthNm) *
          speedMmPerS) /
        dosePerLineEnergy,
      (watts) => needTimes(speedMmPerS, watts),
    );
  const wattsForDepth = (depthMm: number, speedMmPerS: number): number => {
    const begins = removalBeginsJPerMm2(material, beam.wavelengthNm, widthMm / speedMmPerS);
    const beyond = excessForDepth(law(), depthMm);
    return settled(
      (times) => ((times * begins + beyond) * speedMmPerS) / (deepest * dosePerLineEnergy),
      (watts) => needTimes(speedMmPerS, watts),
    );
  };
  const wattsFor = (region: Region, speedMmPerS: number): number => {
    if (region === 'no mark') return 0;
    const toCut = thicknessMm === null ? Infinity : wattsForDepth(thicknessMm, speedMmPerS);
    return region === 'cut' ? toCut : Math.min(toCut, wattsForTone(toneFrom(region), speedMmPerS));
  };
  return {
    work,
    beam,
    dosePerLineEnergy,
    isArea,
    deepestTimes: deepest,
    seenTimes: startSeenTimes(places, material),
    outcome,
    speedForTone,
    fastest,
    wattsForTone,
    wattsFor,
    speedForDose,
  };
}

/** Rows run along x. */
export const rowsOf = ({ rowSpacingMm, crossing = [] }: RowsUse): EvenRows => ({
  ux: 1,
  uy: 0,
  spacingMm: rowSpacingMm,
  crossing: crossing.map(({ ux, uy, rowSpacingMm: spacingMm, meanTimes }) => ({
    ux,
    uy,
    spacingMm,
    meanTimes,
  })),
});

/** What a use is told by, once: the middle of a line or of rows that lie by themselves; the mean of an area. */
function doseTimesSpeed(use: Use, beam: BeamOnWood, { spot }: Machine, isArea: boolean): number {
  if (use.kind === 'line') return lineDoseTimesSpeed(1, beam);
  if (isArea) return areaDoseTimesSpeed(1, use.rowSpacingMm) / ownShare(rowsOf(use));
  return lineDoseTimesSpeed(1, beam, widthAcrossMm(spot, 1, 0, beam.headZMm));
}

/** How many times the dose of an even area the mean of one must be that comes out as dark; ∞ where it never does. */
function startTimesForTone(places: readonly number[], material: Material): (tone: number) => number {
  if (places.length === 1) return () => 1;
  const known = new Map<number, number>();
  return (tone) => {
    const before = known.get(tone);
    if (before !== undefined) return before;
    const times = plainMeanForTone(places, tone, material) / plainDoseForTone(tone, material);
    known.set(tone, times);
    return times;
  };
}

/** Steps until a setting and the need it meets agree to within {@link AGREED}: as a rule five or six. */
const MOST_STEPS = 40;
const AGREED = 1e-9;
/** How steeply the logarithm of what a need asks for may leave that of what was tried; a guess to begin with. */
const STEEPEST = -4;
const FLATTEST = -0.25;

/**
 * The setting that a need asks for, where the need itself hangs on the setting: by the secant through the last two tries,
 * on logarithms. Simply trying what the last need asked for would swing to and fro where rows are near and warm.
 */
function settled(settingFor: (times: number) => number, timesAt: (setting: number) => number): number {
  let setting = settingFor(1);
  if (!(setting > 0 && setting < Infinity)) return setting;
  let slope = -1;
  let before: { readonly ln: number; readonly off: number } | null = null;
  for (let k = 0; k < MOST_STEPS; k++) {
    const asked = settingFor(timesAt(setting));
    if (!(asked > 0 && asked < Infinity)) return asked;
    const ln = Math.log(setting);
    const off = Math.log(asked) - ln;
    if (Math.abs(off) <= AGREED) return asked;
    if (before && ln !== before.ln) slope = (off - before.off) / (ln - before.ln);
    slope = Math.min(FLATTEST, Math.max(STEEPEST, slope));
    before = { ln, off };
    setting = Math.exp(ln - off / slope);
  }
  return setting;
}

/** The least tone that has the name of a region. */
export const toneFrom = (region: Exclude<Region, 'cut'>): number =>
  namedFrom(TONE_REGIONS.find(({ name }) => name === region)!.fromTone);

/** The speed the machine reaches in this use, mm/s: rows run along x, a line may run either way. */
export const topSpeedMmPerS = ({ machine, use }: Pick<Work, 'machine' | 'use'>): number => {
  const [x, y] = machine.max_speed_mm_s;
  return use.kind === 'rows' ? x : Math.min(x, y);
};

/** Optical watts at a share of full power, threshold and power levels included. */
export const wattsAt = (laser: LaserSource, power: number): number =>
  powerLaw(laser).watts(power * laser.s_max, 1);

/** The share of full power that gives these watts where any level can be set: the inverse of {@link wattsAt}. */
export const powerFor = ({ optical_power_w, threshold_fraction }: LaserSource, watts: number): number =>
  threshold_fraction + ((1 - threshold_fraction) * watts) / optical_power_w;
