import type { Changed } from '../change/changed.ts';
import { type OpenJob, openJob, textOf } from '../change/open-job.ts';
import { type ForecastSetup, forecastProgram } from '../forecast.ts';
import type { Told } from '../outcome/say.ts';
import { timeWords } from '../words.ts';
import { finishOf } from './finish.ts';
import { inOrder } from './in-order.ts';
import { beforeItStarts, leftSentences } from './words.ts';

/** A finishing job, and what to say of it. */
interface FinishedJob {
  readonly changed: Changed;
  /** What is left, what it takes and how long. */
  readonly sentences: readonly string[];
  /** What to see to before it starts. */
  readonly before: readonly string[];
}

/**
 * The job that finishes what did not come through, on the same clamped board.
 * @param job as it was burned.
 * @param told how far each cut came.
 * @throws {InputError} in one sentence, where it cannot be made.
 */
export function finishJob(job: OpenJob, setup: ForecastSetup, told: readonly Told[]): FinishedJob {
  const { machine, material, options } = setup;
  const finish = finishOf(forecastProgram(job.table.program, machine, material, options), told);
  const { changed, motion, sentences, late } = inOrder(job, finish.changes, machine);
  return {
    changed,
    sentences: [
      ...finish.left.flatMap((left) => leftSentences(left, finish.sure)),
      ...sentences,
      `Nothing else is burned again. The finishing job takes ${timeWords(motion.durationS)}, from the same origin.`,
    ],
    before: [...late, ...beforeItStarts(finish)],
  };
}

/**
 * The text of that job.
 * @param job the text that was burned, one character for each byte (ISO 8859-1).
 * @throws {InputError} as {@link finishJob}.
 */
export function finishText(
  job: string,
  setup: ForecastSetup,
  told: readonly Told[],
): Omit<FinishedJob, 'changed'> & { readonly text: string } {
  const open = openJob(() => [job], setup.machine, setup.options.feedMmPerS ?? null);
  const { changed, ...said } = finishJob(open, setup, told);
  return { ...said, text: textOf(open, changed) };
}
