import { describe, expect, test } from 'vitest';
import { burnDose } from '../../src/burn/burn-dose.ts';
import { firedNeed } from '../../src/burn/firing.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { toneOf } from '../../src/burn/tone.ts';
import { oneHeight } from '../../src/dose/dose.ts';
import { charMm, doseFor, fire, fresh, heatLeft, POPLAR } from '../warmth/column.ts';
import { diode } from './beams.ts';

const poplar = shippedMaterials['poplar plywood']!;

describe('the need of firings, against our own numerical model', () => {
  test('one cool firing needs what need.ts says; two need 1.3 to 1.4 times that, four 1.7 to 2.1', () => {
    expect(firedNeed(1, 0, poplar)).toBe(1);
    expect(firedNeed(0.9, 0, poplar)).toBe(1);
    expect(firedNeed(2, 0, poplar)).toBeGreaterThan(1.3);
    expect(firedNeed(2, 0, poplar)).toBeLessThan(1.4);
    expect(firedNeed(4, 0, poplar)).toBeGreaterThan(1.7);
    expect(firedNeed(4, 0, poplar)).toBeLessThan(2.1);
  });

  test('need falls with warmth, faster for more firings, and never below what any wood needs', () => {
    expect(firedNeed(1, 65, poplar)).toBeCloseTo(0.9, 6);
    expect(firedNeed(2, 0, poplar) - firedNeed(2, 65, poplar)).toBeCloseTo(0.2, 6);
    for (const n of [1, 2, 7, 40]) {
      let before = Infinity;
      for (let warmthK = 0; warmthK <= 1000; warmthK += 10) {
        const need = firedNeed(n, warmthK, poplar);
        expect(need).toBeLessThanOrEqual(before);
        expect(need).toBeGreaterThanOrEqual(0.25);
        expect(need).toBeGreaterThanOrEqual(firedNeed(1, warmthK, poplar));
        before = need;
      }
    }
  });

  // Where the column is well charred and gas carries heat off: the share that each further firing costs is a guess
  // between this and twice as much, for faint char; the form of the law is the column's own.
  const dark = { ...POPLAR, gasJPerMm3: 2 };
  const one = doseFor(0.05, dark, 1);

  test('in the column each further firing costs the same again, and warmth saves each the same', () => {
    const eachOfTwo = doseFor(0.05, dark, 2);
    const two = (2 * eachOfTwo) / one - 1;
    const four = (4 * doseFor(0.05, dark, 4)) / one - 1;
    expect(two).toBeGreaterThan(0.25);
    expect(two).toBeLessThan(0.45);
    expect(four / two).toBeGreaterThan(2.7);
    expect(four / two).toBeLessThan(3.1);
    const saved = (warmthK: number) => 1 - doseFor(0.05, dark, 1, warmthK) / one;
    const [by100, by200] = [saved(100), saved(200)];
    expect(by200 / by100).toBeGreaterThan(1.9);
    expect(by200 / by100).toBeLessThan(2.2);
    const savedOfTwo = (2 * (eachOfTwo - doseFor(0.05, dark, 2, 100))) / one;
    expect(savedOfTwo / by100).toBeGreaterThan(1.7);
    expect(savedOfTwo / by100).toBeLessThan(2.1);
  });

  test('the fall of need lies within the profile’s uncertainty for faint char, where moisture is still to be boiled', () => {
    const faint = doseFor(0.005, POPLAR, 1);
    const scaleK = 100 / (1 - doseFor(0.005, POPLAR, 1, 100) / faint);
    expect(Math.abs(scaleK - poplar.warmth_scale_k.value)).toBeLessThan(poplar.warmth_scale_k.plus_minus!);
  });

  test('about a third of a light firing’s dose stays as heat, and ever less of a heavy one', () => {
    const kept = (dose: number) => {
      const state = fresh(POPLAR);
      fire(state, POPLAR, dose, 0.003, 1);
      return heatLeft(state, POPLAR) / dose;
    };
    expect(Math.abs(kept(0.1) - poplar.heat_kept.value)).toBeLessThan(poplar.heat_kept.plus_minus!);
    expect(Math.abs(kept(0.2) - poplar.heat_kept.value)).toBeLessThan(0.02);
    expect(kept(1)).toBeLessThan(0.85 * kept(0.2));
  });

  test('the column itself: char grows with dose, and a flash of no light does nothing', () => {
    const chars = [0, 0.2, 0.4, 0.8].map((dose) => {
      const state = fresh(POPLAR);
      fire(state, POPLAR, dose, 0.003, 0.3);
      return charMm(state);
    });
    expect(chars[0]).toBe(0);
    for (let k = 1; k < chars.length; k++) expect(chars[k]!).toBeGreaterThan(chars[k - 1]!);
  });
});

describe('the burn of a grid with firings', () => {
  const frame = { nx: 40, ny: 30, x0Mm: 3, y0Mm: 4, cellMm: 0.05 };
  const size = frame.nx * frame.ny;
  const dose = {
    grid: { ...frame, unit: 'J/mm²', data: new Float32Array(size).fill(0.5) },
    doseLnDwell: new Float32Array(size).fill(0.5 * Math.log(0.003)),
    height: oneHeight(0),
    energyJ: 1,
    outsideJ: 0,
  };
  const coarse = { nx: 14, ny: 10, x0Mm: 3, y0Mm: 4, cellMm: 0.15 };
  const even = (unit: string, value: number) => ({
    ...coarse,
    unit,
    data: new Float32Array(140).fill(value),
  });
  const burned = (count: number, warmthK: number) =>
    burnDose(dose, poplar, {
      ...diode([0.15, 0.15]),
      thicknessMm: 4,
      firings: { count: even('', count), warmth: even('K', warmthK), lines: null },
    });

  test('once and cool is as without, cell by cell', () => {
    const plain = burnDose(dose, poplar, { ...diode([0.15, 0.15]), thicknessMm: 4 });
    expect(burned(1, 0)).toEqual(plain);
  });

  test('tone is that of the dose over what the firings need, depth begins where they begin to char', () => {
    for (const [count, warmthK] of [
      [2, 0],
      [1, 120],
      [3, 60],
    ] as const) {
      const times = firedNeed(count, warmthK, poplar);
      const { tone, depthMm } = burned(count, warmthK);
      for (const k of [0, 619, size - 1]) {
        expect(tone[k]).toBeCloseTo(toneOf(0.5 / times, 0.003, poplar), 3);
        expect(depthMm[k]).toBe(depthMm[0]);
      }
      const plain = burned(1, 0).depthMm[0]!;
      if (times > 1) expect(depthMm[0]).toBeLessThan(plain);
      else expect(depthMm[0]).toBeGreaterThan(plain);
    }
  });

  test('between the middles of the maps’ cells the need is even, so no edge shows', () => {
    const warmth = even('K', 0);
    for (let k = 0; k < 140; k++) warmth.data[k] = 20 * (k % 14);
    const { tone } = burnDose(dose, poplar, {
      ...diode([0.15, 0.15]),
      thicknessMm: 4,
      firings: { count: even('', 1), warmth, lines: null },
    });
    const row = Array.from(tone.subarray(15 * 40, 16 * 40));
    for (let i = 2; i < 38; i++) {
      const [a, b, c] = [row[i - 1]!, row[i]!, row[i + 1]!];
      expect(c).toBeGreaterThan(b);
      expect(Math.abs(a - 2 * b + c)).toBeLessThan(0.004);
    }
  });
});
