import { InputError } from '../../errors.ts';
import type { Range } from '../profile.ts';
import { type Draft, numberOf, type Told } from './draft.ts';
import type { LetteredLine } from './lines.ts';

/** A number may have an exponent, which then is refused as none of a listing; `E25` behind a blank is a word. */
const WORD = /([A-Za-z])[ \t]*([^A-Za-z \t]+(?:(?:[eE][-+]|e)\d+(?![\d.]))?)/g;

/** Numbers behind letters, as written: `{ X: '500.00', Y: '500.00' }`. */
export type Words = Readonly<Record<string, string>>;

/**
 * The words behind an M word. Those that are not `wanted` are noted as unused.
 * @throws {InputError} at a letter that stands twice, or at anything that is no word.
 */
export function wordsOf(draft: Draft, listed: LetteredLine, wanted: string): Words {
  const words: Record<string, string> = {};
  const strays: string[] = [];
  const rest = listed.rest.replace(WORD, (_, name: string, value: string) => {
    const letter = name.toUpperCase();
    if (!wanted.includes(letter)) strays.push(`${letter}${value.slice(0, 12)}`);
    else if (words[letter] === undefined) words[letter] = value;
    else throw new InputError(`found two ${letter} words in ${listed.word}; expected one`, listed);
    return '';
  });
  if (rest.trim() !== '') {
    throw new InputError(
      `found “${rest.trim().slice(0, 24)}” in ${listed.word}; expected words such as X500`,
      listed,
    );
  }
  if (strays.length > 0) {
    leave(
      draft,
      listed,
      `the forecast does not need ${strays.slice(0, 8).join(', ')}${strays.length > 8 ? ' …' : ''}`,
    );
  }
  return words;
}

/** The number behind one letter of an M word: see {@link numberOf}; undefined when the letter is not there. */
export function numberBehind(
  words: Words,
  listed: LetteredLine,
  letter: string,
  what: string,
  range: Range,
  unit: number,
): number | undefined {
  const written = words[letter];
  return written === undefined
    ? undefined
    : numberOf(written, `${listed.word} ${letter}`, what, range, unit, listed.line);
}

/** Tells what a line meant. */
export function tell(draft: Draft, listed: LetteredLine, text: string, doubt?: Told['doubt']): void {
  draft.told.push({ line: listed.line, text: `${shown(listed)}: ${text}.`, ...(doubt && { doubt }) });
}

/** Notes that a line, or a part of it, was not used. */
export function leave(draft: Draft, listed: LetteredLine, why: string): void {
  draft.unused.push({ line: listed.line, text: `${shown(listed)}: ${why}.` });
}

const LONGEST_SHOWN = 60;
function shown({ word, rest }: LetteredLine): string {
  const text = rest === '' ? word : `${word} ${rest}`;
  return text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)}…` : text;
}

/** As many digits as a setting can be worth. */
export const rounded = (value: number): number => Number(value.toPrecision(6));
