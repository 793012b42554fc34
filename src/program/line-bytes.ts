import { InputError } from '../errors.ts';

/** Twice as many as the most moves that are read; a pipe may go on for ever with lines that do nothing. */
const MOST_LINES = 100_000_000;

/** How long each line is, for the serial link that carries them: a growing list, index line − 1. */
interface LineBytes {
  bytes: Uint32Array;
}

export const createLineBytes = (): LineBytes => ({ bytes: new Uint32Array(1024) });

/**
 * Notes that `line` (1-based) holds `length` characters and its end.
 * @throws {InputError} beyond `MOST_LINES`.
 */
export function noteLine(lines: LineBytes, line: number, length: number): void {
  if (line > lines.bytes.length) {
    if (line > MOST_LINES)
      throw new InputError(`found more than ${MOST_LINES / 1e6} million lines; expected a smaller job`, {
        line,
      });
    const longer = new Uint32Array(Math.min(MOST_LINES, lines.bytes.length * 2));
    longer.set(lines.bytes);
    lines.bytes = longer;
  }
  lines.bytes[line - 1] = length + 1;
}
