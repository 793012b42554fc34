import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { type CellMap, cellMapOf, topOf, warmestOf } from '../../viewer/stage/cell-maps.ts';
import { surfaceOf } from '../../viewer/worker/surface.ts';
import { bench, board } from '../findings/pairs.ts';
import { rows } from '../findings/small-jobs.ts';
import { exactWood } from '../sure/exact.ts';

const poplar = shippedMaterials['poplar plywood']!;
const job = rows(Array(40).fill(400), 2400, 3);
const made = forecast(job, bench(), poplar, { stock: board(4), cellMm: 0.05 });
const sceneOf = (of: Forecast, texels: number) => ({
  forecast: of,
  surface: surfaceOf(of.burn, of.dose.grid, texels),
});
const valueAt = (map: CellMap, xMm: number, yMm: number, top: number): number => {
  const k = cellAt(map, xMm, yMm);
  return map.rg[2 * k + 1] === 0 ? 0 : (top * map.rg[2 * k]!) / map.rg[2 * k + 1]!;
};

describe('how sure a tone is, cell by cell', () => {
  test.each([4e6, 4e4])('is the range that is told of the engraving, with %d texels at most', (texels) => {
    const map = cellMapOf('sure', sceneOf(made, texels));
    expect(map.nx * map.ny).toBeLessThanOrEqual(1.1 * texels);
    const { toneLow, toneHigh } = made.engravings[0]!;
    const there = valueAt(map, 30, 11, topOf('sure', sceneOf(made, texels)));
    expect(there).toBeGreaterThan(toneHigh - toneLow - 0.03);
    expect(there).toBeLessThan(1.25 * (toneHigh - toneLow));
    expect(valueAt(map, 30, 12.3, 1)).toBe(0);
  });

  test('is all known on a wood and a machine that are', () => {
    const known = { ...bench(), plus_minus: { optical_power_percent: 0, spot_width_percent: 0 } };
    const sharp = forecast(job, known, exactWood(), { stock: board(4), cellMm: 0.05 });
    expect(cellMapOf('sure', sceneOf(sharp, 4e6)).rg.every((value, k) => k % 2 === 1 || value === 0)).toBe(
      true,
    );
  });
});

describe('warmth, cell by cell', () => {
  test('is the forecast’s own, and rises from the first rows on', () => {
    const scene = sceneOf(made, 4e6);
    const top = topOf('warmth', scene);
    const { warmth } = made.firings!;
    expect(warmestOf(made.firings)).toBe(top);
    expect(top).toBe(warmth.data.reduce((most, value) => Math.max(most, value), 0));
    const map = cellMapOf('warmth', scene);
    for (const y of [10.3, 11, 12])
      expect(valueAt(map, 30, y, top)).toBeCloseTo(warmth.data[cellAt(warmth, 30, y)]!, 0);
    expect(valueAt(map, 30, 10.3, top)).toBeLessThan(valueAt(map, 30, 12, top));
  });

  test('is none where it is left out', () => {
    const cool = forecast(job, bench(), poplar, { stock: board(4), cellMm: 0.05, cool: true });
    expect(cellMapOf('warmth', sceneOf(cool, 4e6)).rg).toEqual(new Uint8Array(2));
    expect(warmestOf(cool.firings)).toBe(0);
  });

  test('is none where nothing burns', () => {
    const none = forecast('G21 G90\nG0 X10 Y10\nG1 X30 F1000\nM2\n', bench(), poplar, {
      stock: board(4),
      cellMm: 0.05,
    });
    expect(none.firings).not.toBeNull();
    expect(warmestOf(none.firings)).toBe(0);
  });
});
