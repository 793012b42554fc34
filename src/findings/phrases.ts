import { shadeWords } from '../sure/words.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { numberWords } from '../words.ts';

/** Words that several findings share. */

/** `4.2 times`, `28 times`. */
export const manyTimes = (factor: number): string =>
  Number.isFinite(factor) ? `${numberWords(factor, 2)} times` : 'many times';

/** `0.45 J/mm²`. */
export const doseWords = (doseJPerMm2: number): string => `${numberWords(doseJPerMm2, 2)} J/mm²`;

/** `0.45 instead of 0.1 J/mm²`. */
export const doseInstead = (there: number, usual: number): string =>
  `${numberWords(there, 2)} instead of ${doseWords(usual)}`;

/** In shades, or where both have the same name in numbers: `dark brown instead of tan`, `tone 0.37 instead of 0.26`. */
export const shadeInstead = (tone: number, usual: number): string =>
  shadeWords(tone) === shadeWords(usual)
    ? `tone ${numberWords(tone, 2)} instead of ${numberWords(usual, 2)}`
    : `${shadeWords(tone)} instead of ${shadeWords(usual)}`;

/** A speed that was worked out, not written: `230 mm/min`. */
export const aboutFeed = (mmPerS: number): string => {
  const feed = mmPerSToMmPerMin(mmPerS);
  return `${numberWords(feed >= 1000 ? Math.round(feed / 10) * 10 : feed, feed >= 1000 ? 4 : 2)} mm/min`;
};

export const mmWords = (mm: number): string => `${numberWords(mm, 2)} mm`;

/** How deep of how much: *1.6 of 4 mm*; what falls short by less than is told says so. */
export function depthOfWords(depthMm: number, thicknessMm: number): string {
  const [depth, thickness] = [numberWords(depthMm, 2), mmWords(thicknessMm)];
  return `${depth} mm` === thickness ? `a hair less than ${thickness}` : `${depth} of ${thickness}`;
}

/** A millimetre size to the tenth above, with no rounding noise. */
export const tenthAbove = (mm: number): number => Math.ceil(mm * 10 - 1e-9) / 10;

/** `one corner`, `24 corners`. */
export const countWords = (count: number, one: string, many: string = `${one}s`): string =>
  count === 1 ? `one ${one}` : `${count} ${many}`;

/** Made when first asked for: to load the platform's lists takes ten milliseconds, which a page has not at its start. */
let lists: Intl.ListFormat | null = null;

/** `1`, `1 and 2`, `1, 2 and 3`. */
export function listWords(words: readonly string[]): string {
  lists ??= new Intl.ListFormat('en-GB', { type: 'conjunction' });
  return lists.format(words);
}

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** What goes with every advice to cut deeper. */
export const CUTTING_CAUTION =
  'Raise the board off the bed, use air, keep an extinguisher at hand and never leave it unattended.';

/** For people and for `measure`: no digits of rounding noise, and no 0 below 0. */
export const round = (value: number, digits = 4): number => Number(value.toFixed(digits)) + 0;
