import { describe, expect, test } from 'vitest';
import { jobBounds } from '../../src/board.ts';
import { npyOf } from '../../src/cli/npy.ts';
import { landOn } from '../../src/dose/land.ts';
import { forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { firingsOf } from '../../src/warmth/firings-map.ts';
import { poplar } from '../findings/pairs.ts';
import { frame } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';
import { rowsJob } from './jobs.ts';
import { poplarHeat } from './measure.ts';

const machine = machineWith({ acceleration_mm_s2: [2000, 2000, 100], spot: { width_mm: [0.15, 0.15] } });

/** Beyond the maps. */
const COOL = { count: 1, warmthK: 0 };

function mapsOf(steps: readonly Step[], of: Machine = machine, cellMm = 0.05) {
  const motion = planMotion(programOf(steps), of);
  const { dose, lines } = landOn(
    frame(0, 0, Math.round(60 / cellMm), Math.round(35 / cellMm), cellMm),
    motion,
    of,
  );
  const { burn } = jobBounds(motion.program, false);
  const maps = firingsOf(dose.grid, { burned: burn, places: lines.places }, motion, of, poplarHeat);
  const at = (x: number, y: number) => {
    const k = cellAt(maps.count, x, y);
    return k < 0 ? COOL : { count: maps.count.data[k]!, warmthK: maps.warmth.data[k]! };
  };
  return { maps, at };
}

const line = (x0: number, y0: number, x1: number, y1: number): Step[] => [
  { x: x0, y: y0, rapid: true, power: 'off' },
  { x: x1, y: y1, feed: 40, s: 400, power: 'constant', rapid: false },
];

describe('as how many firings a place counts', () => {
  test.each([
    ['along x', [5, 10, 45, 10]],
    ['oblique', [5, 5, 42, 24]],
  ] as const)('a line alone is one, %s, and bare wood too', (_name, [x0, y0, x1, y1]) => {
    const { at } = mapsOf(line(x0, y0, x1, y1));
    expect(at((x0 + x1) / 2, (y0 + y1) / 2).count).toBeLessThan(1.04);
    expect(at((x0 + x1) / 2, (y0 + y1) / 2 + 0.1).count).toBeLessThan(1.04);
    expect(at(20, 30)).toEqual({ count: 1, warmthK: 0 });
  });

  test('the same line two and four times is two and four', () => {
    for (const times of [2, 4]) {
      const { at } = mapsOf(Array.from({ length: times }, () => line(5, 10, 45, 10)).flat());
      expect(Math.abs(at(25, 10).count / times - 1)).toBeLessThan(0.04);
    }
  });

  test.each([0.05, 0.075, 0.1, 0.15])(
    'rows %d mm apart: 1 + 2·Σ e^(−k²p²/4σ²), the overlap of Gaussians as cells of 0.05 mm see them',
    (pitchMm) => {
      const rows = Math.round(4 / pitchMm);
      const { at } = mapsOf(rowsJob({ widthMm: 8, rows, pitchMm, feed: 60, s: 300, overscanMm: 3 }));
      const variance = 0.0375 ** 2 + 0.05 ** 2 / 12;
      let wanted = 1;
      for (let k = 1; k < 9; k++) wanted += 2 * Math.exp(-((k * pitchMm) ** 2) / (4 * variance));
      const cells = [23.1, 24.3, 25.2].flatMap((x) => [21.6, 22.1, 22.3].map((y) => at(x, y).count));
      const mean = cells.reduce((sum, count) => sum + count, 0) / cells.length;
      expect(Math.abs(mean / wanted - 1)).toBeLessThan(0.03);
    },
  );
});

test('finer cells, by which steps along the way are finer too, change warmth by less than a fiftieth, and firings ever less', () => {
  const steps = rowsJob({ widthMm: 4, rows: 40, pitchMm: 0.1, feed: 60, s: 400, overscanMm: 3 });
  const places = [20.5, 21.3, 22, 23.1].flatMap((x) => [20.6, 21.5, 22.4, 23.3].map((y) => [x, y] as const));
  const maps = [0.05, 0.025, 0.0125].map((cellMm) => mapsOf(steps, machine, cellMm));
  const found = maps.map(({ at }) => places.map(([x, y]) => at(x, y)));
  const most = Math.max(...found[2]!.map(({ warmthK }) => warmthK));
  for (const coarser of [0, 1])
    found[coarser]!.forEach(({ warmthK }, k) => {
      expect(Math.abs(warmthK - found[2]![k]!.warmthK)).toBeLessThan(0.02 * most);
    });
  // Rows of Gaussians 0.1 mm apart, seen by no cells at all: 1 + 2·Σ e^(−k²p²/4σ²).
  let wanted = 1;
  for (let k = 1; k < 9; k++) wanted += 2 * Math.exp(-((k * 0.1) ** 2) / (4 * 0.0375 ** 2));
  const [a, b, c] = found.map((cells) => cells.reduce((sum, { count }) => sum + count, 0) / cells.length);
  expect(Math.abs(b! - wanted)).toBeLessThan(Math.abs(a! - wanted) / 2);
  expect(Math.abs(c! - wanted)).toBeLessThan(0.02 * wanted);
});

test('what burns nothing has maps, of cool wood', () => {
  const { firings } = forecast('G21\nG0 X10\n', machineWith({}), poplar);
  const { nx, ny, x0Mm, y0Mm, cellMm, data } = firings!.warmth;
  for (const value of [x0Mm, y0Mm, cellMm]) expect(value).toBeLessThan(Infinity);
  expect(data).toEqual(new Float32Array(nx * ny));
  expect(npyOf(firings!.warmth).length).toBeGreaterThan(4 * nx * ny);
});

test('the middle of a small fill is warm, and its first row cold', () => {
  const { at } = mapsOf(rowsJob({ widthMm: 4, rows: 40, pitchMm: 0.1, feed: 60, s: 400, overscanMm: 3 }));
  expect(at(22, 22).warmthK).toBeGreaterThan(40);
  expect(at(22, 19.98).warmthK).toBeLessThan(0.4 * at(22, 22).warmthK);
});
