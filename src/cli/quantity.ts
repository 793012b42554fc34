import { InputError } from '../errors.ts';

/** Beyond any quantity of a small machine; each option has its own bounds besides. */
const LARGEST = 1e9;
const NUMBER = String.raw`(\d+(?:\.\d+)?|\.\d+)`;

/**
 * Reads an option that is one quantity, as `10W` or `450 nm`; the unit may be left out.
 * @param expected for the sentence: `watts of light, as in 10W`.
 */
export function readQuantity(option: string, text: string, unit: string, expected: string): number {
  const match = new RegExp(`^${NUMBER}(?:${unit})?$`, 'i').exec(text.replace(/\s+/g, ''));
  const value = Number(match?.[1] ?? 0);
  if (!(value > 0 && value <= LARGEST))
    throw new InputError(`found ${option} ${shown(text)}; expected ${expected}`);
  return value;
}

/** Reads an option of two lengths in mm, as `0.08x0.10`; one alone stands for both. */
export function readPair(option: string, text: string, expected: string): [number, number] {
  const match = new RegExp(`^${NUMBER}(?:x${NUMBER})?(?:mm)?$`, 'i').exec(text.replace(/\s+/g, ''));
  const first = Number(match?.[1] ?? 0);
  const second = Number(match?.[2] ?? first);
  if (!(first > 0 && second > 0 && Math.max(first, second) <= LARGEST)) {
    throw new InputError(`found ${option} ${shown(text)}; expected ${expected}`);
  }
  return [first, second];
}

/** Reads an option that is one of a few words. */
export function readChoice<Word extends string>(option: string, text: string, words: readonly Word[]): Word {
  const word = words.find((each) => each === text.trim().toLowerCase());
  if (word === undefined) {
    throw new InputError(`found ${option} ${shown(text)}; expected ${words.join(' or ')}`);
  }
  return word;
}

const LONGEST_SHOWN = 60;
const shown = (text: string): string =>
  text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)}…` : text;
