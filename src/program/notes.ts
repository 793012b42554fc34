import type { NotSimulated, Oddity, Understanding } from './program.ts';

/**
 * What the reader has to tell besides the moves: words that are not simulated, counted once per word, and how
 * doubtful things were understood, once per topic, and where a stricter controller may stop, once per cause.
 */
export interface Notes {
  readonly leftOut: Map<string, LeftOut>;
  readonly understood: Map<string, Understanding>;
  readonly oddities: Map<OddityCause, Told>;
  /** The first lines that are no G-code, quoted. */
  readonly prose: Pick<Understanding, 'line' | 'text'>[];
}

type OddityCause =
  | 'comment in a comment'
  | 'stray )'
  | 'open comment'
  | 'repeated letter'
  | 'no G-code'
  | 'comment behind #'
  | 'off its circle'
  | 'exponent'
  | 'stray centre'
  | 'no feed'
  | 'padding';

interface Told extends Oddity {
  count: number;
  lastLine: number;
}

export type Severity = NotSimulated['severity'];

const SETTING = '$n=';
const AND_THE_LIKE = ' and the like';

interface LeftOut extends NotSimulated {
  word: string;
  count: number;
  readonly lines: number[];
  effect: string;
  severity: Severity;
  instead?: string;
}

/** What leaving a word out means. */
type Meaning = Pick<NotSimulated, 'effect' | 'severity' | 'instead'>;

/** How many lines a left-out word names. */
const MOST_LINES = 20;
const RANK: Record<Severity, number> = { note: 0, warning: 1, stop: 2 };

export const createNotes = (): Notes => ({
  leftOut: new Map(),
  understood: new Map(),
  oddities: new Map(),
  prose: [],
});

/** Counts a word that is not simulated. Its gravest severity stands, with the effect told then. */
export function leaveOut(
  notes: Notes,
  line: number,
  word: string,
  { effect, severity, instead }: Meaning,
  times = 1,
): void {
  const known = notes.leftOut.get(word);
  const means = { effect, severity, ...(instead === undefined ? {} : { instead }) };
  if (known === undefined) {
    notes.leftOut.set(word, { word, count: times, lines: [line], ...means });
    return;
  }
  known.count += times;
  if (known.lines.length < MOST_LINES && known.lines.at(-1) !== line) known.lines.push(line);
  if (RANK[severity] > RANK[known.severity]) Object.assign(known, means);
}

/** Counts a setting of the controller as {@link leaveOut} does, all under the first one as it stands. */
export function leaveOutSetting(
  notes: Notes,
  line: number,
  written: string,
  what: Pick<NotSimulated, 'effect' | 'severity'>,
): void {
  leaveOut(notes, line, SETTING, what);
  const known = notes.leftOut.get(SETTING)!;
  if (known.count === 1) known.word = written;
  else if (known.word !== written && !known.word.endsWith(AND_THE_LIKE)) known.word += AND_THE_LIKE;
}

/** Says once per topic how a doubtful thing was understood. */
export function understand(notes: Notes, line: number, topic: string, text: string): void {
  if (!notes.understood.has(topic)) notes.understood.set(topic, { line, text, topic });
}

/** Counts a line that stricter controllers may stop at; the first of each cause is told. */
export function tellOddity(
  notes: Notes,
  line: number,
  cause: OddityCause,
  tell: () => Pick<Oddity, 'found' | 'readAs' | 'instead'>,
): void {
  const known = notes.oddities.get(cause);
  if (known === undefined) notes.oddities.set(cause, { line, count: 1, lastLine: line, ...tell() });
  else if (known.lastLine !== line) {
    known.count++;
    known.lastLine = line;
  }
}

/** What a program tells of them. */
export const odditiesOf = ({ oddities }: Notes): Oddity[] =>
  Array.from(oddities.values(), ({ lastLine: _, ...oddity }) => oddity);
