import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { frameOver, type GridFrame } from '../../src/grid.ts';
import { type Join, resample } from '../../src/picture/resample.ts';
import { type View, viewOver } from '../../src/picture/view.ts';
import { stockOf } from './scenes.ts';

/** The slow obvious version: for every pixel the overlap with every cell. */
function areaAverage(values: ArrayLike<number>, frame: GridFrame, view: View): Float64Array {
  const out = new Float64Array(view.widthPx * view.heightPx);
  const side = 1 / view.pxPerMm;
  const overlap = (a0: number, a1: number, b0: number, b1: number) =>
    Math.max(0, Math.min(a1, b1) - Math.max(a0, b0));
  for (let row = 0; row < view.heightPx; row++) {
    const y0 = view.bottomMm + (view.heightPx - 1 - row) * side;
    for (let column = 0; column < view.widthPx; column++) {
      const x0 = view.leftMm + column * side;
      let sum = 0;
      for (let j = 0; j < frame.ny; j++) {
        const cy = frame.y0Mm + j * frame.cellMm;
        const high = overlap(y0, y0 + side, cy, cy + frame.cellMm);
        for (let i = 0; high > 0 && i < frame.nx; i++) {
          const cx = frame.x0Mm + i * frame.cellMm;
          sum += values[j * frame.nx + i]! * high * overlap(x0, x0 + side, cx, cx + frame.cellMm);
        }
      }
      out[row * view.widthPx + column] = sum / (side * side);
    }
  }
  return out;
}

const sum = (values: ArrayLike<number>): number => {
  let total = 0;
  for (let k = 0; k < values.length; k++) total += values[k]!;
  return total;
};

const frame = fc.record({
  nx: fc.integer({ min: 1, max: 23 }),
  ny: fc.integer({ min: 1, max: 17 }),
  x0Mm: fc.double({ min: -50, max: 50, noNaN: true }),
  y0Mm: fc.double({ min: -50, max: 50, noNaN: true }),
  cellMm: fc.double({ min: 0.03, max: 2, noNaN: true }),
});
const seeds = fc.integer({ min: 1, max: 1e6 });

function randomValues(count: number, seed: number): Float32Array {
  let state = seed;
  return Float32Array.from({ length: count }, () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  });
}

/** A view that covers the frame with a rim around it, not aligned with the cells. */
function coveringView(f: GridFrame, pxPerMm: number): View {
  const rimPx = 3;
  return {
    leftMm: f.x0Mm - (rimPx - 0.37) / pxPerMm,
    bottomMm: f.y0Mm - (rimPx - 0.61) / pxPerMm,
    pxPerMm,
    widthPx: Math.ceil(f.nx * f.cellMm * pxPerMm) + 2 * rimPx,
    heightPx: Math.ceil(f.ny * f.cellMm * pxPerMm) + 2 * rimPx,
  };
}

describe('resample', () => {
  it('averages by area exactly as a sum over all overlaps does', () => {
    fc.assert(
      fc.property(frame, seeds, fc.double({ min: 0.91, max: 1.9, noNaN: true }), (f, seed, pxPerCell) => {
        const values = randomValues(f.nx * f.ny, seed);
        const view = coveringView(f, pxPerCell / f.cellMm);
        const expected = areaAverage(values, f, view);
        const got = resample(values, f, view);
        for (let k = 0; k < got.length; k++) expect(got[k]).toBeCloseTo(expected[k]!, 4);
      }),
      { numRuns: 60 },
    );
  });

  it('evens fine rows, so that they do not beat with the pixels', () => {
    // Rows 1.06 pixels apart, a tenth of a pixel wide: the mean over a pixel alone beats by a fifth.
    const f: GridFrame = { nx: 2, ny: 2120, x0Mm: 0, y0Mm: 0, cellMm: 0.01 };
    const values = Float32Array.from({ length: 2 * 2120 }, (_, k) => ((k >> 1) % 53 < 5 ? 1 : 0));
    const view = { leftMm: 0, bottomMm: 0, pxPerMm: 2, widthPx: 1, heightPx: 42 };
    const beat = (of: ArrayLike<number>) => {
      const inner = Array.from(of).slice(1, -1);
      return (Math.max(...inner) - Math.min(...inner)) / (sum(inner) / inner.length);
    };
    expect(beat(areaAverage(values, f, view))).toBeGreaterThan(0.15);
    // Evened twice, each harmonic k is left with sinc²(k / 1.06): 0.014 and 0.014 of the mean for the first two.
    expect(beat(resample(values, f, view))).toBeLessThan(0.045);
  });

  it('keeps the total at any scale, and never leaves the range of the values', () => {
    const join = fc.constantFrom<Join>('straight', 'soft');
    fc.assert(
      fc.property(
        frame,
        seeds,
        fc.double({ min: 0.1, max: 9, noNaN: true }),
        join,
        (f, seed, pxPerCell, how) => {
          const values = randomValues(f.nx * f.ny, seed);
          const got = resample(values, f, coveringView(f, pxPerCell / f.cellMm), how);
          // Joints are taken at pixel middles: a cell that holds two pixels and a bit gives a bit more or less.
          const tolerance = pxPerCell < 2 ? 1e-5 : 0.25 / pxPerCell;
          expect(Math.abs(sum(got) / pxPerCell ** 2 / sum(values) - 1)).toBeLessThan(tolerance);
          expect(Math.min(...got)).toBeGreaterThanOrEqual(0);
          expect(Math.max(...got)).toBeLessThanOrEqual(Math.max(...values) * (1 + 1e-5));
        },
      ),
    );
  });

  it('keeps the total exactly when a cell is a whole number of pixels', () => {
    const f: GridFrame = { nx: 7, ny: 5, x0Mm: 3, y0Mm: -2, cellMm: 0.5 };
    const values = randomValues(35, 11);
    for (const how of ['straight', 'soft'] as const) {
      for (const pxPerCell of [2, 3, 8]) {
        const view = {
          leftMm: 3,
          bottomMm: -2,
          pxPerMm: pxPerCell * 2,
          widthPx: 7 * pxPerCell,
          heightPx: 5 * pxPerCell,
        };
        const got = resample(values, f, view, how);
        expect(sum(got) / pxPerCell ** 2).toBeCloseTo(sum(values), 4);
      }
    }
  });

  it('puts row 0 of the grid at the bottom', () => {
    const f: GridFrame = { nx: 3, ny: 4, x0Mm: 0, y0Mm: 0, cellMm: 1 };
    const values = new Float32Array(12);
    values[3 * 3 + 2] = 5;
    const view = { leftMm: 0, bottomMm: 0, pxPerMm: 1, widthPx: 3, heightPx: 4 };
    expect([...resample(values, f, view)]).toEqual([0, 0, 5, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
  });

  it('keeps what is even even, magnified or not', () => {
    const f: GridFrame = { nx: 9, ny: 6, x0Mm: 0, y0Mm: 0, cellMm: 1 };
    const values = new Float32Array(54).fill(0.7);
    for (const pxPerMm of [0.5, 1, 1.5, 2, 3, 7]) {
      for (const how of ['straight', 'soft'] as const) {
        const view = {
          leftMm: 0,
          bottomMm: 0,
          pxPerMm,
          widthPx: Math.floor(9 * pxPerMm),
          heightPx: 6 * pxPerMm,
        };
        for (const value of resample(values, f, view, how)) expect(value).toBeCloseTo(0.7, 5);
      }
    }
  });

  it('keeps the value of a cell in its middle when joined by straight lines', () => {
    const f: GridFrame = { nx: 6, ny: 1, x0Mm: 0, y0Mm: 0, cellMm: 1 };
    const values = randomValues(6, 5);
    const got = resample(values, f, { leftMm: 0, bottomMm: 0, pxPerMm: 5, widthPx: 30, heightPx: 5 });
    for (let i = 0; i < 6; i++) expect(got[2 * 30 + i * 5 + 2]).toBeCloseTo(values[i]!, 6);
  });

  it('shows the same in a close-up as in the whole', () => {
    const stock = stockOf(20, 12);
    const f = frameOver(stock, 0.25);
    const values = randomValues(f.nx * f.ny, 3);
    const whole = viewOver(stock, f, 160);
    const part: View = { leftMm: 5, bottomMm: 3, pxPerMm: whole.pxPerMm, widthPx: 40, heightPx: 24 };
    const all = resample(values, f, whole);
    const some = resample(values, f, part);
    const left = Math.round(5 * whole.pxPerMm);
    const top = whole.heightPx - Math.round(3 * whole.pxPerMm) - 24;
    for (let y = 0; y < 24; y++) {
      for (let x = 0; x < 40; x++) {
        expect(some[y * 40 + x]).toBeCloseTo(all[(top + y) * whole.widthPx + left + x]!, 5);
      }
    }
  });

  it('finds nothing beside the grid', () => {
    const f: GridFrame = { nx: 2, ny: 2, x0Mm: 0, y0Mm: 0, cellMm: 1 };
    const view = { leftMm: 10, bottomMm: 10, pxPerMm: 4, widthPx: 8, heightPx: 8 };
    expect(sum(resample(new Float32Array(4).fill(1), f, view))).toBe(0);
  });
});

describe('viewOver', () => {
  it('makes every cell whole pixels, or every pixel whole cells, where a size near by allows it', () => {
    for (const [long, cell] of [
      [120, 0.03],
      [95, 0.05],
      [20, 0.05],
      [3, 0.05],
      [300, 0.05],
    ] as const) {
      const stock = stockOf(long, long / 4);
      const view = viewOver(stock, frameOver(stock, cell), 1800);
      const ratio = cell * view.pxPerMm;
      const whole = ratio >= 1 ? ratio : 1 / ratio;
      expect(whole).toBeCloseTo(Math.round(whole), 6);
      expect(view.widthPx).toBeGreaterThanOrEqual(1590);
      expect(view.widthPx).toBeLessThanOrEqual(2210);
    }
  });

  it.each([
    ['a pixel a cell', 1300, 1],
    ['two pixels a cell', 2500, 2],
    ['a pixel for three cells', 430, 1 / 3],
  ])('with %s starts on a cell edge, the nearest there is to the board’s', (_name, longSidePx, pxPerCell) => {
    const stock = stockOf(61.7, 33.1, 10.013, -4.4);
    const f = frameOver(stockOf(80, 60, 0, -20), 0.05);
    const view = viewOver(stock, f, longSidePx);
    expect(view.pxPerMm * f.cellMm).toBeCloseTo(pxPerCell, 12);
    const stepMm = f.cellMm / Math.max(1, pxPerCell);
    for (const [from, zero, edge] of [
      [view.leftMm, f.x0Mm, stock.minXMm],
      [view.bottomMm, f.y0Mm, stock.minYMm],
    ] as const) {
      expect((from - zero) / stepMm).toBeCloseTo(Math.round((from - zero) / stepMm), 6);
      expect(Math.abs(from - edge)).toBeLessThanOrEqual(stepMm / 2 + 1e-9);
    }
  });

  it('starts on the board’s edge where no pixel is whole cells', () => {
    const stock = stockOf(61.7, 33.1, 10.013, -4.4);
    const view = viewOver(stock, frameOver(stockOf(80, 60, 0, -20), 0.05), 1800);
    expect([view.leftMm, view.bottomMm]).toEqual([10.013, -4.4]);
  });

  it('refuses a board without a size and a picture without pixels', () => {
    const f = frameOver(stockOf(10, 10), 1);
    expect(() => viewOver({ ...stockOf(1, 1), minXMm: 5 }, f, 1800)).toThrow(/expected a board with a size/);
    expect(() => viewOver(stockOf(10, 10), f, 0)).toThrow(/invalid longSidePx: 0/);
  });
});
