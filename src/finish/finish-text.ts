import type { Material } from '../burn/material.ts';
import { changeLines, writeChanged } from '../change/adjust-text.ts';
import { readLines } from '../change/line-table.ts';
import { type ForecastOptions, forecastProgram, readOptions } from '../forecast.ts';
import type { Machine } from '../machine/profile.ts';
import type { Told } from '../outcome/say.ts';
import { timeWords } from '../words.ts';
import { type Finish, finishOf } from './finish.ts';
import { beforeItStarts, leftSentences } from './words.ts';

/** A finishing job, and what to say of it. */
interface FinishText {
  readonly text: string;
  /** What is left and what it takes. */
  readonly sentences: readonly string[];
  /** What to see to before it starts. */
  readonly before: readonly string[];
}

/**
 * The job that finishes what did not come through, on the same clamped board.
 * @param job the text that was burned, one character for each byte (ISO 8859-1).
 * @param told how far each cut came.
 * @throws {InputError} in one sentence, where it cannot be written.
 */
export function finishText(
  job: string,
  { machine, material, options }: { machine: Machine; material: Material; options: ForecastOptions },
  told: readonly Told[],
): FinishText {
  const table = readLines([job], readOptions(machine, options.feedMmPerS ?? null));
  const finish = finishOf(forecastProgram(table.program, machine, material, options), told);
  const changed = changeLines(table, finish.changes, machine);
  const written: string[] = [];
  writeChanged([job], table, changed, machine, (piece) => written.push(piece));
  const { durationS } = forecastProgram(changed.program, machine, material, options).motion;
  return {
    text: written.join(''),
    sentences: finishSentences(finish, durationS),
    before: beforeItStarts(finish),
  };
}

/** What is left, what it takes and how long. */
export const finishSentences = (finish: Finish, durationS: number): string[] => [
  ...finish.left.flatMap((left) => leftSentences(left, finish.sure)),
  `Nothing else is burned again. The finishing job takes ${timeWords(durationS)}, from the same origin.`,
];
