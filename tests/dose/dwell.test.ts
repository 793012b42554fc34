import { expect, test } from 'vitest';
import { startDeposit } from '../../src/dose/deposit.ts';
import { startTally } from '../../src/dose/tally.ts';
import { integrate } from '../../src/grid.ts';
import { frame } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { programOf } from '../support/program-of.ts';

/** Dwell rides along with the dose: the width of the spot where it meets the wood over the speed, or the time itself. */

const { spot } = machineWith({ spot: { width_mm: [0.2, 0.2], rayleigh_mm: 1 } });
const grid = frame(-5, -5, 100, 100, 0.1);
const dwellAt = (
  { grid: { data }, doseLnDwell }: ReturnType<ReturnType<typeof startDeposit>['finish']>,
  x: number,
  y: number,
) => {
  const cell = Math.floor((y + 5) / 0.1) * 100 + Math.floor((x + 5) / 0.1);
  return Math.exp(doseLnDwell[cell]! / data[cell]!);
};
const stroke = { x0: -20, y0: 0.05, x1: 20, y1: 0.05, energyJ: 8, startS: 0, durationS: 2, move: 0 };

test('a line out of focus: the wider spot over the speed', () => {
  // z = √3 Rayleigh lengths: twice as wide.
  const deposit = startDeposit(spot, grid);
  deposit.stroke({ ...stroke, z: Math.sqrt(3) });
  expect(dwellAt(deposit.finish(), 0, 0.05) / ((2 * 0.2) / 20)).toBeCloseTo(1, 2);
});

test('straight down with the beam on: the time it takes', () => {
  const deposit = startDeposit(spot, grid);
  deposit.stroke({ ...stroke, x0: 1, y0: 1, x1: 1, y1: 1, z: 0.1 });
  const fallen = deposit.finish();
  expect(dwellAt(fallen, 1, 1)).toBeCloseTo(2, 5);
  expect(integrate(fallen.grid)).toBeCloseTo(8, 4);
});

test('pieces at two heights by turns are all on the grid in the end', () => {
  const deposit = startDeposit(spot, grid);
  for (let k = 0; k < 4; k++) deposit.stroke({ ...stroke, x0: -2, x1: 2, y0: k - 1, y1: k - 1, z: k % 2 });
  const { grid: fallen, energyJ, outsideJ } = deposit.finish();
  expect([energyJ, outsideJ]).toEqual([32, 0]);
  expect(Math.abs(integrate(fallen) - 32)).toBeLessThan(1e-4);
});

test('energy and time are added up by operation, also for what falls beside the grid and comes before any move', () => {
  const program = programOf([{ x: 1 }, { x: 2 }, { x: 3 }]);
  const moves = { ...program.moves, operation: Uint32Array.of(2, 1, 2) };
  const tally = startTally(moves, 2);
  const deposit = startDeposit(spot, grid, tally);
  const still = { x0: 0, y0: 0, x1: 0, y1: 0, z: 0, startS: 0 };
  deposit.stroke({ ...stroke, x0: 50, x1: 60, z: 0, move: 1 });
  deposit.rest({ ...still, energyJ: 0.5, durationS: 0.25, move: 2 });
  deposit.rest({ ...still, energyJ: 0.25, durationS: 0.125, move: -1 });
  expect(Array.from(tally.energyJ)).toEqual([0.25, 8, 0.5]);
  expect(Array.from(tally.beamOnS)).toEqual([0.125, 2, 0.25]);
  expect(deposit.finish().outsideJ).toBeCloseTo(8, 5);
});
