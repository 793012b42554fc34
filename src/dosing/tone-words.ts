import type { ToneErrors } from '../compare/tone-wish.ts';
import { numberWords, percentWords } from '../words.ts';
import type { TrueTones } from './true-tones.ts';

/** What was done, in plain sentences. */
export function toneWords({
  operations,
  before,
  after,
  tooDarkShare,
  tooLightShare,
  addedMoves,
}: TrueTones): string {
  const which =
    operations.length === 1 ? `operation ${operations[0]} is` : `operations ${operations.join(', ')} are`;
  const far = ({ meanDeltaL, mostDeltaL }: ToneErrors, unit: string) =>
    `${numberWords(meanDeltaL, 2)}${unit} on the mean and ${numberWords(mostDeltaL, 2)} at 95 %`;
  return [
    `Tones: ${which} off what is meant by ${far(after, ' steps of lightness (L*, of 100)')}, before by ${far(before, '')}.`,
    tooLightShare >= WORTH_SAYING
      ? `On ${percentWords(tooLightShare)} of the rows the laser has less power than that takes: slower rows, or closer ones, would do.`
      : '',
    tooDarkShare >= WORTH_SAYING
      ? `On ${percentWords(tooDarkShare)} of the rows the laser’s steps or threshold have no power so small: faster rows would need more.`
      : '',
    addedMoves > 0 ? `${addedMoves === 1 ? '1 line was' : `${addedMoves} lines were`} added.` : '',
  ]
    .filter((sentence) => sentence !== '')
    .join(' ');
}

/** A smaller part of the rows than this is not worth a sentence. */
const WORTH_SAYING = 0.005;
