import { namedFrom, TONE_REGIONS } from '../burn/tone.ts';
import { numberWords } from '../words.ts';
import { type ComesThrough, mostPasses } from './come-through.ts';
import type { DepthSpan, Engraved } from './engraved.ts';

/** What the words rest on: the cut's sureness, what counts as sure, and how many times it is burned. */
export interface Said extends ComesThrough {
  readonly sure: number;
  readonly passes: number;
}

/** Nearer to none or all than this there is no telling. */
const HARDLY = 0.015;

/** *It comes through on about 6 of 10 such boards; 9 passes make it 19 of 20.* Of too many passes none are told. */
export function sureSentence({ chanceThrough, passesForSure, sure, passes }: Said): string {
  const now = `It comes through on ${boardsWords(chanceThrough, sure)}`;
  if (chanceThrough >= sure) return `${now}.`;
  if (passesForSure === null)
    return `${now}; not even ${mostPasses(passes)} passes make it ${partWords(sure)}.`;
  if (passesForSure <= passes) return `${now}.`;
  return `${now}; ${passesForSure} passes make it ${partWords(sure)}.`;
}

/**
 * A chance as so many boards: `about 6 of 10 such boards`.
 * @param sure what is asked; a chance below it is never rounded to it.
 */
export function boardsWords(chance: number, sure = 1): string {
  if (chance < HARDLY) return 'hardly any such board';
  if (chance < 0.05) return 'fewer than 1 of 20 such boards';
  if (chance > 1 - HARDLY) return 'nearly every such board';
  if (chance >= 0.95) return 'at least 19 of 20 such boards';
  const tenths = Math.min(9, Math.max(1, Math.round(chance * 10)));
  return isRoundedTo(sure, chance, tenths / 10) ? justUnder(sure) : `about ${tenths} of 10 such boards`;
}

/** The same where single boards of a hundred count: `94 of 100 such boards`. */
export function hundredthsWords(chance: number, sure: number): string {
  const hundredths = Number((chance * 100).toPrecision(2));
  return isRoundedTo(sure, chance, hundredths / 100)
    ? justUnder(sure)
    : `${numberWords(hundredths, 2)} of 100 such boards`;
}

/** Whether rounding would make enough of what is not: there is no telling the two apart then. */
const isRoundedTo = (sure: number, chance: number, rounded: number): boolean =>
  chance < sure && rounded > sure - 1e-9;

const justUnder = (sure: number): string => `just under ${partWords(sure)} such boards`;

/** A part that is enough: `19 of 20`, `90 of 100`. */
export function partWords(part: number): string {
  for (const of of [10, 20, 100]) {
    const count = part * of;
    if (Math.abs(count - Math.round(count)) < 1e-9) return `${Math.round(count)} of ${of}`;
  }
  return `${numberWords(part * 100, 3)} of 100`;
}

const [, TAN, BROWN, CHAR] = TONE_REGIONS;

/** Tones as people tell them apart, each from its least tone on: the regions, tan and brown halved. */
const SHADES: readonly (readonly [fromTone: number, words: string])[] = [
  [0, 'next to bare'],
  [TAN.fromTone, 'light tan'],
  [0.2, 'tan'],
  [BROWN.fromTone, 'brown'],
  [0.6, 'dark brown'],
  [CHAR.fromTone, 'char'],
];

/** `light tan`, `dark brown`. */
export const shadeWords = (tone: number): string => SHADES.findLast(([from]) => tone >= namedFrom(from))![1];

/** *brown, between tan and dark brown until a swatch narrows it*. @param isGuess whether a swatch would. */
export function shadeRangeWords({ tone, toneLow, toneHigh }: Engraved, isGuess: boolean): string {
  const [low, here, high] = [toneLow, tone, toneHigh].map(shadeWords) as [string, string, string];
  const until = isGuess ? ' until a swatch narrows it' : '';
  if (low === high) return `${here} on nearly every such board`;
  if (low === here) return `${here}, or as dark as ${high}${until}`;
  if (high === here) return `${here}, or as light as ${low}${until}`;
  return `${here}, between ${low} and ${high}${until}`;
}

/** What is said beside the tone of rows or lines too far apart to be seen as one area. */
export const OF_LINES = ' (its lines; between them the wood stays bare)';

/** `0.67 mm (0.4 to 1)`: a depth, and what it lies between on nine such boards of ten; alone where that is one. */
export function depthSpanWords(
  { depthMm, depthLowMm, depthHighMm }: DepthSpan,
  unit: 'mm' | 'mm deep' = 'mm',
): string {
  const words = (mm: number) => numberWords(Number(mm.toFixed(2)), 2);
  const [low, here, high] = [depthLowMm, depthMm, depthHighMm].map(words) as [string, string, string];
  return low === high ? `${here} ${unit}` : `${here} ${unit} (${low} to ${high})`;
}

/** Depths that differ by less are told as one, and none that is less is told, mm. */
const FELT_MM = 0.02;

/** *; 0.08 mm deep, 0 to 0.2 mm*; nothing where it stays on the surface. */
export function depthRangeWords({ depthMm, depthLowMm, depthHighMm }: Engraved): string {
  if (depthHighMm < FELT_MM) return '';
  const words = (mm: number) => numberWords(Number(mm.toFixed(2)), 2);
  const [low, here, high] = [depthLowMm, depthMm, depthHighMm].map(words);
  return low === high ? `; ${here} mm deep` : `; ${here} mm deep, ${low} to ${high} mm`;
}
