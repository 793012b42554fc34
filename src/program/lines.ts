import { InputError } from '../errors.ts';

/** G-code text: whole, or in pieces that may be cut anywhere, even inside a number or a line end. */
export type TextSource = string | Iterable<string>;

/** No job has lines like this; a longer one is a file of another kind, and would eat memory. */
export const LONGEST_LINE = 1_000_000;

/** A file may be filled up with more NULs than a line has characters; a device gives them without end. */
const MOST_PADDING = 32_000_000;

const LF = 10;
const CR = 13;

/** Byte-order marks: as one character, and as the three bytes of UTF-8 read as Latin-1. */
const MARKS = ['\uFEFF', '\u00EF\u00BB\u00BF'];

/**
 * Calls `visit` for each line with the text that holds it, its first index, the index after its last
 * character (the line end excluded) and its 1-based number. Lines end with LF, CRLF or a lone CR. Whole lines
 * are visited in place, without copying them out of their chunk; only a line that a chunk breaks off is
 * joined up.
 * @returns how many lines there are; what follows the last line end counts if it holds a character.
 * @throws {InputError} at a line of more than `LONGEST_LINE` characters.
 */
export function eachLine(
  source: TextSource,
  visit: (text: string, start: number, end: number, line: number) => void,
): number {
  let line = 0;
  let tail = '';
  let swallowLf = false;
  let padding = 0; // NULs that were let go

  const emit = (text: string, start: number, end: number) => {
    line++;
    if (end - start > LONGEST_LINE) throw tooLong(line);
    visit(text, line === 1 ? start + markLength(text, start) : start, end, line);
  };

  for (const chunk of typeof source === 'string' ? [source] : source) {
    let start = 0;
    if (swallowLf && chunk.length > 0) {
      if (chunk.charCodeAt(0) === LF) start = 1;
      swallowLf = false;
    }
    let lf = chunk.indexOf('\n', start);
    let cr = chunk.indexOf('\r', start);
    while (lf >= 0 || cr >= 0) {
      const end = cr >= 0 && (lf < 0 || cr < lf) ? cr : lf;
      if (tail === '') {
        emit(chunk, start, end);
      } else {
        const joined = tail + chunk.slice(start, end);
        tail = '';
        emit(joined, 0, joined.length);
      }
      start = end + 1;
      if (end === cr) {
        if (start === chunk.length) swallowLf = true;
        else if (chunk.charCodeAt(start) === LF) start++;
        cr = chunk.indexOf('\r', start);
      }
      if (lf >= 0 && lf < start) lf = chunk.indexOf('\n', start);
    }
    if (start < chunk.length) tail += chunk.slice(start);
    if (tail.length > LONGEST_LINE && padding < MOST_PADDING) {
      const from = paddingFrom(tail, 0, tail.length);
      // Where nothing stands before them they fill up nothing.
      const kept = line === 0 && from === 0 ? tail.length : from + 1;
      padding += Math.max(0, tail.length - kept);
      tail = tail.slice(0, kept);
    }
    if (tail.length > LONGEST_LINE) throw tooLong(line + 1);
  }
  if (tail !== '') emit(tail, 0, tail.length);
  return line;
}

function markLength(text: string, start: number): number {
  return MARKS.find((mark) => text.startsWith(mark, start))?.length ?? 0;
}

const tooLong = (line: number) =>
  new InputError(`found a line of more than ${LONGEST_LINE} characters; expected lines of G-code`, { line });

/** Code 26, which old disks put at the end of a text, and fill it up with, or with NULs. */
const END_MARK = '\x1a';

/** Whether a line behind the end of a job holds nothing but what fills up a disk. */
export const isFilling = (text: string): boolean =>
  text.replaceAll(END_MARK, '').replaceAll('\0', '').trim() === '';

/** Where the NULs begin that a line ends with, as they pad files on disks and cards; `end` where there are none. */
export function paddingFrom(text: string, start: number, end: number): number {
  let at = end;
  while (at > start && text.charCodeAt(at - 1) === 0) at--;
  return at;
}

/** Whether a line is the mark for the end of a text. */
export const isEndMark = (text: string): boolean => text.includes(END_MARK) && isFilling(text);

/** UTF-16 read a byte a character: its byte-order marks, or ASCII with every other byte a NUL. */
const TWO_BYTES = /^(?:\u00ff\u00fe|\u00fe\u00ff)|^\0?(?:[^\0]\0){2,}[^\0]?$/;

const twoBytes = (line: number) =>
  new InputError(
    'found text of two bytes a character (UTF-16); expected G-code as plain text: save it as UTF-8',
    { line, topic: 'size' },
  );

/**
 * Refuses characters that no text holds: NUL bytes (a picture, an archive, text in UTF-16) and control
 * characters other than the tab.
 */
export function refuseBinary(text: string, line: number): void {
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code >= 32 ? code !== 127 : code === 9 || code === LF || code === CR) continue;
    if (code === 0 && TWO_BYTES.test(text)) throw twoBytes(line);
    throw code === 0 ? noText('a NUL character', line) : noText(`a control character (code ${code})`, line);
  }
}

const noText = (shown: string, line: number) =>
  new InputError(`found ${shown}, so this is not a text file; expected G-code as plain text`, { line });

/** The error for NULs at the end of a line where they do not pad the file, as the text goes on behind them. */
export function hole(line: number, textBehind: string): InputError {
  return TWO_BYTES.test(textBehind) ? twoBytes(line) : noText('a NUL character', line);
}
