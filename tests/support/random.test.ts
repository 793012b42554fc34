import { expect, test } from 'vitest';
import { seeded } from './random.ts';

test('the seeded generator fills the unit interval evenly', () => {
  const random = seeded(7);
  const bins = new Array<number>(20).fill(0);
  for (let k = 0; k < 20_000; k++) bins[Math.floor(random() * 20)]!++;
  // Each bin expects 1000 with a standard deviation near 31; five of them are allowed.
  for (const count of bins) expect(Math.abs(count - 1000)).toBeLessThan(155);
});
