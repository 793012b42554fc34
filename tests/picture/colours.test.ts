import { lab, rgb } from 'd3-color';
import { describe, expect, it } from 'vitest';
import { differenceTable } from '../../src/picture/compare-picture.ts';
import { doseTable } from '../../src/picture/dose-picture.ts';
import { coloured, placeOn } from '../../src/picture/heat.ts';
import { POPLAR_TONE_PATH } from '../../src/picture/poplar.ts';
import { sampledTonePath, toneColour, toneTable } from '../../src/picture/tone.ts';
import { seeded } from '../support/random.ts';

const labOf = (table: Float32Array, k: number) =>
  lab(rgb(table[k * 3]!, table[k * 3 + 1]!, table[k * 3 + 2]!));
const lightnesses = (table: Float32Array) =>
  Array.from({ length: table.length / 3 }, (_, k) => labOf(table, k).l);

describe('the tones of wood', () => {
  it('darken all the way from bare to the darkest char, at tone 0.9, and lighten a little beyond', () => {
    const l = lightnesses(toneTable(POPLAR_TONE_PATH, 1001));
    for (let k = 1; k <= 900; k++) expect(l[k]).toBeLessThan(l[k - 1]!);
    for (let k = 901; k <= 1000; k++) expect(l[k]).toBeGreaterThan(l[k - 1]!);
    expect(l[1000]! - l[900]!).toBeLessThan(4);
  });

  it('can come from a material, as a function sampled', () => {
    const path = sampledTonePath((tone) => [90 - 60 * tone, 5 * tone, 20], 8);
    expect(path).toHaveLength(9);
    expect(toneColour(path)(0.3)).toMatchObject({ l: expect.closeTo(72, 9), a: expect.closeTo(1.5, 9) });
  });

  it('gain colour first and lose it towards char, as beech does under rising dose', () => {
    // "Impact of different radiation forms on beech wood discolouration", Wood Research: a*, b* rise, then fall.
    for (const channel of ['a', 'b'] as const) {
      const values = Array.from({ length: 101 }, (_, k) => toneColour(POPLAR_TONE_PATH)(k / 100)[channel]);
      const top = values.indexOf(Math.max(...values));
      expect(top).toBeGreaterThan(10);
      expect(top).toBeLessThan(70);
      for (let k = 1; k <= 90; k++) {
        if (k <= top) expect(values[k]).toBeGreaterThan(values[k - 1]!);
        else expect(values[k]).toBeLessThan(values[k - 1]!);
      }
      for (let k = 91; k <= 100; k++) expect(values[k]).toBeLessThan(values[k - 1]! + 1e-9);
    }
  });

  it('fall in L* about as far as pale hardwoods did: 56 on maple', () => {
    // Kubovský, Kačík, Velková, BioResources 13(2), 2018: ΔL* −46.8 (beech), −50.5 (lime), −56 (maple); ± 8.
    const fall = toneColour(POPLAR_TONE_PATH)(0).l - toneColour(POPLAR_TONE_PATH)(0.9).l;
    expect(fall).toBeGreaterThan(46.8 - 8);
    expect(fall).toBeLessThan(56 + 8);
  });

  it('pass through every place of the path, straight between them, and stay at the ends', () => {
    const colour = toneColour(POPLAR_TONE_PATH);
    for (const place of POPLAR_TONE_PATH) {
      const { l, a, b } = colour(place.tone);
      expect([l, a, b]).toEqual(place.lab.map((value) => expect.closeTo(value, 9)));
    }
    const [first, second] = POPLAR_TONE_PATH;
    expect(colour((first!.tone + second!.tone) / 2).l).toBeCloseTo((first!.lab[0] + second!.lab[0]) / 2, 9);
    expect(colour(1.7).l).toBe(colour(1).l);
    expect(colour(-1).l).toBe(colour(0).l);
  });

  it('need a path from 0 to 1', () => {
    const place = (tone: number) => ({ tone, lab: [50, 0, 0] as const });
    for (const tones of [[], [0], [0, 0.5], [0.1, 1], [0, 0.7, 0.3, 1]]) {
      expect(() => toneTable(tones.map(place))).toThrow(
        /invalid tone path: .*expected tones that rise from 0 to 1/,
      );
    }
  });
});

describe('the colours of dose', () => {
  it('lighten all the way in steps about even', () => {
    const l = lightnesses(doseTable());
    for (let k = 8; k < l.length; k++) expect(l[k]).toBeGreaterThan(l[k - 8]!);
    expect(l[0]).toBeLessThan(2);
    expect(l.at(-1)).toBeGreaterThan(95);
    expect(l[512]).toBeGreaterThan(40);
    expect(l[512]).toBeLessThan(60);
  });

  it('diverge from a pale grey middle, darker both ways and different in hue', () => {
    const table = differenceTable();
    const l = lightnesses(table);
    const middle = (l.length - 1) / 2;
    const { a, b } = labOf(table, middle);
    expect(Math.hypot(a, b)).toBeLessThan(5);
    expect(l[middle]).toBeGreaterThan(92);
    for (let k = 64; k <= middle; k += 64) {
      expect(l[middle + k]).toBeLessThan(l[middle + k - 64]!);
      expect(l[middle - k]).toBeLessThan(l[middle - k + 64]!);
    }
    const more = labOf(table, middle + 256);
    const less = labOf(table, middle - 256);
    expect(more.b).toBeGreaterThan(20);
    expect(less.b).toBeLessThan(-10);
  });

  it('are laid on evenly, or by ratio above the bend, and end where the scale ends', () => {
    const table = doseTable();
    expect(placeOn({ from: 0, to: 8, table, bendAt: null }, 2)).toBeCloseTo(0.25, 12);
    expect(placeOn({ from: -4, to: 4, table, bendAt: null }, 0)).toBeCloseTo(0.5, 12);
    const bent = { from: 0, to: 10, table, bendAt: 0.01 };
    const tenfold = placeOn(bent, 10) - placeOn(bent, 1);
    expect(placeOn(bent, 1) - placeOn(bent, 0.1)).toBeCloseTo(tenfold, 1);
    expect(placeOn(bent, 0)).toBe(0);
    expect(placeOn(bent, 10)).toBe(1);
    const diverging = { from: -10, to: 10, table, bendAt: 0.1 };
    expect(placeOn(diverging, 3) + placeOn(diverging, -3)).toBeCloseTo(1, 12);
    const view = { leftMm: 0, bottomMm: 0, pxPerMm: 1, widthPx: 3, heightPx: 1 };
    const { data } = coloured(Float32Array.of(0, 10, 99), view, bent);
    expect([...data.slice(4, 7)]).toEqual([...data.slice(8, 11)]);
    expect([...data.slice(0, 4)]).toEqual([...table.slice(0, 3)].map(Math.round).concat(255));
  });

  it.each([
    ['evenly', { from: 0, to: 0.79, bendAt: null }],
    ['by ratio', { from: 0, to: 61, bendAt: 0.05 }],
    ['both ways', { from: -3, to: 3, bendAt: null }],
    ['both ways by ratio', { from: -3, to: 3, bendAt: 0.01 }],
  ])('are those of the place on the scale, to the last number: %s', (_, ends) => {
    const scale = { ...ends, table: differenceTable() };
    const random = seeded(5);
    const top = scale.table.length / 3 - 1;
    const atEdge = () => scale.from + (scale.to - scale.from) * ((Math.floor(random() * top) + 0.5) / top);
    const near = [0, -0, Infinity, -Infinity, 1e-45, -1e-45, scale.from, scale.to];
    const kinds = [
      () => (random() - 0.5) * 2.2 * scale.to,
      () => Math.exp(20 * (random() - 0.7)),
      () => -Math.exp(20 * (random() - 0.7)),
      atEdge,
      () => near[Math.floor(random() * near.length)]!,
    ];
    const pixels = Float32Array.from({ length: 20_000 }, (__, k) => kinds[k % kinds.length]!());
    const view = { leftMm: 0, bottomMm: 0, pxPerMm: 1, widthPx: pixels.length, heightPx: 1 };
    const { data } = coloured(pixels, view, scale);
    const expected = new Uint8ClampedArray(4 * pixels.length);
    pixels.forEach((value, k) => {
      const at = ((Math.min(1, Math.max(0, placeOn(scale, value))) * top + 0.5) | 0) * 3;
      expected.set([...scale.table.subarray(at, at + 3), 255], 4 * k);
    });
    expect(data.findIndex((byte, k) => byte !== expected[k])).toBe(-1);
  });
});
