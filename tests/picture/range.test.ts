import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rangeOf, twoDigitsUp } from '../../src/picture/range.ts';

const patch = (count: number, dose: number) => new Array<number>(count).fill(dose);

describe('rangeOf', () => {
  it('runs on to the maximum when nothing sticks out', () => {
    const values = Float32Array.from({ length: 4000 }, (_, k) => k / 4000);
    const range = rangeOf(values, 0.05);
    expect(range).toEqual({ top: 1, max: expect.closeTo(0.99975, 5), capped: false, bendAt: null });
  });

  it('is not moved by one extreme point burn', () => {
    const even = rangeOf(Float32Array.from(patch(5000, 0.4)), 0.05);
    const spiked = rangeOf(Float32Array.from([...patch(5000, 0.4), 300]), 0.05);
    expect(spiked.top).toBeLessThan(0.42);
    expect(spiked.top).toBeGreaterThanOrEqual(even.top);
    expect(spiked).toMatchObject({ max: 300, capped: true });
  });

  it('agrees with the percentile of the sorted values to a bin and the rounding up', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.06, max: 50, noNaN: true }), { minLength: 1, maxLength: 400 }),
        (raw) => {
          const values = Float32Array.from(raw);
          const sorted = [...values].sort((a, b) => a - b);
          const within = sorted[Math.max(0, Math.ceil(0.995 * sorted.length) - 1)]!;
          const { top, max } = rangeOf(values, 0.05);
          expect(max).toBe(sorted.at(-1));
          expect(top).toBeGreaterThanOrEqual(within * (1 - 1e-6));
          expect(top).toBeLessThanOrEqual(
            twoDigitsUp(Math.max(within * 1.008, Math.min(max, within * 1.62))) + 1e-9,
          );
        },
      ),
    );
  });

  it('bends when engraving and cutting stand side by side, and the faint rims of lines do not count', () => {
    const both = [...patch(9000, 0.3), ...patch(1000, 12), ...patch(50000, 1e-6)];
    const { top, bendAt } = rangeOf(Float32Array.from(both), 0.05);
    expect(top).toBeGreaterThanOrEqual(12);
    expect(bendAt).toBeGreaterThan(0.05);
    expect(bendAt).toBeLessThan(0.1);
  });

  it('finds a scale for a job too weak to mark', () => {
    const { top, capped } = rangeOf(Float32Array.from(patch(500, 0.002)), 0.05);
    expect(top).toBeCloseTo(0.002, 3);
    expect(capped).toBe(false);
  });

  it('has an answer when nothing burned, and passes over what is no dose', () => {
    expect(rangeOf(new Float32Array(10), 0.05)).toEqual({ top: 1, max: 0, capped: false, bendAt: null });
    expect(rangeOf(new Float32Array(0), 0.05).top).toBe(1);
    const odd = Float32Array.of(Number.NaN, Infinity, -Infinity, -3, 2, 2, 2);
    expect(rangeOf(odd, 0.05)).toMatchObject({ top: 2, max: 2, capped: false });
  });
});

describe('twoDigitsUp', () => {
  it('rounds up and keeps what has two digits already', () => {
    expect([0.0123, 1, 1.01, 12, 12.1, 99.5, 1234].map(twoDigitsUp)).toEqual([
      0.013, 1, 1.1, 12, 13, 100, 1300,
    ]);
  });
});
