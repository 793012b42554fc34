import { numberWords } from '../../src/words.ts';

/** A number as a sentence shows it: with a true minus, as wide as a digit. */
export const shownNumber = (value: number, digits?: number): string =>
  numberWords(value, digits).replace('-', '−');

/** The same as a computer reads it. */
export const plainMinus = (text: string): string => text.replace('−', '-');

/** How wide a field for a text must be, in widths of a digit: a point takes half of one, a minus nearly all. */
export const chOf = (text: string): number => {
  const narrow = text.replace(/[^.,]/g, '').length;
  return Math.max(1, text.length - narrow * 0.5) + 0.3;
};
