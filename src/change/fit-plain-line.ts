import { type Block, bits, letterIndex } from '../program/block.ts';
import { readPlainLine } from '../program/plain-line.ts';
import type { State } from '../program/state.ts';
import { mmPerMinToMmPerS } from '../units.ts';
import type { Wanted } from './cursor.ts';
import { feedNumber, sNumber } from './fit-line.ts';

/**
 * The fast way for the lines a big job is made of: plain words, in which nothing but the numbers of S and F
 * may have to change. It gives up (undefined) at anything else, and the line goes to `fitLine`; a test holds
 * the two to the same lines.
 *
 * The caller has made sure that the head goes the same way, from the same place and under the same words.
 * @param block scratch; filled with the line's words.
 * @returns the line as it shall stand; null: as it stands.
 */
export function fitPlainLine(
  text: string,
  start: number,
  end: number,
  wanted: Wanted,
  state: State,
  block: Block,
): string | null | undefined {
  if (!readPlainLine(text, start, end, block)) return undefined;
  if (block.mCount > 0 || block.gCount > 1 || (block.gCount === 1 && block.g[0]! > 3)) return undefined;
  const s = settled(block, S, state.power.spindleS, wanted.s, wanted.jobS);
  if (wanted.sMatters && s !== wanted.s) return undefined;
  const said = block.has & F ? mmPerMinToMmPerS(block.value[letterIndex('F')]! * state.mmPerUnit) : 0;
  const feedChanges = said > 0 && said === wanted.jobFeedMmPerS && said !== wanted.feedMmPerS;
  const feed = feedChanges ? wanted.feedMmPerS : said > 0 ? said : state.feedMmPerS;
  if (wanted.feedMatters && feed !== wanted.feedMmPerS) return undefined;

  const sChanges = (block.has & S) !== 0 && s !== block.value[letterIndex('S')];
  if (!sChanges && !feedChanges) return null;
  let line = text.slice(start, end);
  if (sChanges) line = withNumber(line, 'S', sNumber(s));
  if (feedChanges) line = withNumber(line, 'F', feedNumber(feed, state));
  return line;
}

const S = bits('S');
const F = bits('F');

/** S after the line, its word changed if it was meant for what comes next. */
function settled(block: Block, bit: number, now: number, wanted: number, was: number): number {
  if ((block.has & bit) === 0) return now;
  const said = block.value[letterIndex('S')]!;
  return said === was ? wanted : said;
}

/** A plain line with another number behind its one `letter`. */
function withNumber(line: string, letter: string, number: string): string {
  let from = line.indexOf(letter);
  if (from < 0) from = line.indexOf(letter.toLowerCase());
  let to = from + 1;
  while (to < line.length && isOfNumber(line.charCodeAt(to))) to++;
  while (isBlank(line.charCodeAt(to - 1))) to--;
  return line.slice(0, from) + letter + number + line.slice(to);
}

const isBlank = (code: number): boolean => code === 32 || code === 9;
/** Digits, the point, signs and blanks. */
const isOfNumber = (code: number): boolean =>
  (code >= 48 && code <= 57) || code === 46 || code === 45 || code === 43 || isBlank(code);
