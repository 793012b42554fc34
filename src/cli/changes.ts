import type { Change } from '../change/change.ts';
import { changesWords, parseChanges } from '../change/grammar.ts';
import { startWhatIf } from '../change/what-if.ts';
import { InputError } from '../errors.ts';
import type { Forecast } from '../forecast.ts';
import type { Setup } from './setup.ts';

export const CHANGE_HELP =
  'settings to change, as in "2: speed 1500, power 70%, constant; rows: overscan 4 mm" (passes, proportional, one direction, last, inside first; cut or engrave says what an outline is meant to do)';

/** The forecast of a job with changes, which its notes begin with; without any the base itself. */
export function forecastWith(
  base: Forecast,
  changes: readonly Change[],
  { cellMm, notes }: Pick<Setup, 'cellMm' | 'notes'>,
): Forecast {
  if (changes.length === 0) return base;
  const changed = startWhatIf(base, { cellMm }).forecast(changes);
  return { ...changed, notes: [`Changed settings: ${changesWords(changes)}.`, ...notes, ...changed.notes] };
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
