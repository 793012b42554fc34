import { describe, expect, test } from 'vitest';
import { chooseFrame, jobBounds, MARGIN_MM, MAX_CELLS } from '../src/board.ts';
import { cellAt, EMPTY_BOUNDS, frameOver, isEmptyBounds } from '../src/grid.ts';
import { machineWith } from './support/machines.ts';
import { programOf } from './support/program-of.ts';

const burn = { minXMm: 10, minYMm: 20, maxXMm: 30, maxYMm: 25 };

describe('the grid of a forecast', () => {
  test('is the stock, in cells of a third of the smaller spot width', () => {
    const stock = { widthMm: 60, heightMm: 30, thicknessMm: 4, xMm: -5, yMm: 2 };
    const { frame, notes } = chooseFrame(burn, stock, machineWith({ spot: { width_mm: [0.3, 0.15] } }), null);
    expect(frame).toMatchObject({ nx: 1200, ny: 600, x0Mm: -5, y0Mm: 2 });
    expect(frame.cellMm).toBeCloseTo(0.05, 12);
    expect(notes).toEqual([]);
  });

  test('without a stock is the burn’s bounds with a margin, and says so', () => {
    const { frame, board, notes } = chooseFrame(burn, null, machineWith(), 0.1);
    expect(board).toEqual({ minXMm: 7, minYMm: 17, maxXMm: 33, maxYMm: 28 });
    expect([frame.nx, frame.ny]).toEqual([(20 + 2 * MARGIN_MM) / 0.1, (5 + 2 * MARGIN_MM) / 0.1]);
    expect(notes.join()).toMatch(/No stock was given/);
  });

  test.each([
    [10_000, 10],
    [100_000, 100_000],
    [3, 90_000],
  ])(
    'of a board of %d × %d mm never passes the limit, and says that it was coarsened',
    (widthMm, heightMm) => {
      const stock = { widthMm, heightMm, thicknessMm: null, xMm: 0, yMm: 0 };
      const { frame, notes } = chooseFrame(burn, stock, machineWith(), 0.02);
      expect(frame.nx * frame.ny).toBeLessThanOrEqual(MAX_CELLS);
      expect(frame.nx * frame.ny).toBeGreaterThan(MAX_CELLS * 0.9);
      expect(notes.join()).toMatch(/coarsened to/);
    },
  );

  test('of cells wider than the spot is made as asked, and says what that does', () => {
    const machine = machineWith({ spot: { width_mm: [0.3, 0.15] } });
    expect(chooseFrame(burn, null, machine, 0.15).notes).toHaveLength(1);
    const { frame, notes } = chooseFrame(burn, null, machine, 1);
    expect(frame.cellMm).toBe(1);
    expect(notes.join()).toMatch(
      /Cells of 1 mm are wider than the spot \(0\.15 mm\): .* come out too low; cuts are judged/,
    );
  });

  test('of a job that burns nothing is a small board at the origin', () => {
    expect(chooseFrame(EMPTY_BOUNDS, null, machineWith(), 1).frame).toEqual({
      nx: 6,
      ny: 6,
      x0Mm: -3,
      y0Mm: -3,
      cellMm: 1,
    });
  });
});

describe('frames', () => {
  test('cover their rectangle, a whole number of cells staying that number', () => {
    expect(frameOver({ minXMm: 0, minYMm: 0, maxXMm: 14, maxYMm: 10 }, 0.05)).toMatchObject({
      nx: 280,
      ny: 200,
    });
    const odd = frameOver({ minXMm: 1, minYMm: 1, maxXMm: 2.04, maxYMm: 1.01 }, 0.1);
    expect(odd).toMatchObject({ nx: 11, ny: 1 });
    expect(odd.x0Mm + odd.nx * odd.cellMm).toBeGreaterThanOrEqual(2.04);
    expect(() => frameOver(burn, 0)).toThrow(/invalid cellMm: 0/);
  });

  test('row 0 is the lowest y, and outside is -1', () => {
    const frame = { nx: 4, ny: 3, x0Mm: 10, y0Mm: 20, cellMm: 1 };
    expect(cellAt(frame, 10.5, 20.5)).toBe(0);
    expect(cellAt(frame, 13.5, 22.5)).toBe(11);
    expect([cellAt(frame, 9.9, 20), cellAt(frame, 14, 20), cellAt(frame, 10, 23)]).toEqual([-1, -1, -1]);
  });
});

test('bounds tell the whole way from what burns', () => {
  const steps = [
    { x: 50, y: 60, rapid: true, feed: 10 },
    { x: 55, rapid: false, power: 'constant', s: 100 },
    { x: 90, s: 0 },
  ] as const;
  const { all, burn: burned } = jobBounds(programOf(steps), false);
  expect(all).toEqual({ minXMm: 0, minYMm: 0, maxXMm: 90, maxYMm: 60 });
  expect(burned).toEqual({ minXMm: 50, minYMm: 60, maxXMm: 55, maxYMm: 60 });
  expect(isEmptyBounds(jobBounds(programOf(steps.slice(0, 1)), false).burn)).toBe(true);
});
