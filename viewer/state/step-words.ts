import { SETTING_NAMES, type Settings } from '../../src/change/change.ts';
import type { Setup } from '../worker/messages.ts';
import type { Second } from './beside.ts';
import { type Changes, changeList, WHOLE } from './changes.ts';
import { isSame } from './same.ts';

/** All of the bench that can be changed there, and of the second job beside it. */
export interface BenchState extends Pick<Setup, 'machine' | 'material' | 'stock'> {
  readonly changes: Changes;
  readonly second: Second | null;
  readonly secondChanges: Changes;
}

export const isSameBench = (a: BenchState, b: BenchState): boolean =>
  isSame(a.machine, b.machine) &&
  isSame(a.material, b.material) &&
  isSame(a.stock, b.stock) &&
  isSame(changeList(a.changes), changeList(b.changes)) &&
  a.second === b.second &&
  isSame(changeList(a.secondChanges), changeList(b.secondChanges));

/** Settings as what a step back takes back. */
const SETTING_WORDS: Readonly<Record<keyof Settings, string>> = {
  ...SETTING_NAMES,
  last: 'place in the order',
  insideFirst: 'cutting order',
  skip: 'leaving out',
  only: 'leaving out of the others',
  shiftMm: 'place',
};

/** What differs between two states of the bench: `speed of operation 2`, `the machine`. */
export function stepWords(a: BenchState, b: BenchState): string {
  const parts: string[] = [];
  if (!isSame(a.machine, b.machine)) parts.push('the machine');
  if (!isSame(a.material, b.material)) parts.push('the wood');
  if (!isSame(a.stock, b.stock)) parts.push(boardWords(a, b));
  const settings = settingWords(a.changes, b.changes, '');
  if (settings) parts.push(settings);
  if (a.second !== b.second) parts.push('the second job');
  else {
    const ofSecond = settingWords(a.secondChanges, b.secondChanges, ' of B');
    if (ofSecond) parts.push(ofSecond);
  }
  return parts.join(', ');
}

function settingWords(a: Changes, b: Changes, named: string): string | null {
  const operations = [...new Set([...a.keys(), ...b.keys()])]
    .map((n) => [n, keysApart(a.get(n) ?? {}, b.get(n) ?? {})] as const)
    .filter(([, keys]) => keys.length > 0);
  if (operations.length > 1) return `settings of several operations${named}`;
  const [first] = operations;
  if (!first) return null;
  const [n, keys] = first;
  return `${keys.map((key) => SETTING_WORDS[key]).join(' and ')} of ${n === WHOLE ? 'the job' : `operation ${n}`}${named}`;
}

const keysApart = (a: Settings, b: Settings): (keyof Settings)[] =>
  (Object.keys(SETTING_WORDS) as (keyof Settings)[]).filter((key) => !isSame(a[key], b[key]));

function boardWords({ stock: a }: BenchState, { stock: b }: BenchState): string {
  const isMoved = a && b && isSame({ ...a, xMm: 0, yMm: 0 }, { ...b, xMm: 0, yMm: 0 });
  const isMarked = a && b && isSame({ ...a, avoid: null }, { ...b, avoid: null });
  return isMoved ? 'where the board lies' : isMarked ? 'the marked places' : 'the board';
}
