import { InputError } from '../errors.ts';
import { checksumOf } from '../program/checksum.ts';
import { blankComments, commentsIn } from '../program/comments.ts';
import { tokenAt } from '../program/tokens.ts';

/** One word of a line: its letter (capital) and number, and where it stands in the line. */
export interface Word {
  readonly letter: string;
  /** NaN where the letter stands without a number. */
  readonly value: number;
  readonly from: number;
  /** The place behind its last digit. */
  readonly to: number;
}

/** A line that is to be edited: its words, and the changes so far. The line itself stays as it is. */
export interface LineEdit {
  readonly text: string;
  readonly line: number;
  readonly words: readonly Word[];
  /** Where the `*` of a checksum stands; −1: none. */
  readonly star: number;
  /** Put between words that are added; empty where the file writes its words without blanks. */
  readonly gap: string;
  /** New text for words, by their place in `words`; empty: taken out. */
  readonly replaced: Map<number, string>;
  readonly inFront: string[];
  readonly behind: string[];
}

/** Takes a line of words apart. Characters of comments, and a “/” in front, belong to no word. */
export function startEdit(text: string, line: number, gap: string): LineEdit {
  const code = blankComments(text);
  const star = code.indexOf('*');
  const behind = star < 0 ? code.length : star;
  const words: Word[] = [];
  for (let at = 0; at < behind; ) {
    if (!/[A-Za-z]/.test(code[at]!)) {
      at++;
      continue;
    }
    const { letter, number, end } = tokenAt(code, at);
    words.push({ letter, value: number === '' ? Number.NaN : Number(number) + 0, from: at, to: end });
    at = end;
  }
  return { text, line, words, star, gap, replaced: new Map(), inFront: [], behind: [] };
}

/** Where the word of a letter stands in the list: the last of them, which is the one that counts; −1: nowhere. */
export const findWord = (edit: LineEdit, letter: string): number =>
  edit.words.findLastIndex((word) => word.letter === letter);

/** The codes of the line's G or M words. */
export const codesOf = (edit: LineEdit, letter: 'G' | 'M'): number[] =>
  edit.words.filter((word) => word.letter === letter).map(({ value }) => value);

/** Gives a word another number, or adds the word behind the others. */
export function setWord(edit: LineEdit, letter: string, number: string): void {
  const at = findWord(edit, letter);
  if (at < 0) edit.behind.push(letter + number);
  else edit.replaced.set(at, letter + number);
}

export function takeOut(edit: LineEdit, unwanted: (word: Word) => boolean): void {
  edit.words.forEach((word, k) => {
    if (unwanted(word)) edit.replaced.set(k, '');
  });
}

/** Whether words other than a line number are left. */
export const holdsWords = (edit: LineEdit): boolean =>
  edit.behind.length > 0 ||
  edit.inFront.length > 0 ||
  edit.words.some((word, k) => word.letter !== 'N' && edit.replaced.get(k) !== '');

const isChanged = (edit: LineEdit): boolean =>
  edit.replaced.size > 0 || edit.inFront.length > 0 || edit.behind.length > 0;

/** The line with its changes, its checksum brought up to date. */
export function editedLine(edit: LineEdit): string {
  const { text, words, gap, star } = edit;
  if (!isChanged(edit)) return text;
  let made = '';
  let from = 0;
  const first = words.findIndex(({ letter }) => letter !== 'N');
  words.forEach((word, k) => {
    if (k === first) {
      made += text.slice(from, word.from) + edit.inFront.map((each) => each + gap).join('');
      from = word.from;
    }
    const replacement = edit.replaced.get(k);
    if (replacement === '') {
      made += text.slice(from, word.from);
      from = word.to;
      // The blanks in front of the word go with it; at the beginning of the line, those behind it.
      if (made.trimEnd() === '') from += /^[ \t]*/.exec(text.slice(from))![0].length;
      else made = made.trimEnd();
    } else if (replacement !== undefined) {
      made += text.slice(from, word.from) + replacement;
      from = word.to;
    }
    if (k === words.length - 1) {
      made += text.slice(from, word.to) + edit.behind.map((each) => gap + each).join('');
      from = Math.max(from, word.to);
    }
  });
  if (star < 0) return made + text.slice(from);
  const covered = made + text.slice(from, star);
  return `${covered}*${checksumOf(covered.trimStart())}${afterChecksum(edit)}`;
}

/** What stands behind the checksum's digits. */
function afterChecksum({ text, star, line }: LineEdit): string {
  const [, digits, after] = /^[ \t]*(\d*)(.*)$/.exec(text.slice(star + 1))!;
  if (digits!.length > 3 || Array.from(text.slice(0, star)).some((character) => character > '\u007f')) {
    throw new InputError(
      `found the check number *${digits} on a line that has to change; expected a checksum by exclusive or over plain ASCII, the only kind that can be worked out anew`,
      { line },
    );
  }
  return after!;
}

/** What is left of a line when its words go: its comments. */
export const commentsOf = ({ text }: LineEdit): string => commentsIn(text);

/** A number as G-code holds it: at most `decimals` behind the point, no exponent, no needless zeros. */
export function written(value: number, decimals: number): string {
  if (Number.isSafeInteger(value)) return String(value + 0);
  const text = value.toFixed(decimals);
  return text.includes('.') ? text.replace(/\.?0+$/, '').replace(/^-0$/, '0') : text;
}
