import { InputError } from '../../src/errors.ts';

/**
 * A dropped file's JSON, unchecked.
 * @param expected what the file should be, as in *a notebook of burns*.
 * @throws {InputError} for text that is none.
 */
export function parsedJson(text: string, source: string, expected: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch {
    throw new InputError(`found text that is not JSON; expected ${expected}`, { source });
  }
}
