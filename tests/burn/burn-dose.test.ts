import { describe, expect, test } from 'vitest';
import { type BurnContext, burnDose } from '../../src/burn/burn-dose.ts';
import { depthLaw, depthOf, doseForDepth } from '../../src/burn/depth.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { type Dose, oneHeight } from '../../src/dose/dose.ts';
import { diode } from './beams.ts';

const poplar = shippedMaterials['poplar plywood']!;
const context = (thicknessMm: number | null): BurnContext => ({ ...diode([0.16, 0.24]), thicknessMm });

/** A one-row grid of these doses, J/mm², each with its dwell, s. */
function doseOf(cells: readonly (readonly [jPerMm2: number, dwellS: number])[], nx = cells.length): Dose {
  const frame = { nx, ny: cells.length / nx, x0Mm: -3, y0Mm: 2, cellMm: 0.05 };
  const data = Float32Array.from(cells, ([dose]) => dose);
  const doseLnDwell = Float32Array.from(cells, ([dose, dwellS]) => dose * Math.log(dwellS));
  return {
    grid: { ...frame, unit: 'J/mm²', data },
    doseLnDwell,
    height: oneHeight(0),
    energyJ: 0,
    outsideJ: 0,
  };
}

/** Doses over seven decades, dwells from 20 µs to 100 s. */
const everywhere = Array.from(
  { length: 5000 },
  (_, k) => [10 ** (-3 + (k % 71) / 10), 10 ** (-4.7 + (k % 67) / 10)] as const,
);

describe('a whole grid', () => {
  test.each(Object.entries(shippedMaterials))('%s: the tables say what the formulas say', (_, material) => {
    const ground = context(6);
    const law = depthLaw(material, ground);
    const dose = doseOf(everywhere);
    const burn = burnDose(dose, material, ground);
    let [toneApart, depthApart] = [0, 0];
    dose.grid.data.forEach((h, k) => {
      const dwellS = Math.exp(dose.doseLnDwell[k]! / h);
      const depth = Math.min(6, depthOf(h, dwellS, material, ground, 1, law));
      toneApart = Math.max(toneApart, Math.abs(burn.tone[k]! - toneOf(h, dwellS, material)));
      depthApart = Math.max(depthApart, Math.abs(burn.depthMm[k]! - depth) / Math.max(depth, 0.1));
    });
    expect(toneApart).toBeLessThan(1e-4);
    expect(depthApart).toBeLessThan(1e-4);
  });

  test('keeps the grid’s frame and marks nothing where no energy fell', () => {
    const burn = burnDose(
      doseOf(
        [
          [0, 1],
          [0.01, 0.003],
          [0.9, 0.003],
          [0, 1],
        ],
        2,
      ),
      poplar,
      context(4),
    );
    expect(burn.frame).toEqual({ nx: 2, ny: 2, x0Mm: -3, y0Mm: 2, cellMm: 0.05 });
    expect([...burn.tone].map((tone) => tone > 0)).toEqual([false, false, true, false]);
    expect([...burn.depthMm].map((depth) => depth > 0)).toEqual([false, false, true, false]);
  });

  test('is through where the dose reaches the thickness, and no deeper than it', () => {
    const needed = doseForDepth(4, 0.04, poplar, context(4));
    const burn = burnDose(
      doseOf([
        [needed * 0.999, 0.04],
        [needed * 1.001, 0.04],
        [1e6, 0.04],
      ]),
      poplar,
      context(4),
    );
    expect([...burn.through!]).toEqual([0, 1, 1]);
    expect(burn.depthMm[0]).toBeCloseTo(4, 2);
    expect(burn.depthMm[2]).toBe(4);
  });

  test('a thickness that single precision rounds up is still cut through', () => {
    const burn = burnDose(doseOf([[1e5, 0.04]]), poplar, context(4.1));
    expect([...burn.through!]).toEqual([1]);
  });

  test('says nothing of cutting through when the thickness is not known', () => {
    const burn = burnDose(doseOf([[100, 0.04]]), poplar, context(null));
    expect(burn.through).toBeNull();
    expect(burn.depthMm[0]).toBeGreaterThan(8);
  });

  test('stock thicker than any beam reaches is never through', () => {
    const burn = burnDose(doseOf([[1e6, 0.04]]), poplar, context(80));
    expect([...burn.through!]).toEqual([0]);
    expect(burn.depthMm[0]).toBe(50);
  });

  test('a dose on a grid goes as deep as the formula says', () => {
    const one = burnDose(doseOf([[3, 0.02]]), poplar, context(4));
    const two = burnDose(doseOf([[6, 0.02]]), poplar, context(4));
    expect(two.depthMm[0]).toBeGreaterThan(one.depthMm[0]!);
    expect(two.depthMm[0]).toBeCloseTo(depthOf(6, 0.02, poplar, context(4)), 3);
  });

  test('tells the dwells of what is marked, and null when nothing is', () => {
    const burn = burnDose(
      doseOf([
        [1, 0.003],
        [0.01, 50],
        [2, 0.5],
        [0, 1],
      ]),
      poplar,
      context(4),
    );
    expect(burn.markDwellS![0]).toBeCloseTo(0.003, 6);
    expect(burn.markDwellS![1]).toBeCloseTo(0.5, 5);
    expect(burnDose(doseOf([[0.01, 0.003]]), poplar, context(4)).markDwellS).toBeNull();
  });

  test('cells that are no number stay bare', () => {
    const burn = burnDose(
      doseOf([
        [Number.NaN, 0.003],
        [-1, 0.003],
      ]),
      poplar,
      context(4),
    );
    expect([...burn.tone, ...burn.depthMm, ...burn.through!]).toEqual([0, 0, 0, 0, 0, 0]);
  });

  test('a red-hot stand still is answered with a finite burn', () => {
    const burn = burnDose(
      doseOf([
        [1e9, 1e9],
        [5, 1e-12],
      ]),
      poplar,
      context(4),
    );
    for (const value of [...burn.tone, ...burn.depthMm]) expect(Number.isFinite(value)).toBe(true);
  });
});

describe('a spent burn', () => {
  const dose = doseOf([
    [0, 1],
    [0.3, 0.003],
    [2, 0.003],
    [400, 0.05],
  ]);
  const fresh = burnDose(dose, poplar, context(4));
  const spentOf = (size: number) => ({
    frame: fresh.frame,
    tone: new Float32Array(size).fill(9),
    depthMm: new Float32Array(size).fill(9),
    through: new Uint8Array(size).fill(9),
  });

  test('is written over entirely and gives the same result', () => {
    const spent = spentOf(4);
    const reused = burnDose(dose, poplar, context(4), spent);
    expect(reused.tone).toBe(spent.tone);
    expect(reused.through).toBe(spent.through);
    expect(reused).toEqual(fresh);
  });

  test('of another size is left alone', () => {
    const spent = spentOf(3);
    expect(burnDose(dose, poplar, context(4), spent)).toEqual(fresh);
    expect(spent).toEqual(spentOf(3));
  });

  test('of a job without a stock does for one with a stock', () => {
    expect(burnDose(dose, poplar, context(4), { ...spentOf(4), through: null })).toEqual(fresh);
  });
});

test('where the head burned at several heights, depth is that of each cell’s mean height', () => {
  const ground = { ...diode([0.16, 0.16], 2), thicknessMm: 20 };
  const heights = [-1, 0, 1.3, 2, 4];
  const dose: Dose = {
    ...doseOf(heights.map(() => [6, 0.02] as const)),
    height: { lowestMm: -1, highestMm: 4, doseAbove: Float32Array.from(heights, (z) => 6 * (z + 1)) },
  };
  const { depthMm } = burnDose(dose, poplar, ground);
  for (const [k, headZMm] of heights.entries()) {
    const exact = depthOf(6, 0.02, poplar, { ...ground, headZMm });
    expect(Math.abs(depthMm[k]! / exact - 1), `at ${headZMm} mm`).toBeLessThan(2e-3);
  }
});
