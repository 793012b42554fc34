import type { Command } from 'commander';
import type { Change } from '../change/change.ts';
import { changesWords, parseChanges } from '../change/grammar.ts';
import { startWhatIf } from '../change/what-if.ts';
import { InputError } from '../errors.ts';
import type { Forecast } from '../forecast.ts';
import type { Setup } from './setup.ts';

export const CHANGE_HELP =
  'settings to change, as in "2: speed 1500, power 70%, constant; rows: overscan 4 mm" (passes, proportional, one direction, last, inside first; cut or engrave says what an outline is meant to do; skip leaves an operation out; "all: shift 12x-3, turn 90" lays the whole job elsewhere)';

/** What the options that change a job are told. */
export interface ChangeWords {
  readonly change?: string;
  readonly only?: string;
  readonly skip?: string;
}

/** For commands that change the one job they read. */
export const addChangeOptions = (command: Command): Command =>
  command
    .option('--change <settings>', CHANGE_HELP)
    .option('--only <operations>', 'leave out all operations but these, as in 3 or "2, 3"')
    .option('--skip <operations>', 'leave out these operations');

/** All that is asked of a job. @throws {InputError} that names the option. */
export const readAllChanges = ({ change, only, skip }: ChangeWords): Change[] => [
  ...readChanges('--change', change),
  ...readNumbers('--only', only).map((operation): Change => ({ operation, only: true })),
  ...readNumbers('--skip', skip).map((operation): Change => ({ operation, skip: true })),
];

/** Whether operations are left out. */
export const leaveOut = (changes: readonly Change[]): boolean =>
  changes.some(({ only, skip }) => only || skip);

function readNumbers(option: string, text: string | undefined): number[] {
  if (text === undefined) return [];
  const parts = text.split(/[\s,]+/).filter((part) => part !== '');
  if (parts.length === 0 || !parts.every((part) => /^[1-9]\d{0,5}$/.test(part)))
    throw new InputError(
      `found ${option} ${text}; expected the number of each operation, without ranges, as in 3 or “2, 3”`,
    );
  return parts.map(Number);
}

/** The forecast of a job with changes, which its notes begin with; without any the base itself. */
export function forecastWith(
  base: Forecast,
  changes: readonly Change[],
  { cellMm, notes }: Pick<Setup, 'cellMm' | 'notes'>,
): Forecast {
  if (changes.length === 0) return base;
  const changed = startWhatIf(base, { cellMm }).forecast(changes);
  const newNumbers = leaveOut(changes)
    ? ['Operations are left out, and those that stay are numbered anew, from 1.']
    : [];
  return {
    ...changed,
    notes: [`Changed settings: ${changesWords(changes)}.`, ...newNumbers, ...notes, ...changed.notes],
  };
}

/** Reads a `--change` option. @throws {InputError} that names the option. */
export function readChanges(option: string, text: string | undefined): Change[] {
  if (text === undefined) return [];
  try {
    return parseChanges(text);
  } catch (error) {
    throw error instanceof InputError ? error.from(option) : error;
  }
}
