import type { Material } from './material.ts';
import { needAt, needOf } from './need.ts';

/**
 * Dose to tone. Two steps: how much more or less dose this light and this dwell ask for than the profile's
 * own wavelength passing in a few ms (`need.ts`), then a smooth curve over the logarithm of what is left. The
 * reasons stand in MODEL.md.
 */

/** Tone of the darkest char; beyond it the surface lightens a little again, up to tone 1. */
export const FULL_CHAR_TONE = 0.9;

/** Where carbonisation begins to be noticeable, and with it removal. */
export const CHAR_BEGINS_TONE = 0.4;

/** Where smoothstep reaches {@link FULL_CHAR_TONE}: the root of 3x² − 2x³ = 0.9. */
const FULL_CHAR_X = unsmoothstep(FULL_CHAR_TONE);

/**
 * The tone, 0 bare … 0.9 darkest … 1 beyond, of a dose at short dwell and the profile's own wavelength,
 * J/mm²: exactly 0 up to the first mark, then smoothstep over ln dose, 0.9 at full char, exactly 1 above.
 */
export const toneOfPlainDose = (plainJPerMm2: number, material: Material): number =>
  toneBetween(plainJPerMm2, material.first_mark_j_mm2.value, material.full_char_j_mm2.value);

/** The same, for a first mark and a full char, J/mm². */
export function toneBetween(plainJPerMm2: number, first: number, full: number): number {
  if (!(plainJPerMm2 > first)) return 0;
  return smoothstep((FULL_CHAR_X * Math.log(plainJPerMm2 / first)) / Math.log(full / first));
}

/** The inverse of {@link toneOfPlainDose}: the least dose of a tone in 0…1, J/mm². */
export const plainDoseForTone = (tone: number, material: Material): number =>
  plainDoseFor(unsmoothstep(tone) / FULL_CHAR_X, material);

/** The same of one tone, for many woods. */
export function startPlainDose(tone: number): (material: Material) => number {
  const part = unsmoothstep(tone) / FULL_CHAR_X;
  return (material) => plainDoseFor(part, material);
}

/** @param part of the way from first mark to full char, over the logarithm of dose. */
const plainDoseFor = (part: number, { first_mark_j_mm2: first, full_char_j_mm2: full }: Material): number =>
  first.value * (full.value / first.value) ** part;

/**
 * The tone of a place.
 * @param doseJPerMm2 local dose, J/mm².
 * @param dwellS how long the place lay under the spot: spot width ÷ speed, s.
 * @param wavelengthNm of the beam; default the profile's own.
 */
export const toneOf = (
  doseJPerMm2: number,
  dwellS: number,
  material: Material,
  wavelengthNm: number = material.marked_with_nm,
): number => toneOfPlainDose(doseJPerMm2 / needAt(needOf(material, wavelengthNm), dwellS), material);

/** The least dose that gives a tone (0…1), J/mm²; the inverse of {@link toneOf}. */
export const doseForTone = (
  tone: number,
  dwellS: number,
  material: Material,
  wavelengthNm: number = material.marked_with_nm,
): number => plainDoseForTone(tone, material) * needAt(needOf(material, wavelengthNm), dwellS);

/** The names people give tones, each from its least tone on. */
export const TONE_REGIONS = [
  { name: 'no mark', fromTone: 0 },
  { name: 'tan', fromTone: 0.05 },
  { name: 'brown', fromTone: CHAR_BEGINS_TONE },
  { name: 'char', fromTone: 0.75 },
] as const;

export type ToneRegion = (typeof TONE_REGIONS)[number]['name'];

/** Tones are told in whole per cents: from half a per cent below on, one is told as `fromTone` and has its name. */
export const namedFrom = (fromTone: number): number => Math.max(0, 100 * fromTone - 0.5) / 100;

/** The name of a tone, 0…1. */
export const toneRegion = (tone: number): ToneRegion =>
  TONE_REGIONS.findLast(({ fromTone }) => tone >= namedFrom(fromTone))!.name;

/**
 * The tone that stands for a region: as far, by ratio of dose, from the region before as from the one beyond; for
 * *char* the darkest.
 */
export function middleTone(region: ToneRegion): number {
  const at = TONE_REGIONS.findIndex(({ name }) => name === region);
  const next = TONE_REGIONS[at + 1];
  if (at === 0) return 0;
  if (next === undefined) return FULL_CHAR_TONE;
  return smoothstep((unsmoothstep(TONE_REGIONS[at]!.fromTone) + unsmoothstep(next.fromTone)) / 2);
}

function smoothstep(x: number): number {
  if (x >= 1) return 1;
  return x > 0 ? x * x * (3 - 2 * x) : 0;
}

/** The inverse of smoothstep on 0…1: ½ − sin(asin(1 − 2y)/3), from the triple-angle formula. */
function unsmoothstep(y: number): number {
  const within = Math.min(1, Math.max(0, y));
  return 0.5 - Math.sin(Math.asin(1 - 2 * within) / 3);
}
