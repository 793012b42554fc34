import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { depthOf } from '../../src/burn/depth.ts';
import { linePeakDoseJPerMm2 } from '../../src/burn/line-dose.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { forecastChanged } from '../../src/change/what-if.ts';
import { chartOf } from '../../src/chart/chart.ts';
import { pointsOf } from '../../src/chart/points.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { defocus } from '../../src/laser/spot.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar, ROUGH } from './pairs.ts';

/**
 * Depth, tone, picture, margin, verdict and chart take the beam from one place, with what the head's height does to
 * its width and focus. The law of the width is ISO 11146-1's; that they agree is our own demand.
 */

const machine = machineWith({
  laser: { optical_power_w: 10 },
  spot: { width_mm: [0.1, 0.1], rayleigh_mm: 1.25 },
});
const square = (heights: readonly number[], feed: number) =>
  `G21 G90\nM4 S0\nG0 X5 Y5\n${heights.map((z) => `G0 Z${z}\nG1 X45 S1000 F${feed}\nY35\nX5\nY5\n`).join('')}M5\n`;
const run = (heights: readonly number[], feed: number, thicknessMm = 5, cool = false): Forecast =>
  forecast(square(heights, feed), machine, poplar, { ...ROUGH, stock: board(thicknessMm, 50, 40), cool });
/** What the grid says of the middle of a side. */
const middle = ({ burn }: Forecast) => {
  const cell = cellAt(burn.frame, 25, 5);
  return { depthMm: burn.depthMm[cell]!, through: burn.through![cell]! === 1, tone: burn.tone[cell]! };
};
const isNotThrough = ({ findings }: Forecast): boolean => findings.some(({ kind }) => kind === 'not-through');
/** Whether enough such boards come through; a finding is about boards, verdict and margin about the one forecast. */
const isSure = ({ cuts }: Forecast): boolean =>
  cuts.every(({ chanceThrough, sure }) => chanceThrough >= sure);

describe('a cut with the focus inside the wood', () => {
  const sunk = run([-2], 300);
  const onTop = run([0], 300);

  test('comes through where the focus on the surface does not: verdict, margin and picture say so', () => {
    expect(sunk.cuts[0]).toMatchObject({ through: true, uncutShare: 0, shallowestMm: 5 });
    expect(sunk.cuts[0]!.margin).toBeGreaterThan(0);
    expect(sunk.cuts[0]!.chanceThrough).toBeGreaterThan(0.5);
    expect(isNotThrough(sunk)).toBe(!isSure(sunk));
    expect(middle(sunk)).toMatchObject({ through: true, depthMm: 5 });
    expect(onTop.cuts[0]).toMatchObject({ through: false, uncutShare: 1 });
    expect(onTop.cuts[0]!.margin).toBeLessThan(0);
    expect(isNotThrough(onTop)).toBe(true);
    expect(middle(onTop).through).toBe(false);
  });

  test('what is advised where it fails comes through', () => {
    for (const failing of [run([0], 300), run([-2], 480), run([3], 300), run([-2], 900)]) {
      const { advice } = failing.findings.find(({ kind }) => kind === 'not-through')!;
      const changed = forecastChanged(failing, parseChanges(advice!.change));
      expect(changed.cuts.map(({ through }) => through)).toEqual([true]);
      expect(isNotThrough(changed)).toBe(false);
    }
  });

  test('depth and tone on the grid are those of a line as wide as ISO 11146-1 makes it there', () => {
    const stock = { ...board(50, 10, 10), xMm: 20 };
    for (const z of [-3, -2, 0, 1.5]) {
      const fine = forecast(square([z], 900), machine, poplar, { stock, cellMm: 0.01 });
      const widthMm = 0.1 * defocus(machine.spot, z);
      const peak = linePeakDoseJPerMm2(10, 15, widthMm);
      const dwellS = widthMm / 15;
      // The line runs along the edge of cells of 0.4 σ, whose mean is 1 − 0.4²/6 of its peak.
      const depth = middle(fine).depthMm / depthOf(peak, dwellS, poplar, beamOf(machine, z));
      expect(Math.abs(depth - 1), `depth at z = ${z}`).toBeLessThan(0.027);
      expect(Math.abs(middle(fine).tone - toneOf(peak, dwellS, poplar, 450))).toBeLessThan(0.02);
    }
  });

  test('the chart puts it on a panel of its own and says what the forecast says', () => {
    const setup = { machine, material: poplar, thicknessMm: 5 };
    for (const z of [-2, 0]) {
      const cut = run([z], 300);
      const points = pointsOf(cut.program, setup);
      expect(points[0]!.outcome.region === 'cut').toBe(cut.cuts[0]!.through);
      const { panels } = chartOf({ ...setup, passes: 1 }, [{ kind: 'line' }], points);
      expect(panels.map(({ work }) => work.headZMm)).toEqual([z]);
    }
  });
});

describe('passes at several heights', () => {
  test('each place goes by the mean height of its own energy', () => {
    // Against the depth law alone: without what repeated firing asks for.
    const stepped = run([0, -1, -2], 900, 50, true);
    const level = run([-1, -1, -1], 900, 50, true);
    expect(stepped.dose.height).toMatchObject({ lowestMm: -2, highestMm: 0 });
    expect(level.dose.height.doseAbove).toBeNull();
    // On the line itself, and on a cell beside it, which has its own mean only.
    const { places, dose: own } = stepped.lines;
    const k = places.yMm.findIndex((y, at) => y === 5 && Math.abs(places.xMm[at]! - 25) < 0.05);
    const online = own.doseJPerMm2[k]!;
    const onlineZ = own.lowestMm + own.doseAbove![k]! / online;
    const onlineS = Math.exp(own.doseLnDwell[k]! / online);
    const drawn = stepped.burn.depthMm[cellAt(stepped.burn.frame, places.xMm[k]!, 5)]!;
    expect(onlineZ).toBeCloseTo(-0.83, 1);
    expect(Math.abs(drawn / depthOf(online, onlineS, poplar, beamOf(machine, onlineZ)) - 1)).toBeLessThan(
      2e-3,
    );
    const cell = cellAt(stepped.burn.frame, 25, 5.07);
    const dose = stepped.dose.grid.data[cell]!;
    const meanZ = -2 + stepped.dose.height.doseAbove![cell]! / dose;
    const dwellS = Math.exp(stepped.dose.doseLnDwell[cell]! / dose);
    expect(meanZ).toBeLessThan(onlineZ);
    const expected = depthOf(dose, dwellS, poplar, beamOf(machine, meanZ));
    expect(Math.abs(stepped.burn.depthMm[cell]! / expected - 1)).toBeLessThan(2e-3);
  });

  test('a what-if agrees with the whole road', () => {
    const text = `${square([0, -1], 300)}M3 S0\nG0 X10 Y10 Z1\nG1 X40 F600 S400\nM5\n`;
    const options = { ...ROUGH, stock: board(5, 50, 40) };
    const base = forecast(text, machine, poplar, options);
    const changed = forecastChanged(base, parseChanges('2: power 80 %'), ROUGH);
    const whole = forecast(text.replace('S400', 'S800'), machine, poplar, options);
    const apart = (a: Float32Array, b: Float32Array): number =>
      a.reduce((most, value, k) => Math.max(most, Math.abs(value - b[k]!)), 0);
    expect(whole.dose.height.doseAbove).not.toBeNull();
    expect(apart(changed.dose.height.doseAbove!, whole.dose.height.doseAbove!)).toBeLessThan(1e-3);
    expect(apart(changed.burn.depthMm, whole.burn.depthMm)).toBeLessThan(1e-3);
    expect(changed.cuts[0]!.margin).toBeCloseTo(whole.cuts[0]!.margin, 4);
  });

  test('a profile without a Rayleigh length takes every height for in focus', () => {
    const flat = machineWith({ laser: { optical_power_w: 10 }, spot: { width_mm: [0.1, 0.1] } });
    // The way up takes time, in which wood cools.
    const [high, low] = [3, 0].map((z) =>
      forecast(square([z], 300), flat, poplar, { stock: board(5, 50, 40), cool: true }),
    );
    expect(high!.cuts[0]!.margin).toBeCloseTo(low!.cuts[0]!.margin, 9);
    expect(middle(high!)).toEqual(middle(low!));
  });
});

test('margin, verdict and finding agree, whatever the job, the machine and the wood', () => {
  const woods = Object.values(shippedMaterials);
  const job = fc.record({
    wood: fc.constantFrom(...woods),
    power: fc.double({ min: 2, max: 40, noNaN: true }),
    width: fc.double({ min: 0.06, max: 0.4, noNaN: true }),
    rayleigh: fc.option(fc.double({ min: 0.4, max: 6, noNaN: true })),
    heights: fc.array(fc.integer({ min: -30, max: 20 }), { minLength: 1, maxLength: 4 }),
    feed: fc.integer({ min: 60, max: 2400 }),
    thickness: fc.double({ min: 0.5, max: 8, noNaN: true }),
    mode: fc.constantFrom('M3', 'M4'),
    acceleration: fc.constantFrom(100, 1000, 5000),
  });
  let judged = 0;
  let through = 0;
  fc.assert(
    fc.property(job, ({ wood, power, width, rayleigh, heights, feed, thickness, mode, acceleration }) => {
      const own = machineWith({
        acceleration_mm_s2: [acceleration, acceleration, acceleration],
        laser: { optical_power_w: power },
        spot: { width_mm: [width, width], rayleigh_mm: rayleigh },
      });
      const text = heights.map((z) => `G0 Z${z / 10}\nG1 X12 S1000 F${feed}\nY8\nX2\nY2\n`).join('');
      const made = forecast(`G21 G90\n${mode} S0\nG0 X2 Y2\n${text}M5\n`, own, wood, {
        stock: board(thickness, 14, 10),
      });
      for (const cut of made.cuts) {
        judged++;
        if (cut.through) through++;
        expect(cut.margin >= 0).toBe(cut.through);
        expect(cut.uncutShare === 0).toBe(cut.through);
        expect(cut.shallowestMm === thickness).toBe(cut.through);
        if (!cut.through) expect(cut.chanceThrough).toBeLessThan(cut.sure);
      }
      expect(isNotThrough(made)).toBe(!isSure(made));
    }),
    { numRuns: 60 },
  );
  expect(judged).toBeGreaterThan(15);
  expect(through).toBeGreaterThan(2);
  expect(judged - through).toBeGreaterThan(2);
});
