import { readOptions } from '../forecast.ts';
import type { Machine } from '../machine/profile.ts';
import { readProgram } from '../program/read.ts';
import { adjustText } from './adjust-text.ts';
import type { Change } from './change.ts';

/** A job without some of its operations. */
export interface Shorter {
  readonly text: string;
  /** How many operations it has: fewer than stay where two are alike and what was left out kept them apart. */
  readonly operations: number;
}

/**
 * A job's text without these operations.
 * @throws {InputError} where nothing would be left, or it cannot be written safely.
 */
export function textWithout(text: string, out: readonly number[], machine: Machine): Shorter {
  const changes = out.map((operation): Change => ({ operation, skip: true }));
  const shorter = adjustText(text, changes, machine);
  return { text: shorter, operations: readProgram(shorter, readOptions(machine)).operations.length };
}
