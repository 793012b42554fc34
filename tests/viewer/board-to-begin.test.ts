import { describe, expect, test } from 'vitest';
import { stockBounds } from '../../src/board.ts';
import { EMPTY_BOUNDS } from '../../src/grid.ts';
import { boardToBegin } from '../../viewer/bench/board-to-begin.ts';

const bounds = (minXMm: number, minYMm: number, maxXMm: number, maxYMm: number) => ({
  minXMm,
  minYMm,
  maxXMm,
  maxYMm,
});

describe('a board to begin with', () => {
  test('is the burn and ten millimetres around it, in whole millimetres', () => {
    expect(boardToBegin(bounds(30.4, 21, 70.2, 45))).toEqual({
      widthMm: 61,
      heightMm: 44,
      thicknessMm: 4,
      xMm: 20,
      yMm: 11,
    });
  });

  test('begins at the origin where the burn begins near it', () => {
    const near = boardToBegin(bounds(3, 0, 60, 20));
    expect(near).toMatchObject({ xMm: 0, yMm: 0, widthMm: 70, heightMm: 30 });
  });

  test('holds the burn wherever it lies', () => {
    for (const x of [-420.3, -4, 0, 2.2, 9.9, 1200.7])
      for (const size of [0, 0.3, 55.5, 400]) {
        const board = stockBounds(boardToBegin(bounds(x, -x, x + size, size - x)));
        expect(board.minXMm).toBeLessThanOrEqual(x);
        expect(board.minYMm).toBeLessThanOrEqual(-x);
        expect(board.maxXMm).toBeGreaterThanOrEqual(x + size + 10);
        expect(board.maxYMm).toBeGreaterThanOrEqual(size - x + 10);
      }
  });

  test('is one of usual size where nothing burns', () => {
    expect(boardToBegin(EMPTY_BOUNDS)).toMatchObject({ widthMm: 200, heightMm: 100 });
    expect(boardToBegin(null)).toMatchObject({ widthMm: 200, heightMm: 100 });
  });
});
