import { describe, expect, test } from 'vitest';
import { chooseFrame, type JobBounds, jobBounds, MARGIN_MM, MAX_CELLS, stockBounds } from '../src/board.ts';
import {
  type Bounds,
  cellAt,
  EMPTY_BOUNDS,
  frameBounds,
  frameOver,
  isEmptyBounds,
  meetOf,
  nearestCell,
} from '../src/grid.ts';
import type { Machine } from '../src/machine/profile.ts';
import { machineWith } from './support/machines.ts';
import { programOf } from './support/program-of.ts';

const burn = { minXMm: 10, minYMm: 20, maxXMm: 30, maxYMm: 25 };
/** A job that burns within these bounds at one height. */
const burning = (within: Bounds): Pick<JobBounds, 'burn' | 'burnZMm'> => ({ burn: within, burnZMm: [0, 0] });

describe('the grid of a forecast', () => {
  const stock = { widthMm: 60, heightMm: 30, thicknessMm: 4, xMm: -5, yMm: 2 };
  const oval = machineWith({ spot: { width_mm: [0.3, 0.15] } });

  test('is what light can fall on, in the board’s cells of a third of the smaller spot width', () => {
    const { frame, board, notes } = chooseFrame(burning(burn), stock, oval, null);
    expect(frame.cellMm).toBeCloseTo(0.05, 12);
    expect(board).toEqual({ minXMm: -5, minYMm: 2, maxXMm: 55, maxYMm: 32 });
    // From the lower left corner of the board whole cells lead to the grid's.
    expect((frame.x0Mm + 5) / frame.cellMm).toBeCloseTo(Math.round((frame.x0Mm + 5) / frame.cellMm), 9);
    expect((frame.y0Mm - 2) / frame.cellMm).toBeCloseTo(Math.round((frame.y0Mm - 2) / frame.cellMm), 9);
    // The beam's reach of 1.25 widths, three more for the maps of firings, and less than two cells.
    const [low, high] = [4.25 * 0.3, 4.25 * 0.3 + 2 * frame.cellMm];
    const { minXMm, minYMm, maxXMm, maxYMm } = frameBounds(frame);
    for (const aroundMm of [10 - minXMm, 20 - minYMm, maxXMm - 30, maxYMm - 25]) {
      expect(aroundMm).toBeGreaterThanOrEqual(low - 1e-9);
      expect(aroundMm).toBeLessThan(high);
    }
    expect(notes).toEqual([]);
  });

  test('ends with the board, and is a cell at its edge where all burns beside it', () => {
    const within = (at: Bounds) => chooseFrame(burning(at), stock, oval, 0.1).frame;
    expect(frameBounds(within({ minXMm: -20, minYMm: 2, maxXMm: 90, maxYMm: 40 }))).toEqual({
      minXMm: -5,
      minYMm: 2,
      maxXMm: 55,
      maxYMm: 32,
    });
    expect(within({ minXMm: 80, minYMm: 40, maxXMm: 90, maxYMm: 50 })).toMatchObject({ nx: 1, ny: 1 });
  });

  test('is wider where the beam is wider, and where it comes late', () => {
    const widthOf = (machine: Machine, zMm: number) => {
      const { frame } = chooseFrame({ burn, burnZMm: [0, zMm] }, stock, machine, 0.1);
      return frame.nx * frame.cellMm;
    };
    const focused = machineWith({ spot: { width_mm: [0.1, 0.1], rayleigh_mm: 1 } });
    // Ten Rayleigh lengths off a beam is √101 times as wide (ISO 11146-1), on either side.
    const wider = widthOf(focused, 10) - widthOf(focused, 0);
    expect(Math.abs(wider - 2 * 1.25 * 0.1 * (Math.sqrt(101) - 1))).toBeLessThan(0.2);
    const late = { beam_delay_ms: 5, rise_time_ms: 0.2 };
    const lateMm = (widthOf(machineWith({ laser: late }), 0) - widthOf(machineWith(), 0)) / 2;
    // 5 ms and 25 time constants of 0.2 ms at the fastest there is.
    expect(Math.abs(lateMm - 0.01 * Math.hypot(...machineWith().max_speed_mm_s.slice(0, 2)))).toBeLessThan(
      0.2,
    );
  });

  test('without a stock lies within the burn’s bounds with a margin, and says so', () => {
    const { frame, board, notes } = chooseFrame(burning(burn), null, machineWith(), 0.1);
    expect(board).toEqual({ minXMm: 7, minYMm: 17, maxXMm: 33, maxYMm: 28 });
    const { minXMm, maxYMm } = frameBounds(frame);
    expect(minXMm).toBeGreaterThan(7);
    expect(maxYMm).toBeLessThan(28);
    expect(MARGIN_MM).toBe(3);
    expect(notes.join()).toMatch(/No stock was given/);
  });

  test.each([
    [10_000, 10],
    [100_000, 100_000],
    [3, 90_000],
  ])('of %d × %d mm burned never passes the limit, and says that it was coarsened', (widthMm, heightMm) => {
    const large = { widthMm, heightMm, thicknessMm: null, xMm: 0, yMm: 0 };
    const { frame, notes } = chooseFrame(burning(stockBounds(large)), large, machineWith(), 0.02);
    expect(frame.nx * frame.ny).toBeLessThanOrEqual(MAX_CELLS);
    expect(frame.nx * frame.ny).toBeGreaterThan(MAX_CELLS * 0.9);
    expect(notes.join()).toMatch(/coarsened to/);
    // What burns counts, not the board: a small piece on it keeps its fine cells.
    const small = chooseFrame(burning(meetOf(burn, stockBounds(large))), large, machineWith(), 0.02);
    expect([small.frame.cellMm, small.notes]).toEqual([0.02, []]);
  });

  test('of cells wider than the spot is made as asked, and says what that does', () => {
    const machine = machineWith({ spot: { width_mm: [0.3, 0.15] } });
    expect(chooseFrame(burning(burn), null, machine, 0.15).notes).toHaveLength(1);
    const { frame, notes } = chooseFrame(burning(burn), null, machine, 1);
    expect(frame.cellMm).toBe(1);
    expect(notes.join()).toMatch(
      /Cells of 1 mm are wider than the spot \(0\.15 mm\): .* come out too low; cuts are judged/,
    );
  });

  test('of a job that burns nothing is a small board at the origin', () => {
    expect(chooseFrame(burning(EMPTY_BOUNDS), null, machineWith(), 1)).toMatchObject({
      board: { minXMm: -3, minYMm: -3, maxXMm: 3, maxYMm: 3 },
      frame: { nx: 1, ny: 1, x0Mm: -3, y0Mm: -3, cellMm: 1 },
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
    const near = [nearestCell(frame, 13.5, 22.5), nearestCell(frame, 0, 21.5), nearestCell(frame, 99, 99)];
    expect(near).toEqual([11, 4, 11]);
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
  const rising = programOf([
    { x: 5, rapid: true, z: 2, feed: 10 },
    { x: 9, z: 4, rapid: false, power: 'constant', s: 1 },
  ]);
  expect(jobBounds(rising, false).burnZMm).toEqual([2, 4]);
  expect(isEmptyBounds(jobBounds(programOf(steps.slice(0, 1)), false).burn)).toBe(true);
});
