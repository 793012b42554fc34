import { numberWords } from '../words.ts';

/** How far a burn is from what was meant, in lightness L* (CIE 1976), over the length of the rows. */
export interface ToneErrors {
  readonly meanDeltaL: number;
  /** Not exceeded on 95 % of the length. */
  readonly mostDeltaL: number;
}

/** What rows were meant to look like, by how far off they are: as they were, and with their S set for it. */
export interface ToneWish {
  /** The operations that were meant so, by number. */
  readonly operations: readonly number[];
  readonly before: ToneErrors;
  readonly after: ToneErrors;
}

/** How far each of two burns is from what both were meant to look like. */
export interface OffBy {
  readonly a: ToneErrors;
  readonly b: ToneErrors;
}

export const offByWords = ({ meanDeltaL, mostDeltaL }: ToneErrors): string =>
  `${numberWords(meanDeltaL, 2)} on the mean, ${numberWords(mostDeltaL, 2)} at 95 %`;
