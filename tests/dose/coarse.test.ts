import erf from '@stdlib/math-base-special-erf';
import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { coarseningAt, startDeposit } from '../../src/dose/deposit.ts';
import type { Stroke } from '../../src/dose/visitor.ts';
import { forecast } from '../../src/forecast.ts';
import { integrate } from '../../src/grid.ts';
import { frame } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';

/** Light far out of focus, laid on coarser cells: against the exact cell means of a Gaussian, and by its energy. */

const normalCdf = (u: number) => 0.5 * (1 + erf(u / Math.SQRT2));
/** σ = 0.05 mm in focus; z = 0.5 mm is one Rayleigh length. */
const { spot } = machineWith({ spot: { width_mm: [0.2, 0.2], rayleigh_mm: 0.5 } });
const CELL_MM = 0.05;
const sigmaAt = (zMm: number) => 0.05 * Math.sqrt(1 + (zMm / 0.5) ** 2);
const flash = (x: number, y: number, z: number, energyJ: number): Stroke => ({
  x0: x,
  y0: y,
  x1: x,
  y1: y,
  z,
  energyJ,
  startS: 0,
  durationS: 0.1,
  move: 0,
});

test.each([
  [15, 1],
  [17, 2],
  [40, 4],
  [400, 32],
])('at z = %d mm %d cells count as one: σ spans at most 32 of them', (zMm, times) => {
  expect(coarseningAt(spot, zMm, CELL_MM)).toBe(times);
  expect(sigmaAt(zMm) / (CELL_MM * times)).toBeLessThanOrEqual(32);
});

describe.each([17, 25, 40, 400])('a flash at z = %d mm', (zMm) => {
  const grid = frame(-7, -9, 311, 283, CELL_MM);
  const deposit = startDeposit(spot, grid);
  deposit.rest(flash(0.3, 0.7, zMm, 2));
  const dose = deposit.finish();
  const sigma = sigmaAt(zMm);
  const share = (fromMm: number, toMm: number, middleMm: number) =>
    normalCdf((toMm - middleMm) / sigma) - normalCdf((fromMm - middleMm) / sigma);

  test('has the exact means in its cells, to a thousandth of the peak', () => {
    const peak = 2 / (2 * Math.PI * sigma * sigma);
    for (let j = 0; j < grid.ny; j += 7) {
      for (let i = 0; i < grid.nx; i += 7) {
        const [x, y] = [grid.x0Mm + i * CELL_MM, grid.y0Mm + j * CELL_MM];
        const exact = (2 * share(x, x + CELL_MM, 0.3) * share(y, y + CELL_MM, 0.7)) / CELL_MM ** 2;
        // At the grid's edge there is no coarse cell beyond to draw the line to.
        const isEdge = Math.min(i, j, grid.nx - 1 - i, grid.ny - 1 - j) < coarseningAt(spot, zMm, CELL_MM);
        // Brushes are shared by focuses that differ by less than 1/400, which is 1/400 of the peak.
        expect(Math.abs(dose.grid.data[j * grid.nx + i]! - exact)).toBeLessThan(
          (isEdge ? 0.03 : 0.0035) * peak,
        );
      }
    }
  });

  test('keeps its energy: on the grid and beside it add up, and each is what a Gaussian gives', () => {
    expect(Math.abs(integrate(dose.grid) + dose.outsideJ - 2)).toBeLessThan(2e-6);
    const onGrid = share(-7, -7 + 311 * CELL_MM, 0.3) * share(-9, -9 + 283 * CELL_MM, 0.7);
    expect(Math.abs(integrate(dose.grid) - 2 * onGrid)).toBeLessThan(0.01 * 2 * onGrid);
    const middle = 180 * grid.nx + 150;
    expect(Math.exp(dose.doseLnDwell[middle]! / dose.grid.data[middle]!)).toBeCloseTo(0.1, 5);
  });
});

test('two flashes far out of focus stay two: side by side they are not as dark as one upon the other', () => {
  const sigma = sigmaAt(40);
  const grid = frame(-7, -9, 311, 283, CELL_MM);
  const deposit = startDeposit(spot, grid);
  for (const x of [0.3 - sigma, 0.3 + sigma]) deposit.rest(flash(x, 0.7, 40, 1));
  const { data } = deposit.finish().grid;
  // In the middle, a σ from each: e^(−1/2) of what both give upon one another.
  const middle = Math.floor((0.7 + 9) / CELL_MM) * grid.nx + Math.floor((0.3 + 7) / CELL_MM);
  expect(data[middle]! / ((2 * Math.exp(-0.5)) / (2 * Math.PI * sigma * sigma))).toBeCloseTo(1, 2);
});

test.each(['gaussian', 'uniform-ellipse'] as const)(
  'a move up to 800 times the focus is forecast, keeps its energy, and says that it is coarse: %s',
  (shape) => {
    const machine = machineWith({ spot: { shape, width_mm: [0.1, 0.1], rayleigh_mm: 0.5 } });
    const stock = { widthMm: 42, heightMm: 22, thicknessMm: 4, xMm: 0, yMm: 0 };
    const text = 'G21 G90\nM3 S800\nG1 F3000\nG1 X20 Y7 Z400\nX40 Y20\nM5\n';
    const { dose, notes } = forecast(text, machine, shippedMaterials.basswood!, { stock, cellMm: 0.05 });
    expect(Math.abs(integrate(dose.grid) + dose.outsideJ - dose.energyJ)).toBeLessThan(1e-5 * dose.energyJ);
    expect(notes.join(' ')).toMatch(
      /800 times as wide there.* Light spread so far is worked out on cells 16 times as wide\./,
    );
  },
);

test('nothing is said of it where the spot stays small', () => {
  const machine = machineWith({ spot: { rayleigh_mm: 0.5 } });
  const { notes } = forecast('G21\nG0 Z5\nM3 S500\nG1 X9 F900\nM5\n', machine, shippedMaterials.basswood!);
  expect(notes.join(' ')).toMatch(/times as wide there/);
  expect(notes.join(' ')).not.toMatch(/worked out on cells/);
});
