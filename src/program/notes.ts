import type { NotSimulated, Understanding } from './program.ts';

/**
 * What the reader has to tell besides the moves: words that are not simulated, counted once per word, and how
 * doubtful things were understood, once per topic.
 */
export interface Notes {
  readonly leftOut: Map<string, LeftOut>;
  readonly understood: Map<string, Understanding>;
}

export type Severity = NotSimulated['severity'];

interface LeftOut extends NotSimulated {
  count: number;
  readonly lines: number[];
  effect: string;
  severity: Severity;
}

/** How many lines a left-out word names. */
const MOST_LINES = 20;
const RANK: Record<Severity, number> = { note: 0, warning: 1, stop: 2 };

export const createNotes = (): Notes => ({ leftOut: new Map(), understood: new Map() });

/** Counts a word that is not simulated. Its gravest severity stands, with the effect told then. */
export function leaveOut(
  notes: Notes,
  line: number,
  word: string,
  { effect, severity }: Pick<NotSimulated, 'effect' | 'severity'>,
  times = 1,
): void {
  const known = notes.leftOut.get(word);
  if (known === undefined) {
    notes.leftOut.set(word, { word, count: times, lines: [line], effect, severity });
    return;
  }
  known.count += times;
  if (known.lines.length < MOST_LINES && known.lines.at(-1) !== line) known.lines.push(line);
  if (RANK[severity] > RANK[known.severity]) Object.assign(known, { effect, severity });
}

/** Says once per topic how a doubtful thing was understood. */
export function understand(notes: Notes, line: number, topic: string, text: string): void {
  if (!notes.understood.has(topic)) notes.understood.set(topic, { line, text });
}
