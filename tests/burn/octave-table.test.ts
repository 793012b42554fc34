import { expect, test } from 'vitest';
import { HIGH_OCTAVE, LOW_OCTAVE, lookUp, octaveTable } from '../../src/burn/octave-table.ts';

test('a logarithm comes back within 1e-5 over all 36 octaves', () => {
  const { values } = octaveTable(Math.log);
  let apart = 0;
  // From the third sample on: the first two hold the value at 0.
  for (let x = 2 ** LOW_OCTAVE * (1 + 2 / 128); x < 2 ** HIGH_OCTAVE; x *= 1.000317)
    apart = Math.max(apart, Math.abs(lookUp(values, x) - Math.log(x)));
  expect(apart).toBeLessThan(1e-5);
});

test('a straight line comes back to single precision', () => {
  const { values } = octaveTable((x) => 3 * x);
  for (const x of [1e-4, 0.1, 1, 1.9999, 2, 777.7]) expect(lookUp(values, x) / (3 * x)).toBeCloseTo(1, 6);
});

test('beyond its ends the table is level, and what is not above 0 counts as 0', () => {
  const { values } = octaveTable((x) => x);
  for (const x of [1e-30, 0, -1e-30, -0.7, -12345, -Infinity]) expect(lookUp(values, x)).toBe(0);
  expect(lookUp(values, 1e30)).toBe(2 ** HIGH_OCTAVE);
  expect(lookUp(values, Infinity)).toBe(2 ** HIGH_OCTAVE);
});
