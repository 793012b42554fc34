import { expect } from 'vitest';
import { depositStepMm, startDeposit } from '../../src/dose/deposit.ts';
import { type Dose, oneHeight } from '../../src/dose/dose.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import type { Forecast } from '../../src/forecast.ts';
import type { GridFrame } from '../../src/grid.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { programOf, type Step } from './program-of.ts';

/** The dose of a hand-made job on a given grid. */
export function doseOf(steps: readonly Step[], machine: Machine, frame: GridFrame): Dose {
  const deposit = startDeposit(machine.spot, frame);
  walkBeam(planMotion(programOf(steps), machine), machine, depositStepMm(machine.spot), deposit);
  return { ...deposit.finish(), height: oneHeight(0) };
}

/** A grid from (x0, y0) of nx by ny cells. */
export const frame = (x0Mm: number, y0Mm: number, nx: number, ny: number, cellMm: number): GridFrame => ({
  x0Mm,
  y0Mm,
  nx,
  ny,
  cellMm,
});

export const at = (dose: Dose, i: number, j: number): number => dose.grid.data[j * dose.grid.nx + i]!;

export const greatest = (dose: Dose): number =>
  dose.grid.data.reduce((most, value) => Math.max(most, value), 0);

/** The largest difference of two grids' values, as a part of the largest value; 0 where nothing differs. */
export function furthestApart(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let apart = 0;
  let most = 0;
  for (let k = 0; k < a.length; k++) {
    apart = Math.max(apart, Math.abs(a[k]! - b[k]!));
    most = Math.max(most, Math.abs(a[k]!));
  }
  return apart === 0 ? 0 : apart / most;
}

/** The largest difference of two doses on grids of the same size, as a part of the largest dose. */
export function doseApart(a: Pick<Forecast, 'dose'>, b: Pick<Forecast, 'dose'>): number {
  const [p, q] = [a.dose.grid.data, b.dose.grid.data];
  expect(p.length).toBe(q.length);
  return furthestApart(q, p);
}
