import { expect, test } from 'vitest';
import { forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar } from './pairs.ts';

/** A cut's verdict and its picture follow it alike. */
test('margin and picture of a cut in passes take the same warmth', () => {
  const machine = machineWith({ laser: { optical_power_w: 5 }, spot: { width_mm: [0.1, 0.1] } });
  const text = `G21 G90\nM4 S0\nG0 X5 Y5\n${'G1 X45 S1000 F700\nY25\nX5\nY5\n'.repeat(2)}M5\n`;
  const [cool, warm] = [true, false].map((cool) =>
    forecast(text, machine, poplar, { stock: board(6, 50, 30), cool }),
  );
  expect(cool!.lines.needTimes).toBeUndefined();
  const { places, needTimes } = warm!.lines;
  const k = places.xMm.findIndex((x, at) => Math.abs(x - 25) < 0.05 && places.yMm[at] === 5);
  expect(needTimes![k]).not.toBe(1);
  expect(warm!.cuts[0]!.margin).not.toBe(cool!.cuts[0]!.margin);
  const drawn = warm!.burn.depthMm[cellAt(warm!.burn.frame, places.xMm[k]!, 5)]!;
  expect(Math.abs(drawn / warm!.cuts[0]!.shallowestMm - 1)).toBeLessThan(0.05);
  expect(warm!.cuts[0]!.margin >= 0).toBe(warm!.cuts[0]!.through);
});
