import { InputError } from '../errors.ts';
import { shorten } from './block.ts';
import { leaveOut, type Notes, understand } from './notes.ts';

/**
 * The checksum of common practice (not in RS-274): all characters before the `*`, combined by exclusive or,
 * written as a decimal number.
 */
export function checksumOf(text: string): number {
  let sum = 0;
  for (let i = 0; i < text.length; i++) sum ^= text.charCodeAt(i);
  return sum;
}

/**
 * Checks what stands behind the `*` of a line.
 * @param covered everything before the `*`
 * @param rest the text behind the `*`, comments blanked out
 * @throws {InputError} when it is no number or does not match: the line was damaged or edited.
 */
export function verifyChecksum(
  covered: string,
  rest: string,
  hasLineNumber: boolean,
  line: number,
  notes: Notes,
): void {
  const digits = rest.trim();
  if (!/^\d+$/.test(digits)) {
    throw new InputError('found “*” without a checksum; expected a whole number at the end of the line', {
      line,
    });
  }
  if (digits.length === 5) {
    leaveOut(notes, line, '*', { effect: 'five-digit checksums are not checked', severity: 'note' });
    return;
  }
  const written = covered.replace(/^[ \t]+/, '');
  if (Array.from(written).some((character) => character > '\u007f')) {
    leaveOut(notes, line, '*', {
      effect: 'checksums over letters beyond ASCII are not checked',
      severity: 'note',
    });
    return;
  }
  const sum = checksumOf(written);
  if (Number(digits) !== sum) {
    throw new InputError(`found the checksum ${shorten(digits)}; expected ${sum} for this line`, { line });
  }
  if (!hasLineNumber) {
    understand(
      notes,
      line,
      'checksum without N',
      'A checksum stands on a line without a line number; some controllers refuse that.',
    );
  }
}
