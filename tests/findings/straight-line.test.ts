import { expect, test } from 'vitest';
import { spreadingStride } from '../../src/findings/evidence/straight-line.ts';

/** Samples of an operation lie where they should: everywhere. */

test.each([1, 2, 3, 7, 12, 100, 640, 1001])('%d places are come by once each', (count) => {
  const stride = spreadingStride(count);
  const met = new Set(Array.from({ length: count }, (_, k) => (k * stride) % count));
  expect(met.size).toBe(count);
});

// Rows of so many moves, so many of them: with any of these a round stride meets a few columns again and again.
test.each([
  [1000, 1000],
  [640, 480],
  [625, 1024],
  [22, 5000],
  [161, 400],
])(
  'four hundred samples of a raster of %d by %d lie in all parts of its rows and of its height',
  (wide, tall) => {
    const stride = spreadingStride(wide * tall);
    const samples = Array.from({ length: 400 }, (_, k) => (k * stride) % (wide * tall));
    const tenths = (parts: number[]) => {
      const counts = new Array<number>(10).fill(0);
      for (const part of parts) counts[Math.floor(part * 10)]!++;
      return counts;
    };
    const across = tenths(samples.map((at) => (at % wide) / wide));
    const up = tenths(samples.map((at) => Math.floor(at / wide) / tall));
    // Forty each would be even.
    for (const count of [...across, ...up]) expect(count).toBeGreaterThanOrEqual(20);
  },
);
