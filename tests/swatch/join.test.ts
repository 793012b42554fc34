import { expect, test } from 'vitest';
import { joinReadings } from '../../src/swatch/photo/join.ts';
import type { PhotoReading } from '../../src/swatch/photo/read.ts';

const reading = (light: number, widthMm: number, more: Partial<PhotoReading> = {}): PhotoReading => ({
  patches: [{ ratio: [light, light / 2, light / 4], clipped: 0 }],
  lines: [{ widthMm, sigmaMm: 0.01, shiftMm: 0 }],
  scatter: [0.01, 0, 0, 0, 0.01, 0, 0, 0, 0.01],
  whiteOverBare: null,
  cornersPx: [],
  pxPerMm: 10,
  edgeMm: 0.2,
  lens: 'straight',
  bare: [0.5, 0.4, 0.3],
  code: null,
  doubts: [],
  ...more,
});

test('light is averaged as a factor, and one photo alone is left as it is', () => {
  const one = reading(0.4, 0.1);
  expect(joinReadings([one])).toBe(one);
  const { patches, scatter } = joinReadings([reading(0.2, 0.1), reading(0.8, 0.1)]);
  expect(patches[0]!.ratio[0]).toBeCloseTo(0.4, 12);
  // Grain is the same on both.
  expect(scatter).toEqual(one.scatter);
});

test('widths: agreeing ones are surer, differing ones no surer than they agree', () => {
  const alike = joinReadings([reading(1, 0.1), reading(1, 0.1)]).lines[0]!;
  expect(alike.widthMm).toBeCloseTo(0.1, 12);
  expect(alike.sigmaMm).toBeCloseTo(0.01 / Math.SQRT2, 12);
  const apart = joinReadings([reading(1, 0.1), reading(1, 0.2)]).lines[0]!;
  expect(apart.widthMm).toBeCloseTo(0.15, 12);
  expect(apart.sigmaMm).toBeCloseTo(0.05, 12);
});

test('white paper on one of them tells the wood for all, and a stranger among them is told', () => {
  const joined = joinReadings([
    reading(1, 0.1, { whiteOverBare: [2, 2.5, 3], doubts: ['it shows the code 1234'] }),
    reading(1, 0.1),
  ]);
  expect(joined.whiteOverBare!.map((each) => Number(each.toFixed(9)))).toEqual([2, 2.5, 3]);
  expect(joined.doubts).toEqual(['it shows the code 1234']);
  expect(() => joinReadings([])).toThrow(/found no photo/);
});
