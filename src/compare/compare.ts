import { labOf } from '../burn/colour.ts';
import { marginWords } from '../findings/evidence/cut-forecast.ts';
import { findingName } from '../findings/finding-names.ts';
import type { Forecast } from '../forecast.ts';
import { boardsWords, depthSpanWords } from '../sure/words.ts';
import { lengthWords, numberWords, timeWords } from '../words.ts';
import { type Comes, cutChanges } from './cut-change.ts';
import { type Sums, sumsOf } from './sums.ts';
import { cannotBeTold, type Shade } from './told-apart.ts';
import { toneChanges } from './tone-change.ts';
import { type OffBy, offByWords } from './tone-wish.ts';

/** One line of the table: what is compared, and what each of the two comes to, in words. */
interface CompareRow {
  readonly name: string;
  readonly a: string;
  readonly b: string;
  readonly differs: boolean;
}

/** Two forecasts side by side. */
export interface Comparison {
  readonly a: Sums;
  readonly b: Sums;
  readonly rows: readonly CompareRow[];
  /** Findings that only A has, and that only B has: each kind and operation once. */
  readonly gone: readonly string[];
  readonly come: readonly string[];
  /** Which operations cut through in one and not in the other, in plain sentences. */
  readonly cuts: readonly string[];
  /** How the tones of operations change and whether one sees it, in plain sentences. */
  readonly tones: readonly string[];
  /** What could not be told apart, in plain sentences: differences smaller than what is not known. */
  readonly unsure: readonly string[];
}

/** What a forecast is compared by; the forecast itself, which may be large, can go. */
export interface Weighed {
  readonly sums: Sums;
  readonly findings: readonly string[];
  readonly engravings: readonly Shade[];
  readonly cuts: readonly Comes[];
}

/**
 * @param numbers what its operations are called here, index n − 1 for operation n: where some were left out and the others
 *   numbered anew, their old numbers, so that each is held against itself. Null: their own.
 */
export function weigh(forecast: Forecast, numbers: readonly number[] | null = null): Weighed {
  const named = (n: number): number => numbers?.[n - 1] ?? n;
  return {
    sums: sumsOf(forecast),
    findings: forecast.findings.map(({ kind, operation }) =>
      findingName({ kind, operation: operation ? named(operation) : operation }),
    ),
    // What lies all beside the board comes out in no tone.
    engravings: forecast.engravings
      .filter(({ besideShare }) => besideShare < 1)
      .map((each) => ({
        ...each,
        operation: named(each.operation),
        lab: labOf(each.tone, forecast.material),
      })),
    cuts: forecast.cuts
      .filter(({ besideShare }) => besideShare < 1)
      .map(({ operation, through }) => ({ operation: named(operation), through })),
  };
}

/**
 * What differs between two forecasts, of one job or of two; they need not be on the same machine, wood or grid, for
 * only what each comes to is compared, not cell with cell. Nothing is thrown: any two forecasts can be compared.
 *
 * @param offBy how far each is from what both were meant to look like, in lightness L* (CIE 1976), where that is known.
 * @returns `a` and `b` as numbers (s, J, mm, J/mm², {@link Sums}); `rows` as the same in words and the units of the
 *   trade, one for each quantity; the findings that B has lost and gained, by name; in `cuts` what cuts through
 *   in one only, in `tones` how tones change, in `unsure` a
 *   sentence for each operation whose tones differ by less than is known of them.
 */
export const compareForecasts = (a: Forecast, b: Forecast, offBy: OffBy | null = null): Comparison =>
  compareWeighed(weigh(a), weigh(b), offBy);

export function compareWeighed(a: Weighed, b: Weighed, offBy: OffBy | null = null): Comparison {
  const sums = { a: a.sums, b: b.sums };
  const before = new Set(a.findings);
  const after = new Set(b.findings);
  return {
    ...sums,
    rows: [...compareRows(sums.a, sums.b), ...offByRows(offBy)],
    gone: [...before].filter((name) => !after.has(name)),
    come: [...after].filter((name) => !before.has(name)),
    cuts: cutChanges(a, b),
    tones: toneChanges(a.engravings, b.engravings),
    unsure: cannotBeTold(a, b),
  };
}

function offByRows(offBy: OffBy | null): CompareRow[] {
  if (!offBy) return [];
  const [a, b] = [offByWords(offBy.a), offByWords(offBy.b)];
  return [{ name: 'off what is meant, L*', a, b, differs: a !== b }];
}

function compareRows(a: Sums, b: Sums): CompareRow[] {
  const row = (name: string, words: (sums: Sums) => string): CompareRow => {
    const [wordsA, wordsB] = [words(a), words(b)];
    return { name, a: wordsA, b: wordsB, differs: wordsA !== wordsB };
  };
  const dose = (value: number) => `${numberWords(value, 2)} J/mm²`;
  return [
    row('time', (s) => timeWords(s.durationS)),
    row('beam on', (s) => timeWords(s.beamOnS)),
    row('energy', (s) => `${numberWords(s.energyJ)} J`),
    row('path burned', (s) => lengthWords(s.burnMm)),
    row('typical dose', (s) => dose(s.typicalJPerMm2)),
    row('peak dose', (s) => dose(s.peakJPerMm2)),
    row('darkest corner', ({ darkestCorner: corner }) =>
      corner
        ? `${dose(corner.doseJPerMm2)}, ${numberWords(corner.timesStraight, 2)} times the line`
        : 'none stands out',
    ),
    row('deepest place', ({ deepestMm: depthMm, deepestLowMm, deepestHighMm }) =>
      depthSpanWords({ depthMm, depthLowMm: deepestLowMm, depthHighMm: deepestHighMm }),
    ),
    row('cut-through margin', ({ cutMargin, noCut }) => noCut ?? marginWords(cutMargin!)),
    row('comes through on', ({ cutChance, noChance }) => noChance ?? boardsWords(cutChance!)),
    row('findings', (s) => String(s.findings)),
  ];
}
