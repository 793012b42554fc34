import { labOf } from '../burn/colour.ts';
import { type DepthLaw, depthOfExcess } from '../burn/depth.ts';
import { floorShade } from '../burn/floor-shade.ts';
import type { Material } from '../burn/material.ts';
import { CHAR_BEGINS_TONE, FULL_CHAR_TONE, plainDoseForTone, toneOfPlainDose } from '../burn/tone.ts';
import { linearOfLab } from '../photo/colour-space.ts';
import { codedOf, linearOf, luminance } from '../photo/photo.ts';

/** What a wood looks like at a tone, as far as its profile leaves it open: whoever sees the piece, photo or eye, shares it. */
const COLOUR_DOUBTS = ['tone_shape', 'floor_shade', 'char_lightness'] as const;
/** What neither photo nor profile tells, one standard deviation each; all tones of a photo share it. */
export const PHOTO_DOUBTS = ['photo_contrast', 'photo_bend', ...COLOUR_DOUBTS] as const;
/**
 * The same of an eye, in the same order: it holds the piece beside the forecast's colours by a light and on a screen that
 * nobody has measured, and so shows contrast no better than a camera does (a judgement).
 */
export const EYE_DOUBTS = ['eye_contrast', 'eye_bend', ...COLOUR_DOUBTS] as const;
/** Those of them that are the photo's; the others are the wood's colours. */
export const IS_OF_PHOTO: readonly boolean[] = [true, true, false, false, false];

/** As a fit to a swatch has them; judgements, whose reasons stand in `swatch/METHOD.md`. */
const CONTRAST_SIGMA = 0.05;
const BEND_SIGMA = 0.03;
const SHAPE_SIGMA = 0.12;
const FLOOR_SIGMA = 0.4;
const CHAR_SIGMA = 6;

/** What a photo or a wood's colours may be off by, in standard deviations, in the order of {@link PHOTO_DOUBTS}. */
export type Off = readonly number[];
export const NOTHING_OFF: Off = PHOTO_DOUBTS.map(() => 0);
/** One of them off, by so many standard deviations. */
export const offBy = (doubt: number, sigmas = 1): Off =>
  PHOTO_DOUBTS.map((_, k) => (k === doubt ? sigmas : 0));

export interface Wood {
  readonly material: Material;
  readonly law: DepthLaw;
}

/** @returns the light over bare wood of what got this dose at short dwell, J/mm². */
export function startLightOfDose({ material, law }: Wood, off: Off): (plainJPerMm2: number) => number {
  const [contrast, bend, shape, floor, char] = off as [number, number, number, number, number];
  const { char_lab } = material.colour;
  const [l, a, b] = char_lab.value;
  const charL = Math.max(5, l + char * (char_lab.plus_minus ?? CHAR_SIGMA));
  const seen: Material = {
    ...material,
    colour: { ...material.colour, char_lab: { ...char_lab, value: [charL, a, b] } },
  };
  const bare = luminance(...linearOfLab(labOf(0, seen)));
  const begins = plainDoseForTone(CHAR_BEGINS_TONE, material);
  return (plain) => {
    const tone = toneOfPlainDose(plain, material);
    if (tone === 0) return 1;
    const bent = FULL_CHAR_TONE * (tone / FULL_CHAR_TONE) ** Math.exp(SHAPE_SIGMA * shape);
    const shaped = tone < FULL_CHAR_TONE ? bent : tone;
    const depthMm = depthOfExcess(law, plain - begins);
    const shade = 1 - (1 + FLOOR_SIGMA * floor) * (1 - floorShade(depthMm));
    const light = linearOf(codedOf(luminance(...linearOfLab(labOf(shaped, seen)))) * shade) / bare;
    const ln = Math.log(light);
    return Math.exp((1 + CONTRAST_SIGMA * contrast) * ln + BEND_SIGMA * bend * ln * ln);
  };
}

/** For the slope of light over the logarithm of dose. */
const SMALL_LN = 0.02;

/**
 * By how much more (ln) doses are than their light tells, each doubt being off by one standard deviation: half of what it does
 * to the light from one below to one above, over the light's own slope (JCGM 100:2008, eq. 10).
 * @param start what is off; then the light of the doses, by what (ln) they are multiplied.
 */
export function dosesByDoubt(start: (off: Off) => (lnTimes: number) => number, lnTimes: number): number[] {
  const usual = start(NOTHING_OFF);
  const perLn = (usual(lnTimes + SMALL_LN) - usual(lnTimes - SMALL_LN)) / (2 * SMALL_LN);
  return PHOTO_DOUBTS.map((_, k) => {
    const [more, less] = [1, -1].map((sigmas) => start(offBy(k, sigmas))(lnTimes)) as [number, number];
    return perLn < 0 ? (less - more) / 2 / perLn : 0;
  });
}
