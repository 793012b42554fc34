import { parseLine } from 'gcode-parser';
import { InputError } from '../errors.ts';
import { addWord, type Block, bits, clearBlock, letterIndex, shorten } from './block.ts';
import { verifyChecksum } from './checksum.ts';
import { blankComments, type TellComment } from './comments.ts';
import { controllerLine, type LineKind } from './controller-line.ts';
import { isEndMark, refuseBinary } from './lines.ts';
import { leaveOut, type Notes, tellOddity, understand } from './notes.ts';
import { decoded, isProse, quoted } from './prose.ts';
import { plainDigits, type Token, tokenAt } from './tokens.ts';

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
/** No length, feed, power or time on a hobby machine needs more than this. */
const LARGEST_NUMBER = 1e16;
/** There are 24 letters besides G and M, and 16 of each of those may stand together. */
const MOST_WORDS = 100;

/**
 * Reads any line. The words come from `gcode-parser`; but that library passes over what it does not
 * understand (`X0,5` is X0 to it, a letter without a number is nothing), so every character that is neither
 * comment nor blank is accounted for here: it belongs to a word the library returned, or the line is
 * refused, or it is noted as not simulated, or the line is told to be no G-code at all.
 * @throws {InputError} naming what was found and what was expected.
 */
export function readAnyLine(text: string, block: Block, notes: Notes): LineKind {
  const { line } = block;
  clearBlock(block);
  if (isEndMark(text)) return 'end mark';
  refuseBinary(text, line);
  // Files have many lines of comment alone.
  if (text[firstOf(text)] === ';') return 'nothing';

  let code = blankComments(text, commentTeller(text, line, notes));
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
  try {
    readWords(text, code, block, notes);
    return 'words';
  } catch (error) {
    if (!(error instanceof InputError) || !isProse(code)) throw error;
    clearBlock(block);
    leaveOutProse(quoted(code), line, notes);
    return 'nothing';
  }
}

/** How many lines that are no G-code are quoted when there are too many of them. */
const MOST_QUOTES = 5;

function leaveOutProse(shown: string, line: number, notes: Notes): void {
  if (notes.prose.length < MOST_QUOTES) notes.prose.push({ line, text: shown });
  tellOddity(notes, line, 'no G-code', () => ({
    found: `${shown}, which is no G-code`,
    readAs: 'the line was left out',
    instead: 'it as a comment, with “;” in front, or leave it out',
  }));
}

/** Tells of messages, and of comments that break the rules. */
const commentTeller =
  (text: string, line: number, notes: Notes): TellComment =>
  (what, from, to) => {
    const shown = (): string => quoted(text.slice(from, to));
    if (what === 'message') {
      leaveOut(notes, line, 'M117', { effect: 'messages to the operator are not shown', severity: 'note' });
    } else if (what === 'comment in a comment') {
      tellOddity(notes, line, what, () => ({
        found: `a “(” inside the comment ${shown()}`,
        readAs: 'the first “)” ended the comment',
        instead: 'a “( )” of its own for each comment, none inside another',
      }));
    } else if (what === 'open comment') {
      tellOddity(notes, line, what, () => ({
        found: `the comment ${shown()}, which does not end`,
        readAs: 'it was read as ending with the line',
        instead: 'a “)” at its end, or “;” instead of the “(”',
      }));
    } else if (what === 'stray )') {
      tellOddity(notes, line, what, () => ({
        found: `${to - from > 1 ? shown() : '“)”'} outside a comment`,
        readAs: 'it was left out',
        instead: 'each “)” with its own “(” before it',
      }));
    }
  };

/** Takes the code apart and fills the block, word by word. Nothing is told before all of it is known to be words. */
function readWords(text: string, code: string, block: Block, notes: Notes): void {
  const { line } = block;
  const { tokens, star } = tokensOf(text, code, line);
  const parsed = parseLine(withoutExponents(code.slice(0, star), tokens), { lineMode: 'stripped' });
  const bareAt: number[] = [];
  let next = 0;
  for (const { letter, number, at } of tokens) {
    if (number === '') {
      block.bare |= bits(letter);
      bareAt.push(at);
      continue;
    }
    // The library sets the first N word apart.
    const first = letter === 'N' && !(block.has & bits('N'));
    const [name, value] = first ? ['N', parsed.ln] : (parsed.words[next++] ?? []);
    // Two readers of one line that disagree: refuse rather than trust either.
    if (name !== letter || value !== Number(number)) {
      throw new InputError(`found ${letter}${shorten(number)}, which could not be read for certain`, block);
    }
    addChecked(block, letter, Number(value), number);
  }
  refuseBare(block, code, bareAt);
  for (const token of tokens) tellToken(token, code, line, notes);
  tellRepeats(tokens, line, notes);
  if (star < code.length) {
    verifyChecksum(text.slice(0, star), code.slice(star + 1), (block.has & bits('N')) !== 0, line, notes);
  }
}

/** The code as the library can read it, which knows no exponents: each number in plain digits. */
const withoutExponents = (code: string, tokens: readonly Token[]): string =>
  tokens
    .filter(({ exponent }) => exponent)
    .reduceRight(
      (text, { at, end, number }) => `${text.slice(0, at + 1)}${plainDigits(number)} ${text.slice(end)}`,
      code,
    );

/** The letters of a line with their numbers, and where its checksum begins. @throws {InputError} at anything else. */
function tokensOf(text: string, code: string, line: number): { tokens: Token[]; star: number } {
  const tokens: Token[] = [];
  let at = firstOf(code);
  while (at < code.length && code[at] !== '*') {
    if (!/[A-Za-z]/.test(code[at]!)) throw unknownCharacter(code, at, line);
    if (tokens.length === MOST_WORDS) {
      throw new InputError(`found more than ${MOST_WORDS} words on one line; expected a few`, { line });
    }
    const token = tokenAt(code, at);
    refuseToken(token, text, code, line);
    tokens.push(token);
    at = firstOf(code, token.end);
  }
  return { tokens, star: at };
}

/** Refuses a letter and number that are no word for certain. */
function refuseToken(token: Token, text: string, code: string, line: number): void {
  const { letter, number, at, end } = token;
  const isBehindNumber = at > 0 && /[\d.]/.test(code[at - 1]!);
  const shown = `“…${shorten(code.slice(at - 1, end))}”`;
  if (letter === 'O' && isBehindNumber) {
    throw new InputError(
      `found the letter O behind a number (${shown}); expected the digit 0, or a blank between`,
      { line },
    );
  }
  if (letter === 'E' && number !== '' && isBehindNumber) {
    throw new InputError(
      `found ${shown}, which may be an exponent or an E word; expected plain digits, as in 0.001, or a blank before the E`,
      { line },
    );
  }
  if (number === '') return;
  if (!NUMBER.test(number)) {
    throw new InputError(
      `found ${letter}${shorten(number)}; expected one number with at most one sign and one point`,
      { line },
    );
  }
  if (token.blankInside && /[()]/.test(text.slice(at, end))) {
    throw new InputError('found a comment inside a number; expected it between words', { line });
  }
}

/** Tells how a doubtful number was read. */
function tellToken(token: Token, code: string, line: number, notes: Notes): void {
  const { letter, number, at, end } = token;
  if (token.blankInside) {
    understand(
      notes,
      line,
      'blank inside a number',
      `${letter}${shorten(code.slice(at + 1, end).trim())} was read as ${letter}${shorten(number)}: blanks count for nothing, even inside numbers (NISTIR 6556 §3.3).`,
    );
  }
  if (token.exponent) {
    tellOddity(notes, line, 'exponent', () => ({
      found: `${letter}${shorten(number)}, a number with an exponent`,
      readAs: `it was read as ${letter}${shorten(plainDigits(number))}`,
      instead: 'plain digits, as in 0.001',
    }));
  }
}

/** Tells of letters that stand again with another number. G and M words are several anyway. */
function tellRepeats(tokens: readonly Token[], line: number, notes: Notes): void {
  const before = new Map<string, string>();
  for (const { letter, number } of tokens) {
    if (letter === 'G' || letter === 'M') continue;
    const other = before.get(letter);
    before.set(letter, number);
    if (other === undefined || Number(other) === Number(number)) continue;
    tellOddity(notes, line, 'repeated letter', () => ({
      found: `both ${letter}${shorten(other)} and ${letter}${shorten(number)}`,
      readAs: 'the last counts',
      instead: 'each letter once on a line',
    }));
  }
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

/**
 * Letters without a number. Only common practice knows them: axes behind G28 or G30, the I of M3 to M5, and flags of
 * M words from dialects in which a line holds one command (M84 X Y).
 */
function refuseBare(block: Block, code: string, bareAt: readonly number[]): void {
  if (block.bare === 0) return;
  const g = block.g.subarray(0, block.gCount);
  const m = block.m.subarray(0, block.mCount);
  let allowed = 0;
  if (g.some((code) => Math.trunc(code) === 28 || Math.trunc(code) === 30)) allowed |= bits('XYZABCUVWE');
  if (m.some((code) => code === 3 || code === 4 || code === 5)) allowed |= bits('I');
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
  const character = String.fromCodePoint(characterAt(code, at));
  if (character === ',') {
    return new InputError('found a comma; expected a point as the decimal sign, as in X0.5', { line });
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

/** Bytes of UTF-8 take up to four places, which stand together. */
const NOT_ASCII = /[^\0-\x7f]+/y;

/** The character that stands at `at`, as whoever wrote the file sees it. */
function characterAt(code: string, at: number): number {
  NOT_ASCII.lastIndex = at;
  return decoded(NOT_ASCII.exec(code)?.[0] ?? code[at]!).codePointAt(0)!;
}

function firstOf(code: string, from = 0): number {
  let at = from;
  while (at < code.length && (code[at] === ' ' || code[at] === '\t')) at++;
  return at;
}
