import { describe, expect, test } from 'vitest';
import type { Stock } from '../../src/board.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { type LeftOver, leftOver, leftOverSentence } from '../../src/parts/left-over.ts';
import { type CellRectangle, largestRectangle } from '../../src/parts/rectangle.ts';
import { depthInside } from '../../src/polygon.ts';
import { reportOf } from '../../src/report.ts';
import { machineWith } from '../support/machines.ts';
import { seeded } from '../support/random.ts';

/** What a job leaves of its board, against trying everything out, and against sizes worked out by hand. */

const wood = shippedMaterials['poplar plywood']!;
const machine = machineWith({ spot: { width_mm: [0.2, 0.2] } });

describe('the largest rectangle of cells', () => {
  /** Every rectangle there is, tried. */
  function byTrying(isSet: Uint8Array, nx: number, ny: number): number {
    let most = 0;
    for (let j0 = 0; j0 < ny; j0++)
      for (let i0 = 0; i0 < nx; i0++)
        for (let j1 = j0; j1 < ny; j1++)
          for (let i1 = i0; i1 < nx; i1++) {
            let isWhole = true;
            for (let j = j0; j <= j1 && isWhole; j++)
              for (let i = i0; i <= i1 && isWhole; i++) isWhole = isSet[j * nx + i] === 1;
            if (isWhole) most = Math.max(most, (i1 - i0 + 1) * (j1 - j0 + 1));
          }
    return most;
  }
  const isAllSet = (isSet: Uint8Array, nx: number, { i, j, columns, rows }: CellRectangle): boolean =>
    Array.from(
      { length: rows * columns },
      (_, k) => isSet[(j + Math.floor(k / columns)) * nx + i + (k % columns)],
    ).every((each) => each === 1);

  test('is as large as any that trying finds, on 300 boards of chance', () => {
    const random = seeded(7);
    for (let board = 0; board < 300; board++) {
      const [nx, ny] = [1 + Math.floor(9 * random()), 1 + Math.floor(9 * random())];
      const part = random();
      const isSet = Uint8Array.from({ length: nx * ny }, () => (random() < part ? 1 : 0));
      const found = largestRectangle(isSet, nx, ny);
      expect(found ? found.columns * found.rows : 0).toBe(byTrying(isSet, nx, ny));
      if (found) expect(isAllSet(isSet, nx, found)).toBe(true);
    }
  });
  test('is none where nothing is set, and all where all is', () => {
    expect(largestRectangle(new Uint8Array(12), 4, 3)).toBeNull();
    expect(largestRectangle(new Uint8Array(12).fill(1), 4, 3)).toEqual({ i: 0, j: 0, columns: 4, rows: 3 });
  });
});

const square = (x: number, y: number, side: number): string =>
  `G21 G90\nM3 S0\nG0 X${x} Y${y}\nG1 X${x + side} S900 F600\nY${y + side}\nX${x}\nY${y}\nM5\nM2\n`;
const board: Stock = { widthMm: 100, heightMm: 60, thicknessMm: 3, xMm: 0, yMm: 0 };
const made = (text: string, stock: Stock | null): Forecast =>
  forecast(text, machine, wood, { stock, cellMm: 0.1 });

describe('what is left of a board', () => {
  // Half the spot lies beside a line, and areas are told in cells of half a mm, small rather than large: all in all a mm.
  const TO_MM = 1.1;

  test('lies beside a square, 1.5 mm away from it, and its inside is none', () => {
    const left = leftOver(made(square(10, 10, 20), board))!;
    const { rectangle, areaMm2, clearanceMm } = left;
    // By hand: right of the square, from x 30 + 1.5 on, over the whole height.
    expect(rectangle!.minXMm).toBeCloseTo(31.6, 9);
    expect(rectangle).toMatchObject({ minYMm: 0, maxXMm: 100, maxYMm: 60 });
    expect(areaMm2).toBeLessThan(6000 - 23 * 23);
    expect(areaMm2).toBeGreaterThan(6000 - (23 + 2 * TO_MM) ** 2);
    expect(clearanceMm).toBeCloseTo(10, 9);
  });

  // By hand: what lies within r of a rectangle's outline, or inside of it: w·h + 2r·(w + h) + πr².
  const keptFrom = (w: number, h: number, r: number) => w * h + 2 * r * (w + h) + Math.PI * r * r;

  test.each([
    [0, 0],
    [0.013, 0.007],
    [0.24, 0.37],
  ])('is as much wherever its cells lie: moved by %d, %d', (dx, dy) => {
    const frame = `G21 G90\nM3 S0\nG0 X${5 + dx} Y${5 + dy}\nG1 X${55 + dx} S900 F600\nY${45 + dy}\nX${5 + dx}\nY${5 + dy}\nM5\n`;
    for (const [widthMm, heightMm] of [
      [60, 50],
      [60.3, 50.2],
    ] as const) {
      const stock = { ...board, widthMm, heightMm };
      const { areaMm2 } = leftOver(made(frame, stock))!;
      expect(Math.abs(areaMm2 - (widthMm * heightMm - keptFrom(50, 40, 1.6)))).toBeLessThan(3);
    }
  });

  test('is as much in inches', () => {
    const inches = (mm: number) => (mm / 25.4).toFixed(5);
    const job = (head: string, of: (mm: number) => number | string) =>
      `${head} G90\nM3 S0\nG0 X${of(5)} Y${of(5)}\nG1 X${of(55)} S900 F${of(600)}\nY${of(45)}\nX${of(5)}\nY${of(5)}\nM5\n`;
    const [mm, inch] = [job('G21', (each) => each), job('G20', inches)].map((text, k) => {
      const widthMm = k === 0 ? 60 : Number(inches(60)) * 25.4;
      return leftOver(made(text, { ...board, widthMm, heightMm: 50 }))!.areaMm2;
    });
    expect(Math.abs(inch! - mm!)).toBeLessThan(0.2);
  });

  test('beside a fill and a slanted stroke too', () => {
    const rows = Array.from({ length: 41 }, (_, k) => `G0 X20 Y${20 + k / 4} S0\nG1 X40 S900 F1200`).join(
      '\n',
    );
    const filled = leftOver(made(`G21 G90\nM3\n${rows}\nM5\n`, board))!;
    expect(Math.abs(filled.areaMm2 - (6000 - keptFrom(20, 10, 1.6)))).toBeLessThan(3);
    const line = leftOver(made('G21 G90\nM3 S900\nG0 X20 Y20\nG1 X50 Y44 F600\nM5\n', board))!;
    expect(Math.abs(line.areaMm2 - (6000 - keptFrom(Math.hypot(30, 24), 0, 1.6)))).toBeLessThan(1.5);
  });

  test('keeps off marked places', () => {
    const avoid = [{ xMm: 70, yMm: 30, radiusMm: 10 }];
    const { rectangle, areaMm2 } = leftOver(made(square(10, 10, 20), { ...board, avoid }))!;
    const { areaMm2: all } = leftOver(made(square(10, 10, 20), board))!;
    expect(all - areaMm2).toBeGreaterThan(0.97 * Math.PI * 100);
    expect(all - areaMm2).toBeLessThan(1.03 * Math.PI * 100);
    const { minXMm, minYMm, maxXMm, maxYMm } = rectangle!;
    const nearest = Math.hypot(Math.max(minXMm - 70, 0, 70 - maxXMm), Math.max(minYMm - 30, 0, 30 - maxYMm));
    expect(nearest).toBeGreaterThanOrEqual(10 - 1e-9);
    // By hand: below all of it there is a strip of 8.5 mm over the whole width, beside it 28.5 of 60 or 20 of 60.
    expect((maxXMm - minXMm) * (maxYMm - minYMm)).toBeGreaterThan(27 * 60);
  });

  test('stays within the outline of an own board', () => {
    const outline = [
      [0, 0],
      [100, 0],
      [60, 60],
      [0, 60],
    ] as const;
    const { rectangle, clearanceMm, areaMm2 } = leftOver(made(square(10, 10, 20), { ...board, outline }))!;
    const { minXMm, minYMm, maxXMm, maxYMm } = rectangle!;
    for (const x of [minXMm, maxXMm])
      for (const y of [minYMm, maxYMm]) expect(depthInside(outline, x, y)).toBeGreaterThan(-1e-9);
    // By hand: a rectangle with its upper right corner on the slope x = 100 − 2/3 y from x 31.5 on has (68.5 − 2/3 y) y mm²,
    // which is most at y = 51.4: 1760 mm².
    const area = (maxXMm - minXMm) * (maxYMm - minYMm);
    expect(area).toBeGreaterThan(1760 - 130);
    expect(area).toBeLessThan(1760);
    // The outline's own area is (100 + 60) / 2 · 60.
    expect(areaMm2).toBeLessThan(4800 - 23 * 23);
    expect(areaMm2).toBeGreaterThan(4800 - (23 + 2 * TO_MM) ** 2 - 40);
    expect(clearanceMm).toBeCloseTo(10, 9);
  });

  test('is told in cells no larger than a part in 120,000 of a large board', () => {
    const large = { ...board, widthMm: 1200, heightMm: 900 };
    const { rectangle } = leftOver(
      forecast(square(10, 10, 20), machine, wood, { stock: large, cellMm: 0.5 }),
    )!;
    // Cells are 3 mm then; the rectangle is told to where something burns all the same.
    expect(rectangle!.minXMm).toBeCloseTo(31.6, 9);
  });

  test('is nothing where the job takes all of it, or leaves it', () => {
    const small = { ...board, widthMm: 24, heightMm: 24, xMm: 8, yMm: 8 };
    const left = leftOver(made(square(10, 10, 20), small))!;
    expect(left.rectangle).toBeNull();
    expect(leftOverSentence(left)).toBe(
      'The burn keeps 2 mm from the board’s edge. Nothing of the board is left over for another piece.',
    );
    const beyond = leftOver(made(square(10, 10, 20), { ...board, xMm: 20 }))!;
    expect(beyond.clearanceMm).toBeCloseTo(-10, 9);
    expect(leftOverSentence(beyond)).toMatch(/^The burn reaches 10 mm beyond the board’s edge\. /);
    expect(leftOver(made(square(10, 10, 20), { ...board, xMm: 40 }))).toBeNull();
  });

  test('reaches from burn to burn to the tenth of a millimetre, wherever these lie', () => {
    for (const [x, side] of [
      [10.13, 54.31],
      [7.77, 53.49],
      [9.02, 55.33],
    ] as const) {
      const two =
        square(x, 2.2, side).replace('M2\n', '') +
        square(x + side + 30.07, 0.4, 59.1).slice('G21 G90\n'.length);
      const { rectangle } = leftOver(made(two, { ...board, widthMm: 165 }))!;
      // Between the two there are 30.07 mm, less 1.6 on either side; elsewhere there is less.
      expect(rectangle!.minXMm).toBeCloseTo(x + side + 1.6, 6);
      expect(rectangle!.maxXMm).toBeCloseTo(x + side + 30.07 - 1.6, 6);
      expect([rectangle!.minYMm, rectangle!.maxYMm]).toEqual([0, 60]);
    }
  });

  test('offers no strip', () => {
    const strip = leftOver(made(square(10, 1, 57), { ...board, widthMm: 83 }))!;
    // To the right of the square there are 16 − 1.6 mm.
    expect(strip.rectangle).toBeNull();
    const wider = leftOver(made(square(10, 1, 57), { ...board, widthMm: 84 }))!;
    expect(wider.rectangle!.maxXMm - wider.rectangle!.minXMm).toBeCloseTo(15.4, 6);
  });

  test('is not told where the board is not known, and all of it where nothing burns', () => {
    expect(leftOver(made(square(10, 10, 20), null))).toBeNull();
    const whole = leftOver(made('G21 G90\nG0 X10 Y10\nM2\n', board))!;
    expect(whole).toEqual({
      areaMm2: 6000,
      rectangle: { minXMm: 0, minYMm: 0, maxXMm: 100, maxYMm: 60 },
      clearanceMm: null,
      atEdge: null,
    });
  });

  test('stands in the report, and is worked out once for a forecast', () => {
    const one = made(square(10, 10, 20), board);
    const left = leftOver(one)!;
    expect(leftOver(one)).toBe(left);
    expect(reportOf(one).left_over).toMatchObject({ clearance_mm: 10, rectangle_mm: { max: [100, 60] } });
    expect(reportOf(made(square(10, 10, 20), null)).left_over).toBeNull();
  });

  test.each<[LeftOver, string]>([
    [
      {
        areaMm2: 5432,
        rectangle: { minXMm: 32, minYMm: 0, maxXMm: 99.9, maxYMm: 60 },
        clearanceMm: 10,
        atEdge: 'clear',
      },
      'The burn keeps 10 mm from the board’s edge. About 54 cm² of the board are left over; the largest rectangle of that is 67.9 × 60 mm, from x 32, y 0 mm, at least 1.5 mm away from all that burns.',
    ],
    [
      { areaMm2: 150, rectangle: null, clearanceMm: null, atEdge: null },
      'About 1.5 cm² of the board are left over at least 1.5 mm away from all that burns, in no rectangle worth keeping.',
    ],
  ])('%j is said in a sentence', (left, sentence) => {
    expect(leftOverSentence(left)).toBe(sentence);
  });
});
