import { type Block, MOST_CODES } from './block.ts';

/** Powers of ten that a double holds exactly: an integer below 2^53 divided by one is correctly rounded. */
const POWER_OF_TEN = Float64Array.from({ length: 23 }, (_, k) => 10 ** k);
const LARGEST_MANTISSA = 2 ** 53;

const TAB = 9;
const SPACE = 32;
const PLUS = 43;
const MINUS = 45;
const POINT = 46;
const ZERO = 48;
const NINE = 57;
const LOWER_CASE = 32;
const LOWER_A = 97;
const E = 4;
const G = 6;
const M = 12;
const N = 13;
const O = 14;

/**
 * Reads a plain line: only letters, each followed by a number, and blanks between the words. Nearly every
 * line of a big job is one, and this reads it without making an object.
 *
 * It only ever accepts: at anything else (a comment, a message, a checksum, a blank inside a number, a repeated
 * letter, `X1e3`, too many digits) it gives up and returns false, and the line goes to `readAnyLine`, which
 * explains itself. A test holds the two to the same words.
 *
 * @returns whether `block` now holds the line's words.
 */
export function readPlainLine(text: string, start: number, end: number, block: Block): boolean {
  const { value, g, m } = block;
  let has = 0;
  let gCount = 0;
  let mCount = 0;
  let at = start;
  let code = at < end ? text.charCodeAt(at) : 0;

  for (;;) {
    while (code === SPACE || code === TAB) code = ++at < end ? text.charCodeAt(at) : 0;
    if (at >= end) break;

    // The letter. Bit 5 makes ASCII letters lower case; what is no letter falls outside a…z.
    const letter = (code | LOWER_CASE) - LOWER_A;
    if (letter < 0 || letter > 25 || letter === O) return false;
    if (letter === E && at > start && isDigitOrPoint(text.charCodeAt(at - 1))) return false;
    code = ++at < end ? text.charCodeAt(at) : 0;
    while (code === SPACE || code === TAB) code = ++at < end ? text.charCodeAt(at) : 0;

    // The number: sign, digits, point, digits.
    const negative = code === MINUS;
    if (negative || code === PLUS) code = ++at < end ? text.charCodeAt(at) : 0;
    let mantissa = 0;
    let digits = 0;
    while (code >= ZERO && code <= NINE) {
      mantissa = mantissa * 10 + (code - ZERO);
      digits++;
      code = ++at < end ? text.charCodeAt(at) : 0;
    }
    let decimals = 0;
    if (code === POINT) {
      code = ++at < end ? text.charCodeAt(at) : 0;
      while (code >= ZERO && code <= NINE) {
        mantissa = mantissa * 10 + (code - ZERO);
        decimals++;
        code = ++at < end ? text.charCodeAt(at) : 0;
      }
    }
    if (digits + decimals === 0 || mantissa >= LARGEST_MANTISSA || decimals > 22) return false;
    const size = decimals === 0 ? mantissa : mantissa / POWER_OF_TEN[decimals]!;
    const number = negative ? 0 - size : size;

    // What follows a number is a blank, the next letter or the end; digits after a blank are doubtful.
    if (code === SPACE || code === TAB) {
      while (code === SPACE || code === TAB) code = ++at < end ? text.charCodeAt(at) : 0;
      if (isDigitOrPoint(code) || code === PLUS || code === MINUS) return false;
    }

    if (letter === G) {
      if (gCount === MOST_CODES) return false;
      g[gCount++] = number;
    } else if (letter === M) {
      // What follows M117 and M118 is text.
      if (mCount === MOST_CODES || number === 117 || number === 118) return false;
      m[mCount++] = number;
    } else {
      const bit = 1 << letter;
      if (has & bit || (letter === N && negative)) return false;
      has |= bit;
      value[letter] = number;
    }
  }

  block.has = has;
  block.bare = 0;
  block.gCount = gCount;
  block.mCount = mCount;
  return true;
}

const isDigitOrPoint = (code: number): boolean => (code >= ZERO && code <= NINE) || code === POINT;
