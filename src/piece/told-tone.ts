import { doseAcross } from '../burn/ripple.ts';
import { areaTone } from '../burn/seen-area.ts';
import { toneOfPlainDose } from '../burn/tone.ts';
import type { RowLines } from '../findings/evidence/row-lines.ts';
import type { Forecast } from '../forecast.ts';
import { greatestOf } from '../lists.ts';
import { headZMm } from '../program/operations.ts';
import type { Operation } from '../program/program.ts';

/** Doses are sought within this, as logarithms about one that is typical. */
const WITHIN_LN = 8;
const STEPS = 40;
/** From here on a tone no longer tells its dose. */
const DARKEST = 0.999;

/**
 * The tone that an operation's forecast tells, and the same with other doses: of rows that are seen as one area the mean of
 * the tones across them, else that of a line. Where S varies the forecast tells the middle one of its shades, which may well
 * be bare; a photo is read by those that mark, so their typical one is told.
 * @param typicalJPerMm2 a dose that is typical of its marks, at short dwell.
 * @returns a function of the logarithm of the doses' multiple.
 */
export function startToldTone(
  { material, machine, program, engravings }: Forecast,
  operation: Operation,
  rows: RowLines | null,
  typicalJPerMm2: number,
): (lnTimes: number) => number {
  const across = doseAcross(machine.spot, rows, headZMm(program, operation)) ?? [1];
  const tonesAt = (lnDose: number): number[] =>
    across.map((times) => toneOfPlainDose(times * Math.exp(lnDose), material));
  const toneAt = (lnDose: number): number => areaTone(across, Math.exp(lnDose), material);
  const told = engravings.find((each) => each.operation === operation.n)?.tone ?? 0;
  const isEven = operation.sMin === operation.sMax && told > 0 && told < DARKEST;
  const typical = Math.log(typicalJPerMm2);
  const lnDose = isEven
    ? rootAbout(typical, (ln) => toneAt(ln) - told)
    : rootAbout(typical, (ln) => ln + meanByTone(across.map(Math.log), tonesAt(ln)) - typical);
  return (lnTimes) => toneAt(lnDose + lnTimes);
}

/** The mean of numbers, each counted by its tone; of their greatest where nothing darkens. */
function meanByTone(values: readonly number[], tones: readonly number[]): number {
  const weight = tones.reduce((sum, tone) => sum + tone, 0);
  if (weight === 0) return greatestOf(values);
  return values.reduce((sum, value, k) => sum + value * tones[k]!, 0) / weight;
}

/** Where a rising function passes 0. */
function rootAbout(middle: number, of: (at: number) => number): number {
  let [low, high] = [middle - WITHIN_LN, middle + WITHIN_LN];
  for (let step = 0; step < STEPS; step++) {
    const half = (low + high) / 2;
    if (of(half) < 0) low = half;
    else high = half;
  }
  return (low + high) / 2;
}
