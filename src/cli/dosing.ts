import type { Command } from 'commander';
import type { Material } from '../burn/material.ts';
import type { Changed } from '../change/changed.ts';
import { evenJob, evenWords } from '../dosing/even-job.ts';
import { toneWords } from '../dosing/tone-words.ts';
import { trueTones } from '../dosing/true-tones.ts';
import { TONE_ENDS } from '../dosing/wish.ts';
import { InputError } from '../errors.ts';
import type { ForecastOptions } from '../forecast.ts';
import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
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

/** What else a job is written with: the options, read. */
export interface Dosing {
  readonly inputs: readonly string[];
  /** @param readBack the changed program as its text reads. */
  apply(changed: Changed, setup: DosingSetup, readBack: (changed: Changed) => Program): Dosed;
}

interface DosingSetup {
  readonly machine: Machine;
  readonly material: Material;
  readonly options: ForecastOptions;
}

/** What came of it, and what to say of it; `changed` is null where nothing had to be done. */
interface Dosed {
  readonly changed: Changed | null;
  readonly sentences: readonly string[];
}

/** @throws {InputError} where an option stands without the one it belongs to, or cannot be read. */
export function readDosing(words: DosingWords): Dosing {
  const stray = (['picture', 'darkest', 'lightest'] as const).find((each) => words[each] !== undefined);
  if (stray && !words.trueTones)
    throw new InputError(`found --${stray} without --true-tones; expected both, or neither`);
  const ends = {
    darkest: words.darkest === undefined ? TONE_ENDS.darkest : readShare('--darkest', words.darkest),
    lightest: words.lightest === undefined ? TONE_ENDS.lightest : readShare('--lightest', words.lightest),
  };
  const photo = words.picture === undefined ? null : readPhotoFile(words.picture).photo;
  return {
    inputs: words.picture === undefined ? [] : [words.picture],
    apply(changed, { machine, material, options }, readBack) {
      const sentences: string[] = [];
      const tones = words.trueTones ? trueTones(changed, machine, material, options, { ends, photo }) : null;
      if (tones) sentences.push(toneWords(tones));
      if (!words.even) return { changed: tones?.changed ?? null, sentences };
      const even = evenJob(tones?.changed ?? changed, machine, readBack, new Set(tones?.operations));
      sentences.push(even ? evenWords(even) : 'Lines: they are as even as S can make them on this machine.');
      return { changed: even?.evened.changed ?? tones?.changed ?? null, sentences };
    },
  };
}

function readShare(option: string, text: string): number {
  const expected = 'a share of the way from bare wood to full char, as in 95%';
  const percent = readQuantity(option, text, '%|per ?cent', expected);
  if (percent > 100) throw new InputError(`found ${option} ${text}; expected ${expected}`);
  return percent / 100;
}
