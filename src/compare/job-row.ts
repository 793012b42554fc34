import type { Forecast } from '../forecast.ts';
import { isEmptyBounds } from '../grid.ts';
import { leastOf } from '../lists.ts';
import { boardsWords } from '../sure/words.ts';
import { numberWords, timeWords } from '../words.ts';
import { noChanceWords } from './sums.ts';

/** A job in a table of several, in words: one line of it, the same at the terminal and in the page. */
export interface JobRow {
  readonly time: string;
  /** The size of the burn. */
  readonly size: string;
  readonly comesThrough: string;
  readonly findings: string;
  /** Something is more than a note. */
  readonly isWarned: boolean;
}

export const ROW_HEADINGS = {
  time: 'time',
  size: 'size, mm',
  comesThrough: 'comes through',
  findings: 'findings',
} as const satisfies Partial<Record<keyof JobRow, string>>;

export const jobRow = (forecast: Forecast): JobRow => ({
  time: timeWords(forecast.motion.durationS),
  size: sizeWords(forecast),
  comesThrough: throughWords(forecast),
  findings: findingsWords(forecast),
  isWarned: forecast.findings.some(({ severity }) => severity !== 'note'),
});

function sizeWords({ burnBounds }: Forecast): string {
  if (isEmptyBounds(burnBounds)) return 'burns nothing';
  const { minXMm, maxXMm, minYMm, maxYMm } = burnBounds;
  return `${numberWords(maxXMm - minXMm, 3)} × ${numberWords(maxYMm - minYMm, 3)}`;
}

function throughWords(forecast: Forecast): string {
  // A job is as sure as its least sure cut.
  return (
    noChanceWords(forecast) ??
    `on ${boardsWords(leastOf(forecast.cuts.map(({ chanceThrough }) => chanceThrough)))}`
  );
}

function findingsWords({ findings }: Forecast): string {
  const serious = findings.filter(({ severity }) => severity !== 'note').length;
  if (findings.length === 0) return 'none';
  return serious === 0 ? `${findings.length}, none serious` : `${findings.length}, ${serious} serious`;
}
