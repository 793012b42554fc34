import { listingLine } from '../machine/listing/lines.ts';
import { EXPONENT } from '../program/tokens.ts';
import type { Recognised } from './file-kind.ts';

/** So many lines with moves tell what a file is. */
const MOST_MOVES = 2000;
/** So many lines are looked at, comments and all: printers' files may begin with a picture in comments. */
const MOST_LINES = 20_000;
/** No line of any such file is longer than this. */
const LONGEST_LINE = 1000;

/** A motion word, behind other words or none. */
const MOTION = /^\/?[ \t]*(?:[A-Z][ \t]*[-+.\d]+[ \t]*)*?G[ \t]*0*([0-3])(?![\d.])/i;
/** A line that goes on with the motion in force. */
const GOES_ON = /^(?:[NFS][ \t]*[-+.\d]+[ \t]*)*[XYZ][ \t]*[-+.\d]/i;
const TO_A_PLACE = /[XYZ][ \t]*[-+.\d]/i;
const ALONG_THE_BED = /[XY][ \t]*[-+.\d]/i;
const FEEDS_FILAMENT = /E[ \t]*[-+.\d]/i;
/** What the reader of jobs takes for an exponent is no E word. */
const EXPONENTS = new RegExp(`(?<=[\\d.])${EXPONENT.source}`, 'g');
const BEAM = /^(?:N[ \t]*\d+[ \t]*)?M[ \t]*0*[345](?!\d)/i;
/** Words of printed settings: steps, limits, corners, offsets. */
const SETTING_WORDS = /^M(?:92|20[1-8]|566)$/;

/** What the lines of a text hold. */
interface Counts {
  /** Lines that move the head, */
  moves: number;
  /** feed moves along the bed, and those among them with an E word. */
  feeds: number;
  withFilament: number;
  beams: number;
  settings: number;
}

/** G-code or a controller's listing; null where the text is neither. */
export function gcodeOf(head: string): Recognised | null {
  const { moves, feeds, withFilament, beams, settings } = countLines(head);
  if (withFilament >= 2 && withFilament > feeds / 2) {
    const where = feeds > withFilament ? `${withFilament} of ${feeds}` : `all ${feeds}`;
    return {
      kind: 'printer job',
      what: `G-code of a filament printer (E words on ${where} feed moves looked at)`,
    };
  }
  if (moves > 0 || beams > 0) return { kind: 'job', what: 'G-code', holdsSettings: settings > 0 };
  return settings > 0 ? { kind: 'listing', what: 'the settings listing of a controller' } : null;
}

function countLines(head: string): Counts {
  const counts: Counts = { moves: 0, feeds: 0, withFilament: 0, beams: 0, settings: 0 };
  let feedsNow = false;
  for (let start = 0, line = 0; start < head.length && line < MOST_LINES; line++) {
    const end = lineEnd(head, start);
    if (end - start <= LONGEST_LINE) feedsNow = countLine(head.slice(start, end), feedsNow, counts);
    if (counts.moves >= MOST_MOVES) break;
    start = end + 1;
  }
  return counts;
}

/** Where the line that begins at `start` ends: at either sign of a line end. */
function lineEnd(head: string, start: number): number {
  for (let at = start; at < head.length; at++) {
    const code = head.charCodeAt(at);
    if (code === 10 || code === 13) return at;
  }
  return head.length;
}

/** @returns whether a feed motion is in force behind the line. */
function countLine(raw: string, feedsNow: boolean, counts: Counts): boolean {
  const code = raw
    .replace(/;.*$/, '')
    .replace(/\([^()]*\)/g, '')
    .trim();
  const motion = MOTION.exec(code)?.[1];
  const feeds = motion === undefined ? feedsNow : motion !== '0';
  if (motion === undefined ? GOES_ON.test(code) : TO_A_PLACE.test(code)) {
    counts.moves++;
    if (feeds && ALONG_THE_BED.test(code)) {
      counts.feeds++;
      if (FEEDS_FILAMENT.test(code.replace(EXPONENTS, ''))) counts.withFilament++;
    }
    return feeds;
  }
  if (BEAM.test(code)) counts.beams++;
  else if (isSetting(raw)) counts.settings++;
  return feeds;
}

function isSetting(raw: string): boolean {
  if (!/[$M]/i.test(raw)) return false;
  const line = listingLine(raw);
  return line.kind === 'numbered' || (line.kind === 'lettered' && SETTING_WORDS.test(line.word));
}
