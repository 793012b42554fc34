import { burnsAtFeed } from './beam-on.ts';
import type { Program } from './program.ts';

/** With these words the comment begins that stands on the first line of a swatch's job. */
export const SWATCH_TITLE = 'calibration swatch';

/** Its marks take up no more than this part of the way from one to the next. */
const MARK_SHARE = 0.3;

/**
 * Whether a job is a calibration swatch: by the comment on its first line, and because what it burns first are rows
 * that fill the four corners of an upright rectangle, and nothing in between.
 */
export function isSwatchJob({ titledSwatch, operations, moves }: Program): boolean {
  const marks = operations.find(({ n }) => n === 1);
  if (!titledSwatch || marks?.kind !== 'rows') return false;
  const { firstMove, lastMove } = marks;
  const { xMm, yMm } = moves;
  let [left, right, low, high] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let k = firstMove; k <= lastMove; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    left = Math.min(left, xMm[k]!);
    right = Math.max(right, xMm[k]!);
    low = Math.min(low, yMm[k]!);
    high = Math.max(high, yMm[k]!);
  }
  const corners = new Set<number>();
  for (let k = firstMove; k <= lastMove; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    const sideX = sideOf((xMm[k]! - left) / (right - left));
    const sideY = sideOf((yMm[k]! - low) / (high - low));
    if (sideX === null || sideY === null) return false;
    corners.add(2 * sideX + sideY);
  }
  return corners.size === 4;
}

/** At which end of a way a place lies, 0 or 1; null: in between. */
const sideOf = (share: number): 0 | 1 | null =>
  share <= MARK_SHARE ? 0 : share >= 1 - MARK_SHARE ? 1 : null;
