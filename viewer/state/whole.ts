import type { Bounds } from '../../src/grid.ts';
import { greatestOf, leastOf } from '../../src/lists.ts';
import type { Scene } from '../worker/messages.ts';

/** The piece of wood on which all these burns lie: two jobs without a given board may each have one of their own. */
export const wholeBoard = (scenes: readonly Scene[]): Bounds => {
  const boards = scenes.map(({ forecast }) => forecast.board);
  return {
    minXMm: leastOf(boards.map((b) => b.minXMm)),
    minYMm: leastOf(boards.map((b) => b.minYMm)),
    maxXMm: greatestOf(boards.map((b) => b.maxXMm)),
    maxYMm: greatestOf(boards.map((b) => b.maxYMm)),
  };
};
