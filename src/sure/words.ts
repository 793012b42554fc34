import { numberWords } from '../words.ts';
import { type ComesThrough, mostPasses } from './come-through.ts';

/** What the words rest on: the cut's sureness, what counts as sure, and how many times it is burned. */
export interface Said extends ComesThrough {
  readonly sure: number;
  readonly passes: number;
}

/** Nearer to none or all than this there is no telling. */
const HARDLY = 0.015;

/** *It comes through on about 6 of 10 such boards; 9 passes make it 19 of 20.* Of too many passes none are told. */
export function sureSentence({ chanceThrough, passesForSure, sure, passes }: Said): string {
  const now = `It comes through on ${boardsWords(chanceThrough)}`;
  if (chanceThrough >= sure) return `${now}.`;
  if (passesForSure === null)
    return `${now}; not even ${mostPasses(passes)} passes make it ${partWords(sure)}.`;
  if (passesForSure <= passes) return `${now}.`;
  return `${now}; ${passesForSure} passes make it ${partWords(sure)}.`;
}

/** A chance as so many boards: `about 6 of 10 such boards`. */
export function boardsWords(chance: number): string {
  if (chance < HARDLY) return 'hardly any such board';
  if (chance < 0.05) return 'fewer than 1 of 20 such boards';
  if (chance > 1 - HARDLY) return 'nearly every such board';
  if (chance >= 0.95) return 'at least 19 of 20 such boards';
  return `about ${Math.min(9, Math.max(1, Math.round(chance * 10)))} of 10 such boards`;
}

/** A part that is enough: `19 of 20`, `90 of 100`. */
export function partWords(part: number): string {
  for (const of of [10, 20, 100]) {
    const count = part * of;
    if (Math.abs(count - Math.round(count)) < 1e-9) return `${Math.round(count)} of ${of}`;
  }
  return `${numberWords(part * 100, 3)} of 100`;
}
