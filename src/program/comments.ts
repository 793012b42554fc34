/** What stands in a line besides words: a comment or message, or something odd about one; from where to where. */
export type TellComment = (
  what: 'comment' | 'message' | 'comment in a comment' | 'stray )' | 'open comment',
  from: number,
  to: number,
) => void;

/** M117 or M118, whose free text goes to the end of the line and is not to be read as G-code. */
const MESSAGE = /(?<![A-Za-z])M[ \t]*0*11[78](?![\d.])/i;
/** Words and nothing else. */
const WORDS = /^[ \t]*(?:[A-Za-z][ \t]*[-+]?[\d.]+[ \t]*)*$/;

/**
 * The line with every comment and message blanked out, character for character, so that places in the result are
 * places in the line. Comments are `( … )`, which close on their line and cannot be nested (NISTIR 6556
 * §3.3.4), and, by common practice, `; …` to the end of the line. Where a comment breaks these rules it is read as
 * most hobby controllers do: the first `)` ends it, whatever `(` stands inside; one that does not end takes the
 * rest of the line; a `)` outside is left out, and with it what stands between the end of a nested comment and the
 * `)` that was meant to end it, unless that is words of G-code.
 */
export function blankComments(text: string, tell: TellComment = () => {}): string {
  let code = '';
  let nestedEnd = -1;
  while (code.length < text.length) {
    const mark = nextMark(text, code.length);
    const piece = text.slice(code.length, mark);
    const message = MESSAGE.exec(piece);
    if (message !== null) {
      code += piece.slice(0, message.index);
      tell('message', code.length, text.length);
      break;
    }
    code += piece;
    if (mark === text.length) break;
    if (text[mark] === ';') {
      tell('comment', mark, text.length);
      break;
    }
    if (text[mark] === ')') {
      const isWords = nestedEnd < 0 || WORDS.test(code.slice(nestedEnd));
      tell('stray )', isWords ? mark : nestedEnd, mark + 1);
      if (!isWords) code = code.slice(0, nestedEnd);
      code = code.padEnd(mark + 1);
      nestedEnd = -1;
      continue;
    }
    const close = text.indexOf(')', mark + 1);
    const end = close < 0 ? text.length : close + 1;
    tell('comment', mark, end);
    if (close < 0) tell('open comment', mark, end);
    else if (text.slice(mark + 1, close).includes('(')) {
      tell('comment in a comment', mark, end);
      nestedEnd = end;
    }
    code = code.padEnd(end);
  }
  return code.padEnd(text.length);
}

/** The comments and messages of a line, as they stand there, with a blank between them. */
export function commentsIn(text: string): string {
  const comments: string[] = [];
  blankComments(text, (what, from, to) => {
    if (what === 'comment' || what === 'message') comments.push(text.slice(from, to));
  });
  return comments.join(' ');
}

/** Where the next character stands that begins or ends a comment, or the length of the text. */
function nextMark(text: string, from: number): number {
  for (let at = from; at < text.length; at++) {
    const character = text[at];
    if (character === '(' || character === ';' || character === ')') return at;
  }
  return text.length;
}
