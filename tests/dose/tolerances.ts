/**
 * How closely what is computed agrees with the worked cases in `tests/fixtures`: the tests hold these numbers, and
 * the README prints {@link toleranceTable}. `relative` is a part of the value, or of the case's largest dose.
 */
export const TOLERANCES = {
  duration: { what: 'duration of a job', relative: 1e-5 },
  energy: { what: 'energy emitted, and energy on the grid', relative: 1e-5 },
  dose: { what: 'dose in a cell, as a part of the largest', relative: 1e-4 },
} as const;

/** A part in words: `0.001 %`. */
const percent = (relative: number): string => `${Number((100 * relative).toPrecision(3))} %`;

/** The table for the README. */
export const toleranceTable = (): string =>
  ['| what | agrees to |', '| --- | --- |']
    .concat(Object.values(TOLERANCES).map(({ what, relative }) => `| ${what} | ${percent(relative)} |`))
    .join('\n');
