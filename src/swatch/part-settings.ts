import { doseForDepth } from '../burn/depth.ts';
import type { Material } from '../burn/material.ts';
import { doseForTone } from '../burn/tone.ts';
import { fastestWithin, type Givens, lineEnergyFor, ratioSteps, sFor, wattsOf } from './givens.ts';

/**
 * Which speeds and powers the parts of a swatch get: chosen so that they bracket what the wood may answer even
 * where the profile's guess is far off.
 */

interface Setting {
  readonly speedMmPerS: number;
  readonly s: number;
}

/** How many times less and more than the guess the first mark and full char may really take. */
const FIRST_MARK_DOUBT = 2.2;
const FULL_CHAR_DOUBT = 2.5;
/** How many times less and more than the guess removal may really take. */
const REMOVAL_DOUBT = 2;
/** A patch or mark takes no more of the board's thickness than this. */
const DEEPEST_PART = 0.5;
/** Faster than this, common engraving feeds end. */
const FASTEST_PATCH_MM_S = 120;
/** Below this share of full power a diode is too near its threshold to be sure of. */
const LEAST_POWER = 0.03;
/** The slowest cutting speed: below it a board rather glows than cuts. */
const SLOWEST_CUT_MM_S = 1.5;
const MOST_PASSES = 6;
const ORDINARY_DWELL_S = 0.004;

/** The dose at which the wood, at half the guessed removal energy, would lose {@link DEEPEST_PART} of its thickness. */
function deepestDose({ material, beam }: Givens, thicknessMm: number | null): number {
  if (thicknessMm === null) return Infinity;
  const soft = withRemoval(material, material.removal_j_mm3.value / REMOVAL_DOUBT);
  return doseForDepth(DEEPEST_PART * thicknessMm, ORDINARY_DWELL_S, soft, beam);
}

/** Speeds of the rows of patches, fastest first, and S of their columns, weakest first. */
export interface PatchSettings {
  readonly speedsMmPerS: readonly number[];
  readonly s: readonly number[];
}

/**
 * Doses in even ratios from below any first mark to beyond any full char. A row's step is a little larger than
 * a column's (by 1/rows of it), so that no two patches have the same dose, and every dose is bracketed by
 * patches of other speeds.
 *
 * @param roomMm for the run-up at either end of a row.
 */
export function patchSettings(
  givens: Givens,
  rows: number,
  columns: number,
  roomMm: number,
  thicknessMm: number | null,
): PatchSettings {
  const { machine, rowSpacingMm, rowNeed } = givens;
  const [first, full] = guessedDoses(givens);
  const fullW = machine.laser.optical_power_w;
  const high = Math.min(rowNeed * full * FULL_CHAR_DOUBT, deepestDose(givens, thicknessMm));
  const room = fastestWithin(roomMm, machine.acceleration_mm_s2[0]);
  const rowSteps = (1 + 1 / rows) * (rows - 1);
  const steps = columns - 1 + rowSteps;

  let fastest = Math.min(FASTEST_PATCH_MM_S, machine.max_speed_mm_s[0], room);
  // The weakest patch must still be burned with a power the diode holds.
  const low = Math.max(first / FIRST_MARK_DOUBT, (LEAST_POWER * fullW) / (fastest * rowSpacingMm));
  const step = Math.max(1.05, (high / low) ** (1 / steps));
  let slowest = fastest / step ** rowSteps;
  // The strongest must not ask for more power than there is.
  if (high * slowest * rowSpacingMm > fullW) {
    slowest = fullW / (high * rowSpacingMm);
    fastest = slowest * step ** rowSteps;
  }
  const strongestW = high * slowest * rowSpacingMm;
  return {
    speedsMmPerS: ratioSteps(fastest, slowest, rows),
    s: ratioSteps(strongestW / step ** (columns - 1), strongestW, columns).map((watts) =>
      sFor(watts, machine),
    ),
  };
}

/** A patch that is burned alone: as a patch of the grid, in so many passes of a part of its power each. */
interface AloneSettings extends Setting {
  readonly passes: number;
}

/** Tones at which patches are burned alone: where a little more or less need shows most. */
const ALONE_TONES = [0.5, 0.3, 0.7];
/** Light passes that together leave the dose of one, as many as the diode holds. */
const ALONE_PASSES = [4, 3, 2];

/**
 * Pairs for what the heat that stays does: the settings of a patch of the grid, in short rows of their own, once and in
 * several lighter passes. Between the three, only warmth and the number of firings differ.
 * @param count how many there is room for.
 */
export function aloneSettings(
  givens: Givens,
  { speedsMmPerS, s }: PatchSettings,
  count: number,
): AloneSettings[] {
  const { machine, material, beam, rowSpacingMm, rowNeed } = givens;
  const grid = speedsMmPerS.flatMap((speedMmPerS) => s.map((level) => ({ speedMmPerS, s: level })));
  return ALONE_TONES.slice(0, Math.floor(count / 2)).flatMap((tone): AloneSettings[] => {
    const wanted = rowNeed * doseForTone(tone, ORDINARY_DWELL_S, material, beam.wavelengthNm);
    const off = (each: Setting): number =>
      Math.abs(Math.log(wattsOf(each.s, machine) / (each.speedMmPerS * rowSpacingMm * wanted)));
    const nearest = grid.reduce((best, each) => (off(each) < off(best) ? each : best));
    const watts = wattsOf(nearest.s, machine);
    const passes = ALONE_PASSES.find((n) => watts / n >= LEAST_POWER * machine.laser.optical_power_w);
    const once = { ...nearest, passes: 1 };
    return passes ? [once, { ...nearest, s: sFor(watts / passes, machine), passes }] : [once];
  });
}

/** Settings for marks: sure to be char, at the fastest speed that has its run-up within `roomMm`. */
export function markSetting(givens: Givens, roomMm: number, thicknessMm: number | null): Setting {
  const { machine, rowSpacingMm, rowNeed } = givens;
  const dose = Math.min(
    rowNeed * FULL_CHAR_DOUBT * guessedDoses(givens)[1],
    deepestDose(givens, thicknessMm),
  );
  const fullW = machine.laser.optical_power_w;
  const room = fastestWithin(roomMm, machine.acceleration_mm_s2[0]);
  const speedMmPerS = Math.min(machine.max_speed_mm_s[0], room, fullW / (dose * rowSpacingMm));
  return { speedMmPerS, s: sFor(dose * speedMmPerS * rowSpacingMm, machine) };
}

/** How many times the weakest line's energy the strongest gets, at the least. */
const LADDER_SPAN = 14;
/** Lines are burned at this speed as far as the power allows, mm/s. */
const LADDER_SPEED_MM_S = 30;

/**
 * Line energies over more than a tenfold range, weakest first, at one speed as far as the power allows: from the
 * first mark on, or from as little as the machine can give.
 */
export function ladderSettings(givens: Givens, acrossMm: number, count: number, roomMm: number): Setting[] {
  const { machine } = givens;
  const [first, full] = guessedDoses(givens);
  const accel = Math.min(machine.acceleration_mm_s2[0], machine.acceleration_mm_s2[1]);
  const top = Math.min(machine.max_speed_mm_s[0], machine.max_speed_mm_s[1], fastestWithin(roomMm, accel));
  const fullW = machine.laser.optical_power_w;
  const leastW = LEAST_POWER * fullW;
  const usual = Math.min(LADDER_SPEED_MM_S, top);
  const energyOf = (peak: number) => lineEnergyFor(peak, acrossMm, machine.spot);
  const leastS = sFor(leastW, machine);
  const least = Math.max(energyOf(first), wattsOf(leastS, machine) / top);
  return ratioSteps(least, Math.max(LADDER_SPAN * least, energyOf(1.5 * full)), count).map((energy) => {
    const s = sFor(Math.min(fullW, Math.max(leastW, energy * usual)), machine);
    return { speedMmPerS: Math.min(top, wattsOf(s, machine) / energy), s };
  });
}

/** Settings for the labels: a brown that can be read and does little else. */
export function labelSetting(givens: Givens): Setting {
  const { machine, material, beam } = givens;
  const peak = doseForTone(0.6, ORDINARY_DWELL_S, material, beam.wavelengthNm);
  const energy = lineEnergyFor(peak, Math.max(givens.acrossXMm, givens.acrossYMm), machine.spot);
  const fullW = machine.laser.optical_power_w;
  const s = sFor(Math.min(fullW, Math.max(LEAST_POWER * fullW, energy * 15)), machine);
  return { speedMmPerS: Math.min(15, wattsOf(s, machine) / energy), s };
}

/** Cut lines at full power, the strongest first. */
interface CutSettings {
  readonly s: number;
  readonly passes: number;
  readonly speedsMmPerS: readonly number[];
}

/** From surely through to surely not, in even ratios; null where the machine cannot be expected to cut so deep. */
export function cutSettings(givens: Givens, thicknessMm: number, count: number): CutSettings | null {
  const { machine, material, beam } = givens;
  const energyFor = (removalFactor: number): number => {
    const wood = withRemoval(material, material.removal_j_mm3.value * removalFactor);
    const dwellS = Math.max(givens.acrossXMm, givens.acrossYMm) / SLOWEST_CUT_MM_S;
    return lineEnergyFor(doseForDepth(thicknessMm, dwellS, wood, beam), givens.acrossXMm, machine.spot);
  };
  const strongest = energyFor(REMOVAL_DOUBT);
  const weakest = energyFor(1 / REMOVAL_DOUBT);
  const fullW = machine.laser.optical_power_w;
  const passes = Math.min(MOST_PASSES, Math.ceil((strongest * SLOWEST_CUT_MM_S) / fullW));
  const most = Math.min(strongest, (passes * fullW) / SLOWEST_CUT_MM_S);
  if (!(most > weakest * 1.2)) return null;
  const top = machine.max_speed_mm_s[1];
  return {
    s: sFor(fullW, machine),
    passes,
    speedsMmPerS: ratioSteps(most, weakest, count).map((energy) => Math.min(top, (passes * fullW) / energy)),
  };
}

/** The guessed first mark and full char for the machine's light, J/mm². */
function guessedDoses({ material, beam }: Givens): [first: number, full: number] {
  return [
    doseForTone(1e-6, ORDINARY_DWELL_S, material, beam.wavelengthNm),
    doseForTone(0.9, ORDINARY_DWELL_S, material, beam.wavelengthNm),
  ];
}

const withRemoval = (material: Material, value: number): Material => ({
  ...material,
  removal_j_mm3: { ...material.removal_j_mm3, value },
});
