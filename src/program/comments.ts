import { InputError } from '../errors.ts';

/**
 * The line with every comment blanked out, character for character, so that places in the result are places
 * in the line. Comments are `( … )`, which may not be nested and must close on their line (NISTIR 6556
 * §3.3.4), and, by common practice, `; …` to the end of the line.
 * @throws {InputError} at a nested or unclosed comment: controllers differ in where such a comment ends, so
 *   there is no telling which words would be run.
 */
export function blankComments(text: string, line: number): string {
  let code = '';
  let at = 0;
  while (at < text.length) {
    const open = nextOf(text, at, '(', ';');
    code += text.slice(at, open);
    if (open === text.length) break;
    if (text[open] === ';') return code + ' '.repeat(text.length - open);
    const close = nextOf(text, open + 1, ')', '(');
    if (close === text.length) {
      throw new InputError('found a comment that does not end; expected a “)” on the same line', { line });
    }
    if (text[close] === '(') {
      throw new InputError('found a comment inside a comment; expected “)” before the next “(”', { line });
    }
    code += ' '.repeat(close + 1 - open);
    at = close + 1;
  }
  return code;
}

/** Where the nearer of two characters stands, or the length of the text. */
function nextOf(text: string, from: number, one: string, other: string): number {
  for (let at = from; at < text.length; at++) {
    if (text[at] === one || text[at] === other) return at;
  }
  return text.length;
}
