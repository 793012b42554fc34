import { type Command, Option } from 'commander';
import type { Stock } from '../board.ts';
import { ROW_MM, type Use } from '../burn/speed-power.ts';
import { InputError } from '../errors.ts';
import type { Thickness } from '../sure/place.ts';
import { readNumber, type SetupWords } from './setup.ts';

/** What commands that ask about settings, not about a place, are told of the work. */
export interface WorkWords extends SetupWords {
  readonly thickness?: string;
  readonly for?: Use['kind'];
  readonly rows?: string;
  readonly rowLength?: string;
}

/** A thickness alone says enough of the board. */
export const addThicknessOption = (command: Command): Command =>
  command.addOption(new Option('--thickness <mm>', 'thickness of the stock, where --stock says no more'));

/** The thickness from `--thickness`, or from the stock with what it is known to; null: neither gives one. */
export function readThickness(text: string | undefined, stock: Stock | null): Thickness {
  if (text !== undefined)
    return { thicknessMm: readNumber('--thickness', text, 0.01, 200, 'a thickness in mm') };
  return {
    thicknessMm: stock?.thicknessMm ?? null,
    thicknessPlusMinusMm: stock?.thicknessPlusMinusMm ?? null,
  };
}

/**
 * An area in rows or a line, and how far apart the rows lie.
 * @param use what the command does with `--for`
 * @param usualSpacing where the distance comes from without `--rows`
 * @param usualLength where the length comes from without `--row-length`
 */
export const addUseOptions = (
  command: Command,
  use: string,
  usualSpacing: string,
  usualLength = `${ROW_MM}`,
): Command =>
  command
    .addOption(new Option('--for <use>', use).choices(['rows', 'line'] satisfies Use['kind'][]))
    .option('--rows <mm>', `distance between rows (default: ${usualSpacing})`)
    .option(
      '--row-length <mm>',
      `length of the rows: short ones leave the wood warm (default: ${usualLength})`,
    );

/** Refuses what is said of rows where a line is burned. @throws {InputError} that names the option. */
export function refuseRowsOfLine(
  { rows, rowLength }: Pick<WorkWords, 'rows' | 'rowLength'>,
  why: string,
): void {
  const option = rows !== undefined ? '--rows' : rowLength !== undefined ? '--row-length' : null;
  if (option !== null)
    throw new InputError(`found ${option} beside ${why}, which burns a line; expected it with rows only`);
}

/** The distance between rows, mm, from `--rows`. */
export const readRowSpacing = (text: string): number =>
  readNumber('--rows', text, 0.005, 10, 'a distance in mm');

/** What the beam is used for, as JSON. */
export const useJson = (use: Use) => ({
  for: use.kind,
  row_spacing_mm: use.kind === 'rows' ? use.rowSpacingMm : null,
  row_length_mm: use.kind === 'rows' ? (use.rowLengthMm ?? ROW_MM) : null,
  ...(use.kind === 'rows' && use.crossing
    ? { crossing_spacing_mm: use.crossing.map(({ rowSpacingMm }) => rowSpacingMm) }
    : {}),
});

/** The length of the rows from `--row-length`, as an option of what is asked; nothing where it is not said. */
export const readRowLength = (text: string | undefined): { readonly rowLengthMm?: number } =>
  text === undefined ? {} : { rowLengthMm: readNumber('--row-length', text, 0.1, 10_000, 'a length in mm') };
