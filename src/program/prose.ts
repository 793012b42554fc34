import { shorten } from './block.ts';

/** What damaged G-code begins like, however it goes on: `X0,5`, `G1.2.3`, `X\u22121`, `GO` for `G0`. */
const LIKE_A_WORD = /^(?:[GMXYZIJKRSFPN]{1,2}[^\p{L}\d]{0,4}\d|[GM]O+\d*$)/iu;
const LONE_LETTER = /^[GMXYZIJKRSFPN]$/i;
const NUMBER_FIRST = /^[-+.\d]/;
const LINE_NUMBER = /^[ \t]*N[ \t]*\d+[ \t]+/i;
/** Controls of Latin-1 and the sign for a broken character: what bytes of a picture or an archive become. */
const BINARY = /[\u0080-\u009f\ufffd]/;

/**
 * Whether a line that cannot be read as words is no G-code at all (a title, a ruler of dashes, a leftover) and not
 * G-code that is damaged: nothing in it looks like a word that would move the head or switch the beam.
 * @param code the line with its comments blanked out.
 */
export function isProse(code: string): boolean {
  const text = decoded(code).replace(LINE_NUMBER, '');
  if (BINARY.test(text)) return false;
  const pieces = text.split(/[ \t]+/);
  const looksLikeCode = pieces.some(
    (piece, k) =>
      LIKE_A_WORD.test(piece) || (LONE_LETTER.test(piece) && NUMBER_FIRST.test(pieces[k + 1] ?? '')),
  );
  return !looksLikeCode && (/\p{L}{2}/u.test(text) || !/\p{L}/u.test(text));
}

/** Text of the file as a message quotes it: short, and readable where its bytes are UTF-8. */
export const quoted = (text: string): string => `“${shorten(decoded(text.slice(0, 1000)).trim())}”`;

/** Text whose bytes were read as one character each, if it is UTF-8; other text as it is. */
export function decoded(text: string): string {
  if (!/[\u0080-\u00ff]/.test(text) || /[\u0100-\uffff]/.test(text)) return text;
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(
      Uint8Array.from(text, (character) => character.charCodeAt(0)),
    );
  } catch {
    return text;
  }
}
