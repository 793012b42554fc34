import { describe, expect, test } from 'vitest';
import { chooseFrame, jobBounds, stockBounds } from '../../src/board.ts';
import { landOn } from '../../src/dose/land.ts';
import { frameOver } from '../../src/grid.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';

/** Doses on the grid of a forecast and on the whole board are the same ones: what the grid leaves out is dark. */

const stock = { widthMm: 24, heightMm: 18, thicknessMm: 4, xMm: -2, yMm: -1 };

/** A corner, a dot, a rapid with the beam still asked for, and a slope in z. */
const job: Step[] = [
  { x: 8, y: 6, rapid: true, feed: 30 },
  { x: 12, s: 800, power: 'constant', rapid: false },
  { y: 9 },
  { x: 6, y: 5, rapid: true },
  { dwellS: 0.05, s: 300 },
  { x: 9, y: 11, z: 1.5, power: 'proportional', rapid: false },
  { x: 0, y: 0, power: 'off', rapid: true },
];

const beams: [string, Machine][] = [
  ['round', machineWith()],
  ['oblong and turned', machineWith({ spot: { width_mm: [0.3, 0.1], rotation_deg: 30 } })],
  ['even within a rectangle', machineWith({ spot: { shape: 'uniform-rectangle', width_mm: [0.2, 0.4] } })],
  ['quickly out of focus', machineWith({ spot: { width_mm: [0.1, 0.1], rayleigh_mm: 0.2 } })],
  ['slow to rise', machineWith({ laser: { rise_time_ms: 0.2 } })],
  ['late', machineWith({ laser: { beam_delay_ms: 4 } })],
  ['early', machineWith({ laser: { beam_delay_ms: -3 } })],
  ['firing on rapids', machineWith({ laser: { fires_on_rapids: true } })],
];

describe('the part of a board that light falls on', () => {
  test.each(beams)('holds all of it, with a beam that is %s', (_name, machine) => {
    const program = programOf(job);
    const motion = planMotion(program, machine);
    const bounds = jobBounds(program, machine.laser.fires_on_rapids);
    const { frame } = chooseFrame(bounds, stock, machine, 0.05);
    const whole = landOn(frameOver(stockBounds(stock), 0.05), motion, machine).dose;
    const part = landOn(frame, motion, machine).dose;
    const [i0, j0] = [
      Math.round((frame.x0Mm - stock.xMm) / 0.05),
      Math.round((frame.y0Mm - stock.yMm) / 0.05),
    ];
    const most = whole.grid.data.reduce((greatest, each) => Math.max(greatest, each), 0);
    const within = { most: 0, beyond: 0 };
    whole.grid.data.forEach((value, k) => {
      const [i, j] = [(k % whole.grid.nx) - i0, Math.floor(k / whole.grid.nx) - j0];
      const isIn = i >= 0 && j >= 0 && i < frame.nx && j < frame.ny;
      if (!isIn) within.beyond = Math.max(within.beyond, value);
      else within.most = Math.max(within.most, Math.abs(value - part.grid.data[j * frame.nx + i]!));
    });
    expect(most).toBeGreaterThan(0.05);
    expect(frame.nx * frame.ny).toBeLessThan(whole.grid.data.length);
    // Cells are counted from elsewhere, so that they differ by rounding.
    expect(within.most / most).toBeLessThan(1e-6);
    expect(within.beyond / most).toBeLessThan(1e-9);
    expect(part.outsideJ).toBeCloseTo(whole.outsideJ, 9);
    expect(part.energyJ).toBeCloseTo(whole.energyJ, 9);
  });
});
