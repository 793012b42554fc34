import { InputError } from '../errors.ts';

/**
 * One block (a line of G-code) as words. A single `Block` is filled again for every line, so that reading a
 * million lines makes no million objects. G and M words may stand several times and are listed; of every
 * other letter one number is kept, under the letter: where a letter stands again, the last counts (NISTIR 6556
 * §3.3.5 has each at most once).
 */
export interface Block {
  /** 1-based line of the file. */
  line: number;
  /** One bit for each letter present with a number (A is bit 0), G and M excepted. */
  has: number;
  /** One bit for each letter that stands without a number; only `G28 X Y` may have such. */
  bare: number;
  /** The number behind letter k, where bit k of `has` is set; otherwise meaningless. */
  readonly value: Float64Array;
  gCount: number;
  readonly g: Float64Array;
  mCount: number;
  readonly m: Float64Array;
}

/** More G (or M) words than this in one block is no honest block: there are only 14 modal groups. */
export const MOST_CODES = 16;

export const createBlock = (): Block => ({
  line: 0,
  has: 0,
  bare: 0,
  value: new Float64Array(26),
  gCount: 0,
  g: new Float64Array(MOST_CODES),
  mCount: 0,
  m: new Float64Array(MOST_CODES),
});

export function clearBlock(block: Block): void {
  block.has = 0;
  block.bare = 0;
  block.gCount = 0;
  block.mCount = 0;
}

/** Index of a capital letter in `Block.value`: A is 0. */
export const letterIndex = (letter: string): number => letter.charCodeAt(0) - 65;

/** The bits of some capital letters in `Block.has`. */
export const bits = (letters: string): number =>
  Array.from(letters).reduce((all, letter) => all | (1 << letterIndex(letter)), 0);

/** The letters of a bit set, in alphabetical order. */
export const lettersOf = (set: number): string[] =>
  Array.from('ABCDEFGHIJKLMNOPQRSTUVWXYZ').filter((letter) => set & bits(letter));

/** Adds one word (a capital letter's index and its number), or says which rule it breaks. */
export function addWord(block: Block, index: number, value: number): void {
  const letter = String.fromCharCode(65 + index);
  if (letter === 'G' || letter === 'M') {
    const list = letter === 'G' ? block.g : block.m;
    const count = letter === 'G' ? block.gCount++ : block.mCount++;
    if (count === MOST_CODES) {
      throw new InputError(
        `found more than ${MOST_CODES} ${letter} words; expected a few on one line`,
        block,
      );
    }
    list[count] = value;
    return;
  }
  block.has |= 1 << index;
  block.value[index] = value;
}

/** A piece of the file as a message may quote it. */
export const shorten = (text: string): string => (text.length > 24 ? `${text.slice(0, 24)}…` : text);
