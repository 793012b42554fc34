import type { Bounds } from '../../src/grid.ts';

/** What is on the stage, as far as it decides where to look. */
export interface OnStage {
  readonly job: string;
  /** Whether a second burn is shown beside the first. */
  readonly isPair: boolean;
  /** The first burn's own board, and what holds all that is shown. */
  readonly board: Bounds;
  readonly whole: Bounds;
}

/**
 * Where the eye goes when another burn is shown: at the whole board of another job or pair; at the whole of a board that got
 * another size, unless the person has moved the view; along with a board that was moved under its job; nowhere else.
 */
export function glance(before: OnStage | null, now: OnStage): 'whole' | 'whole unless moved' | 'along' {
  if (before === null || before.job !== now.job) return 'whole';
  const isAsLarge = isSameSize(now.whole, before.whole);
  if (before.isPair !== now.isPair && !isAsLarge) return 'whole';
  return isAsLarge ? 'along' : 'whole unless moved';
}

const isSameSize = (a: Bounds, b: Bounds): boolean =>
  Math.abs(a.maxXMm - a.minXMm - b.maxXMm + b.minXMm) < 1e-6 &&
  Math.abs(a.maxYMm - a.minYMm - b.maxYMm + b.minYMm) < 1e-6;
