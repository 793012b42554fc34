import { describe, expect, test } from 'vitest';
import type { CutForecast } from '../../src/findings/evidence/cut-forecast.ts';
import { cutWords, engravedWords } from '../../viewer/bench/Cuts.tsx';

const stock = { widthMm: 30, heightMm: 20, thicknessMm: 4, xMm: 0, yMm: 0 };
const burn = { depthMm: Float32Array.of(0, 0.3), through: Uint8Array.of(0, 0) };
const through = (operation: number): CutForecast => ({
  operation,
  assumed: false,
  through: true,
  uncutShare: 0,
  besideShare: 0,
  shallowestMm: 4,
  thicknessMm: 4,
  margin: 0.21,
  chanceThrough: 0.62,
  passesForSure: 9,
  sure: 0.95,
  passes: 7,
  because: [],
  withSwatch: [1, 0],
});
const short = (operation: number): CutForecast => ({
  ...through(operation),
  through: false,
  uncutShare: 1,
  besideShare: 0,
  shallowestMm: 1.6,
  margin: -0.7,
  chanceThrough: 0,
});

describe('whether it cuts through', () => {
  test('is said of each cut', () => {
    expect(cutWords({ cuts: [through(2), short(3)], burn, stock })).toEqual([
      'Operation 2 cuts through everywhere, with 21 % of dose to spare. It comes through on about 6 of 10 such boards; 9 passes make it 19 of 20.',
      'Operation 3 does not cut through: 1.6 of 4 mm at the shallowest. It comes through on hardly any such board; 9 passes make it 19 of 20.',
    ]);
  });

  test('of many, only of those that fail', () => {
    const fine = [1, 2, 3, 4, 5].map((n) => ({ ...through(n), chanceThrough: 0.97 }));
    expect(cutWords({ cuts: fine, burn, stock })).toEqual([
      'All 5 cuts come through on 19 of 20 such boards.',
    ]);
    const [failing, sum] = cutWords({ cuts: [...fine, short(6)], burn, stock });
    expect(failing).toMatch(/^Operation 6 does not/);
    expect(sum).toBe('5 of the 6 cuts come through on 19 of 20 such boards.');
    expect(cutWords({ cuts: [1, 2, 3, 4, 5].map(short), burn, stock }).at(-1)).toBe(
      'None of the 5 cuts come through on 19 of 20 such boards.',
    );
  });

  test('stands beside what becomes of engravings, as long as they are few', () => {
    const engraving = (operation: number) => ({
      operation,
      besideShare: 0,
      hasShades: false,
      isOfLines: false,
      isGuess: true,
      tone: 0.5,
      toneLow: 0.3,
      toneHigh: 0.7,
      depthMm: 0.1,
      depthLowMm: 0.02,
      depthHighMm: 0.2,
      because: [],
      leftBySwatch: 0.2,
    });
    expect(engravedWords({ engravings: [engraving(1)] })).toEqual([
      'Operation 1 comes out brown, between tan and dark brown until a swatch narrows it; 0.1 mm deep, 0.02 to 0.2 mm.',
    ]);
    expect(engravedWords({ engravings: [1, 2, 3, 4, 5].map(engraving) })).toEqual([]);
  });

  test('of the deepest place where nothing is meant to cut', () => {
    expect(cutWords({ cuts: [], burn, stock })).toEqual([
      'Nothing comes through the 4 mm: it is about 0.3 mm deep where it is deepest.',
    ]);
    const holed = { ...burn, through: Uint8Array.of(0, 1) };
    expect(cutWords({ cuts: [], burn: holed, stock })[0]).toMatch(/^Some places come through the 4 mm/);
  });

  test('not at all where the thickness is not known', () => {
    expect(cutWords({ cuts: [], burn, stock: null })).toEqual([]);
    expect(cutWords({ cuts: [], burn, stock: { ...stock, thicknessMm: null } })).toEqual([]);
  });
});
