import type { Change } from '../change/change.ts';
import type { Changed } from '../change/changed.ts';
import { openJob, textOf } from '../change/open-job.ts';
import type { ForecastSetup } from '../forecast.ts';
import type { Program } from '../program/program.ts';
import { type EvenJob, evenJob, evenWords } from './even-job.ts';
import type { Wish } from './picture-rows.ts';
import { toneWords } from './tone-words.ts';
import { type TrueTones, trueTones, type WholeForecasts } from './true-tones.ts';

/** What S is to do along the way. */
export interface DosingWish {
  /** Whether it follows the speed of the head. */
  readonly even: boolean;
  /** What pictures in rows are to look like; null: rows keep the S they have, but for their speed. */
  readonly tones: Wish | null;
}

/** What came of a wish. */
export interface Dosed {
  /** null where nothing had to be done. */
  readonly changed: Changed | null;
  readonly tones: TrueTones | null;
  readonly even: EvenJob | null;
  /** What was done, and how well, as a person would say it. */
  readonly sentences: readonly string[];
}

/**
 * Writes the S of a program anew along the way: pictures first, then the lines of all else.
 * @param readBack the changed program as its text reads.
 * @param whole what true tones may be told by; where lines are made even after them theirs is not the last program.
 * @throws {InputError} where true tones are asked of a job without a picture in rows, or one whose S follows its speed.
 */
export function dose(
  changed: Changed,
  setup: ForecastSetup,
  wish: DosingWish,
  readBack: (changed: Changed) => Program,
  { asItIs = null, foretell = null }: WholeForecasts = {},
): Dosed {
  const whole = { asItIs, foretell: wish.even ? null : foretell };
  const tones = wish.tones && trueTones(changed, setup, wish.tones, whole);
  const toned = tones?.changed ?? changed;
  const even = wish.even ? evenJob(toned, setup.machine, readBack, new Set(tones?.operations)) : null;
  const sentences = [
    ...(tones ? [toneWords(tones)] : []),
    ...(even
      ? [evenWords(even)]
      : wish.even
        ? ['Lines: they are as even as S can make them on this machine.']
        : []),
  ];
  return { changed: even?.evened.changed ?? tones?.changed ?? null, tones, even, sentences };
}

/**
 * A job's text with its S written anew along the way, after changes of settings; every byte that need not change stays.
 * @param job the text, one character for each byte (ISO 8859-1).
 * @returns what came of it, and the text; null where nothing had to be done.
 * @throws {InputError} as {@link dose}, and where a change cannot be made safely.
 */
export function doseText(
  job: string,
  changes: readonly Change[],
  setup: ForecastSetup,
  wish: DosingWish,
): Dosed & { readonly text: string | null } {
  const open = openJob(() => [job], setup.machine, setup.options.feedMmPerS ?? null);
  const readBack = (changed: Changed) => open.rewrite(changed, () => undefined);
  const dosed = dose(open.change(changes), setup, wish, readBack);
  return { ...dosed, text: dosed.changed && textOf(open, dosed.changed) };
}
