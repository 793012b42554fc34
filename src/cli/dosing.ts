import type { Command } from 'commander';
import type { DosingWish } from '../dosing/dose-job.ts';
import { TONE_ENDS } from '../dosing/wish.ts';
import { InputError } from '../errors.ts';
import { readPhotoFile } from './photo.ts';
import { readQuantity } from './quantity.ts';

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
  const photo = words.picture === undefined ? null : readPhotoFile(words.picture).photo;
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
