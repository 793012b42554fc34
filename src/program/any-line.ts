import { parseLine } from 'gcode-parser';
import { InputError } from '../errors.ts';
import { addWord, type Block, bits, clearBlock, letterIndex, shorten } from './block.ts';
import { verifyChecksum } from './checksum.ts';
import { blankComments } from './comments.ts';
import { controllerLine, type LineKind } from './controller-line.ts';
import { refuseBinary } from './lines.ts';
import { leaveOut, type Notes, understand } from './notes.ts';

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)$/;
/** No length, feed, power or time on a hobby machine needs more than this. */
const LARGEST_NUMBER = 1e16;

/**
 * Reads any line. The words come from `gcode-parser`; but that library passes over what it does not
 * understand (`X0,5` is X0 to it, a letter without a number is nothing), so every character that is neither
 * comment nor blank is accounted for here: it belongs to a word the library returned, or the line is
 * refused, or it is noted as not simulated.
 * @throws {InputError} naming what was found and what was expected.
 */
export function readAnyLine(text: string, block: Block, notes: Notes): LineKind {
  const { line } = block;
  clearBlock(block);
  refuseBinary(text, line);
  if (isMessage(text)) {
    leaveOut(notes, line, 'M117', { effect: 'messages to the operator are not shown', severity: 'note' });
    return 'nothing';
  }

  let code = blankComments(text, line);
  let from = firstOf(code);
  if (from === code.length) return 'nothing';
  if (code[from] === '/') {
    understand(
      notes,
      line,
      'block delete',
      'Lines that begin with “/” are run: the block-delete switch is taken to be off (NISTIR 6556 §2.2.2).',
    );
    code = `${code.slice(0, from)} ${code.slice(from + 1)}`;
    from = firstOf(code);
    if (from === code.length) return 'nothing';
  }
  if (code[from] === '%' && code.slice(from + 1).trim() === '') return 'percent';

  const kind = controllerLine(code.slice(from), line, notes);
  if (kind !== undefined) return kind;
  readWords(text, code, block, notes);
  return 'words';
}

/** Walks over the code and fills the block, word by word. */
function readWords(text: string, code: string, block: Block, notes: Notes): void {
  const { line } = block;
  const parsed = parseLine(code, { lineMode: 'stripped' });
  const bareAt: number[] = [];
  let next = 0;
  let at = firstOf(code);
  while (at < code.length) {
    const character = code[at]!;
    if (character === '*') {
      verifyChecksum(text.slice(0, at), code.slice(at + 1), (block.has & bits('N')) !== 0, line, notes);
      break;
    }
    if (!/[A-Za-z]/.test(character)) throw unknownCharacter(code, at, line);
    const letter = character.toUpperCase();
    const number = numberBehind(code, at);
    if (number.text === '') {
      block.bare |= bits(letter);
      bareAt.push(at);
    } else {
      if (letter === 'E' && at > 0 && /[\d.]/.test(code[at - 1]!)) {
        throw new InputError(
          `found a number with an exponent (“…${shorten(code.slice(at - 1, number.end))}”); expected plain digits, as in 0.001`,
          block,
        );
      }
      if (!NUMBER.test(number.text)) {
        throw new InputError(
          `found ${letter}${shorten(number.text)}; expected one number with at most one sign and one point`,
          block,
        );
      }
      if (number.blankInside && text.slice(at, number.end).includes('(')) {
        throw new InputError('found a comment inside a number; expected it between words', block);
      }
      if (number.blankInside) {
        understand(
          notes,
          line,
          'blank inside a number',
          `${letter}${shorten(code.slice(at + 1, number.end).trim())} was read as ${letter}${shorten(number.text)}: blanks count for nothing, even inside numbers (NISTIR 6556 §3.3).`,
        );
      }
      // The library sets the first N word apart.
      const first = letter === 'N' && !(block.has & bits('N'));
      const [name, value] = first ? ['N', parsed.ln] : (parsed.words[next++] ?? []);
      // Two readers of one line that disagree: refuse rather than trust either.
      if (name !== letter || value !== Number(number.text)) {
        throw new InputError(
          `found ${letter}${shorten(number.text)}, which could not be read for certain`,
          block,
        );
      }
      addChecked(block, letter, Number(value), number.text);
    }
    at = firstOf(code, number.end);
  }
  refuseBare(block, code, bareAt);
}

function addChecked(block: Block, letter: string, value: number, written: string): void {
  if (Math.abs(value) >= LARGEST_NUMBER) {
    throw new InputError(
      `found ${letter}${shorten(written)}; expected a number of a size that fits a machine`,
      block,
    );
  }
  if (letter === 'N' && written.startsWith('-')) {
    throw new InputError(`found the line number ${written}; expected one without a minus`, block);
  }
  // Adding 0 turns −0 into 0.
  addWord(block, letterIndex(letter), value + 0);
}

/** Sign, digits and points behind the letter at `at`, blanks taken out. `end` is the place behind them. */
function numberBehind(code: string, at: number): { text: string; end: number; blankInside: boolean } {
  let text = '';
  let end = at + 1;
  let blankInside = false;
  for (let i = at + 1; i < code.length; i++) {
    const character = code[i]!;
    if (character === ' ' || character === '\t') continue;
    if (!/[\d+\-.]/.test(character)) break;
    if (text !== '' && i > end) blankInside = true;
    text += character;
    end = i + 1;
  }
  return { text, end, blankInside };
}

/**
 * Letters without a number. Only common practice knows them: axes behind G28 or G30, the I of M3, and flags of
 * M words from dialects in which a line holds one command (M84 X Y).
 */
function refuseBare(block: Block, code: string, bareAt: readonly number[]): void {
  if (block.bare === 0) return;
  const g = block.g.subarray(0, block.gCount);
  const m = block.m.subarray(0, block.mCount);
  let allowed = 0;
  if (g.some((code) => Math.trunc(code) === 28 || Math.trunc(code) === 30)) allowed |= bits('XYZABCUVWE');
  if (m.some((code) => code === 3 || code === 4)) allowed |= bits('I');
  if (g.length === 0 && m.some((code) => code > 60)) allowed = ~bits('GMN');
  const at = bareAt.find((place) => (bits(code[place]!.toUpperCase()) & ~allowed) !== 0);
  if (at === undefined) return;
  const letter = code[at]!.toUpperCase();
  const word = /^[A-Za-z]+/.exec(code.slice(at))![0];
  throw new InputError(
    word.length === 1
      ? `found ${letter} without a number; expected one, as in ${letter}10`
      : `found “${shorten(word)}”; expected a number behind the ${letter}, as in ${letter}10`,
    block,
  );
}

function unknownCharacter(code: string, at: number, line: number): InputError {
  const character = String.fromCodePoint(code.codePointAt(at)!);
  if (character === ',') {
    return new InputError('found a comma; expected a point as the decimal sign, as in X0.5', { line });
  }
  if (character === ')') {
    return new InputError('found “)” without a “(” before it; expected a comment in “( )”', { line });
  }
  if (/[\d+\-.]/.test(character)) {
    return new InputError(`found “${character}” with no letter before it; expected a word such as X10`, {
      line,
    });
  }
  const point = character.codePointAt(0)!;
  const shown = `“${character}” (U+${point.toString(16).toUpperCase().padStart(4, '0')})`;
  // What bytes of a picture or an archive become: controls of Latin-1, or the sign for a broken character.
  const binary = (point >= 0x80 && point < 0xa0) || point === 0xfffd;
  return new InputError(
    binary
      ? `found ${shown}, so this is not a text file; expected G-code as plain text`
      : `found ${shown}; expected G-code words such as X10`,
    { line },
  );
}

/** Message words are followed by free text, which is not to be read as G-code. */
const isMessage = (text: string): boolean => /^[ \t]*(N[ \t]*\d+[ \t]*)?M11[78](?![\d.])/i.test(text);

function firstOf(code: string, from = 0): number {
  let at = from;
  while (at < code.length && (code[at] === ' ' || code[at] === '\t')) at++;
  return at;
}
