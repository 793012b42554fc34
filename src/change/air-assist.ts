import { isWordLine } from './fit-line.ts';
import type { JobLines, LineTable } from './line-table.ts';
import { codesOf, startEdit } from './line-words.ts';

/** Which air is on: nothing, M7, M8 or both. The forecast does not know it, but a cut wants the air it had. */
const MIST = 1;
const FLOOD = 2;

/** The air that is on after a line of words. */
export function airAfter(content: string, line: number, before: number): number {
  if (!AIR.test(content) || !isWordLine(content, line)) return before;
  return codesOf(startEdit(content, line, ' '), 'M').reduce(
    (air, m) => (m === 7 ? air | MIST : m === 8 ? air | FLOOD : m === 9 ? 0 : air),
    before,
  );
}

/** The air on after each line of a job, by its number (0: before the first); null where none is ever switched. */
export function airOf(lines: JobLines, { count }: LineTable): Uint8Array | null {
  if (!lines.pieces.some((piece) => AIR.test(piece))) return null;
  const air = new Uint8Array(count + 1);
  for (let line = 1; line <= count; line++) air[line] = airAfter(lines.text(line), line, air[line - 1]!);
  return air;
}

const AIR = /M[ \t]*0*[789](?![\d.])/i;

/** The words that bring one air to another. */
export const airWords = (from: number, to: number): string[] => [
  ...((from & ~to) !== 0 ? ['M9'] : []),
  ...((to & MIST) !== 0 && ((from & ~to) !== 0 || (from & MIST) === 0) ? ['M7'] : []),
  ...((to & FLOOD) !== 0 && ((from & ~to) !== 0 || (from & FLOOD) === 0) ? ['M8'] : []),
];
