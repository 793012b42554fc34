import { describe, expect, test } from 'vitest';
import { grainsPerS, roundFeed, roundS } from '../../src/change/rounding.ts';
import { firstDisagreement } from '../../src/change/same-work.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';

/** Two programs that differ in one thing: by less than a file can say, and by more. */

const start: Step = { x: 5, rapid: true };
const burn = { x: 20, y: 3, z: 0.5, feed: 50, s: 400, power: 'constant', rapid: false } as const;
const dwell = { dwellS: 0.2, s: 300, power: 'constant' } as const;
const last: Step = { x: 30, s: 0 };
const job = (line: Step = burn, rest: Step = dwell) => programOf([start, line, rest, last]);

const disagreement = (line: Step, rest: Step = dwell, firing = false) =>
  firstDisagreement(job(), job(line, rest), machineWith({ laser: { fires_on_rapids: firing } }));

describe('the first move that differs', () => {
  test.each<[string, Step, Step]>([
    ['x, 0.05 µm', { ...burn, x: 20 + 4e-5 }, { ...burn, x: 20 + 6e-5 }],
    ['y', { ...burn, y: 3 - 4e-5 }, { ...burn, y: 3 - 6e-5 }],
    ['z', { ...burn, z: 0.5 + 4e-5 }, { ...burn, z: 0.5 + 6e-5 }],
    ['feed, a millionth', { ...burn, feed: 50 * (1 + 8e-7) }, { ...burn, feed: 50 * (1 + 1.3e-6) }],
    ['S, a millionth of the scale', { ...burn, s: 400.0008 }, { ...burn, s: 400.0013 }],
    ['power mode', burn, { ...burn, power: 'proportional' }],
    ['light', burn, { ...burn, s: 0 }],
    ['a rapid', burn, { ...burn, rapid: true }],
  ])('%s', (_what, same, other) => {
    expect(disagreement(same)).toBe(null);
    expect(disagreement(other)).toBe(1);
  });

  test.each<[string, Step, Step]>([
    ['the time of a rest', dwell, { ...dwell, dwellS: 0.21 }],
    ['what burns in it', dwell, { ...dwell, s: 301 }],
    ['whether it burns', dwell, { ...dwell, s: 0 }],
    ['its power mode', dwell, { ...dwell, power: 'proportional' }],
    ['no rest at all', dwell, { dwellS: 0, s: 300, power: 'constant' }],
  ])('rests: %s', (_what, same, other) => {
    expect(disagreement(burn, same)).toBe(null);
    expect(disagreement(burn, other)).toBe(2);
  });

  test('what is said of a beam that is off anyway does not count', () => {
    const off = (power: 'constant' | 'proportional', feed: number) =>
      programOf([{ x: 5, s: 0, power, feed, rapid: true }, burn]);
    expect(firstDisagreement(off('constant', 10), off('proportional', 20), machineWith())).toBe(null);
  });

  test('a rapid that fires counts, and under proportional power its feed too', () => {
    const travel = (s: number, feed: number, firing: boolean) => {
      const one = programOf([{ x: 5, s: 500, power: 'proportional', feed: 10, rapid: true }, burn]);
      const two = programOf([{ x: 5, s, power: 'proportional', feed, rapid: true }, burn]);
      return firstDisagreement(one, two, machineWith({ laser: { fires_on_rapids: firing } }));
    };
    expect([travel(600, 10, false), travel(500, 20, false)]).toEqual([null, null]);
    expect([travel(600, 10, true), travel(500, 20, true)]).toEqual([0, 0]);
  });

  test('a program that goes on differs where the other ends', () => {
    expect(firstDisagreement(job(), programOf([start, burn, dwell]), machineWith())).toBe(2);
  });
});

describe('rounding of what is written', () => {
  test.each([
    [1000, 100],
    [255, 1000],
    [1, 100_000],
    [65_535, 10],
  ])(
    'S of a scale to %d is cut into %d grains a unit, between 10⁻⁶ and 10⁻⁵ of the scale',
    (sMax, grains) => {
      expect(grainsPerS(sMax)).toBe(grains);
      expect(1 / grains / sMax).toBeGreaterThanOrEqual(1e-6);
      expect(1 / grains / sMax).toBeLessThanOrEqual(1e-5);
    },
  );

  test('an S above 0 stays above 0', () => {
    expect([roundS(0.001, 100), roundS(0, 100), roundS(12.3456, 100)]).toEqual([0.01, 0, 12.35]);
  });

  test('a feed in inches has five digits', () => {
    expect(roundFeed(12.3456789, 1)).toBe(12.3456789);
    // 12.3456789 mm/s are 29.162998… inches a minute.
    expect(roundFeed(12.3456789, 25.4)).toBeCloseTo((29.163 * 25.4) / 60, 12);
  });
});
