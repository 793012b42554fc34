import type { Command } from 'commander';
import type { Change } from '../change/change.ts';
import type { Changed } from '../change/changed.ts';
import { changesWords } from '../change/grammar.ts';
import { type Dosed, type DosingWish, dose } from '../dosing/dose-job.ts';
import type { Tones } from '../dosing/tones-within.ts';
import { TONE_ENDS } from '../dosing/wish.ts';
import { InputError } from '../errors.ts';
import { type Checks, type Forecast, type ForecastOptions, forecastProgram } from '../forecast.ts';
import type { Program } from '../program/program.ts';
import { about, openJobFile } from './job-file.ts';
import { readPhotoFile } from './photo.ts';
import { readQuantity } from './quantity.ts';
import type { Setup } from './setup.ts';

/** The options that write S anew along the way, as typed. */
export interface DosingWords {
  readonly even?: boolean;
  readonly trueTones?: boolean;
  readonly picture?: string;
  readonly darkest?: string;
  readonly lightest?: string;
}

export const addDosingOptions = (command: Command): Command =>
  command
    .option(
      '--even',
      'let S follow the speed of the head, so that corners, starts, stops and row ends get what straight parts get',
    )
    .option(
      '--true-tones',
      'let rows of many levels of S come out as dark as S means, by this wood’s own curve; only for a picture in rows',
    )
    .option(
      '--picture <file>',
      'the picture that the rows are to show, PNG or JPEG, instead of what their S says',
    )
    .option(
      '--darkest <percent>',
      'how far the darkest level goes from bare wood to full char (default: 95%)',
    )
    .option('--lightest <percent>', 'how far the lightest level goes that is burned at all (default: 3%)');

export const asksForDosing = ({ even, trueTones }: DosingWords): boolean => !!even || !!trueTones;

/**
 * @returns what is wished, and the files read for it.
 * @throws {InputError} where an option stands without the one it belongs to, or cannot be read.
 */
export function readDosing(words: DosingWords): DosingWish & { readonly inputs: readonly string[] } {
  const stray = (['picture', 'darkest', 'lightest'] as const).find((each) => words[each] !== undefined);
  if (stray && !words.trueTones)
    throw new InputError(`found --${stray} without --true-tones; expected both, or neither`);
  const ends = {
    darkest: words.darkest === undefined ? TONE_ENDS.darkest : readShare('--darkest', words.darkest),
    lightest: words.lightest === undefined ? TONE_ENDS.lightest : readShare('--lightest', words.lightest),
  };
  const photo =
    words.picture === undefined
      ? null
      : readPhotoFile(words.picture, 'the picture that the rows are to show').photo;
  return {
    even: !!words.even,
    tones: words.trueTones ? { ends, photo } : null,
    inputs: words.picture === undefined ? [] : [words.picture],
  };
}

function readShare(option: string, text: string): number {
  const expected = 'a share of the way from bare wood to full char, as in 95%';
  const percent = readQuantity(option, text, '%|per ?cent', expected);
  if (percent > 100) throw new InputError(`found ${option} ${text}; expected ${expected}`);
  return percent / 100;
}

/** A forecast of a job whose S is written anew along the way, and what came of the wish. */
export interface DosedForecast {
  readonly made: Forecast;
  readonly dosed: Dosed;
}

/**
 * The forecast of a job as `adjust` would write it, without writing it: with changes of settings, and its S along the way.
 * Its notes begin with what was done.
 * @param asItIs a forecast of the job with these changes, where one is at hand.
 * @throws {InputError} as {@link dose}; errors name the job.
 */
export function forecastDosed(
  job: string,
  {
    setup,
    changes,
    wish,
  }: { readonly setup: Setup; readonly changes: readonly Change[]; readonly wish: DosingWish },
  checks: Checks & Pick<ForecastOptions, 'cool'> = {},
  asItIs: Pick<Forecast, 'burn'> | null = null,
): DosedForecast {
  const { machine, material, notes, stock, cellMm, feedMmPerS, bedIsAssumed = false } = setup;
  const options = { stock, cellMm, feedMmPerS, bedIsAssumed, ...checks };
  const open = openJobFile(job, setup);
  return about(job, () => {
    const plain = open.change(changes);
    const readBack = (each: Changed) => open.rewrite(each, () => undefined);
    // Of what true tones try last the forecast is the one that is asked for.
    let made: Forecast | null = null;
    const forecastOf = (program: Program): Forecast =>
      made?.program === program ? made : forecastProgram(program, machine, material, options);
    const foretell = (program: Program): Tones => (made = forecastOf(program)).burn;
    const whole = { asItIs: asItIs?.burn ?? null, foretell };
    const dosed = dose(plain, { machine, material, options }, wish, readBack, whole);
    const forecast = forecastOf((dosed.changed ?? plain).program);
    const settings = changes.length > 0 ? [`Changed settings: ${changesWords(changes)}.`] : [];
    return {
      dosed,
      made: { ...forecast, notes: [...settings, ...dosed.sentences, ...notes, ...forecast.notes] },
    };
  });
}
