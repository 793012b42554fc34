import { InputError } from '../../errors.ts';

/**
 * A settings listing as people paste it, cut into its lines: settings of either family, units, and text that
 * is no setting. Echo prefixes, clock times, prompts and comments are taken off; acknowledgements (`ok`) and
 * blank lines are dropped.
 */
export type ListingLine = NumberedLine | LetteredLine | TextLine;

interface Line {
  /** 1-based. */
  readonly line: number;
}

/** `$110=6000`. */
export interface NumberedLine extends Line {
  readonly kind: 'numbered';
  readonly n: number;
  /** What stands behind the `=`, as written. */
  readonly value: string;
}

/** `M203 X500 Y500`, or a G word. */
export interface LetteredLine extends Line {
  readonly kind: 'lettered';
  /** `M203`: letter and number, without leading zeros. */
  readonly word: string;
  /** What stands behind the word, as written. */
  readonly rest: string;
  /** Its own comment, or the text of the line before: listings print their units there. */
  readonly caption: string;
}

export interface TextLine extends Line {
  readonly kind: 'text';
  readonly text: string;
  /** It stands over a setting, and says what that is. */
  isCaption: boolean;
}

/** `[10:21:07.113]`, `10:21:07`. */
const CLOCK = /^\[?\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)?\]?[ \t:>-]*/;
/** What terminals put before what a controller said. */
const ECHO = /^(?:(?:echo|recv|received|rx)[ \t]*[: \t][ \t]*|>+[ \t]*|<{2,}[ \t]*|<[ \t]+)/i;
const NUMBERED = /^\$[ \t]*(\d{1,6})[ \t]*=(.*)$/;
const LETTERED = /^([GM])[ \t]*0*(\d{1,5}(?:\.\d)?)(?![\d.])(.*)$/i;
/** Text with something like a setting in it is a damaged setting, not a caption. */
const SETTING = /(\$|[GM])[ \t]*\d/i;
/** Some controllers print what a setting means behind it. */
const COMMENT = /[;(].*$/;
const LONGEST_LINE = 2000;

/**
 * @throws {InputError} when the text is no text, or a line is too long to be of a listing.
 */
export function listingLines(text: string): ListingLine[] {
  const lines: ListingLine[] = [];
  let before: ListingLine | undefined;
  text.split(/\r\n|\r|\n/).forEach((raw, index) => {
    const line = index + 1;
    refuseOtherFiles(raw, line);
    const code = stripped(raw);
    if (/^(ok)?$/i.test(code)) return;
    const made = lineOf(code, line, before?.kind === 'text' ? before.text : '');
    if (before?.kind === 'text' && made.kind === 'lettered' && !SETTING.test(before.text)) {
      before.isCaption = true;
    }
    lines.push(made);
    before = made;
  });
  return lines;
}

/** A line by itself, for those who only ask whether it holds a setting. */
export const listingLine = (raw: string): ListingLine => lineOf(stripped(raw), 1, '');

function lineOf(code: string, line: number, captionBefore: string): ListingLine {
  const numbered = NUMBERED.exec(code);
  if (numbered) return { kind: 'numbered', line, n: Number(numbered[1]), value: uncommented(numbered[2]!) };
  const lettered = LETTERED.exec(code);
  if (lettered) {
    const [, letter, number, tail] = lettered;
    const comment = tail!.search(COMMENT);
    return {
      kind: 'lettered',
      line,
      word: `${letter!.toUpperCase()}${number}`,
      rest: uncommented(tail!),
      caption: comment < 0 ? captionBefore : tail!.slice(comment + 1),
    };
  }
  return { kind: 'text', line, text: code, isCaption: false };
}

const uncommented = (tail: string): string => tail.replace(COMMENT, '').trim();

/** Takes off marks, clock times, prefixes and the sign of a comment. */
function stripped(raw: string): string {
  let code = raw.replace(/^(\uFEFF|\u00EF\u00BB\u00BF)/, '').trim();
  for (let before = ''; before !== code; ) {
    before = code;
    code = code
      .replace(CLOCK, '')
      .replace(ECHO, '')
      .replace(/^;[ \t]*/, '')
      .trim();
  }
  return code;
}

function refuseOtherFiles(raw: string, line: number): void {
  const odd = /(?!\t)\p{Cc}|\ufffd/u.exec(raw);
  if (odd) {
    throw new InputError(
      `found a control character (code ${odd[0].charCodeAt(0)}), so this is not a text file; expected a settings listing`,
      { line },
    );
  }
  if (raw.length > LONGEST_LINE) {
    throw new InputError(
      `found a line of ${raw.length} characters; expected the short lines of a settings listing`,
      { line },
    );
  }
}
