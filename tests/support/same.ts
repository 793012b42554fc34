import { isDeepStrictEqual } from 'node:util';
import { expect } from 'vitest';

/** Of thousands of numbers: compared the slow way, which shows where they differ, only if they do. */
export function expectSame(made: unknown, wanted: unknown): void {
  if (!isDeepStrictEqual(made, wanted)) expect(made).toEqual(wanted);
}
