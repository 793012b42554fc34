import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import type { Observation } from '../../src/outcome/observe.ts';
import { update } from '../../src/outcome/update.ts';

/** The update against closed forms: two numbers of which only the sum is seen, and the half-normal distribution. */

const wood = shippedMaterials['poplar plywood']!;
const prior = {
  names: ['optical_power', 'spot_width'],
  mean: [0, 0],
  covariance: [
    [0.01, 0],
    [0, 0.01],
  ],
};
const sum = (seen: Observation['seen'], value: number, plusMinus: number): Observation => ({
  operation: 1,
  of: ({ power, width }) => Math.log(power) + Math.log(width),
  seen,
  value,
  plusMinus,
});

describe('values', () => {
  test('a sum that is seen is shared out, and ties the two together', () => {
    const { joint, isContradictory } = update(prior, wood, [sum('value', 0.2, 0.1)]);
    // Of two independent numbers with variance v, seen as their sum to variance r: each takes v/(2v + r) of it.
    const gain = 0.01 / (2 * 0.01 + 0.01);
    expect(joint.mean[0]).toBeCloseTo(0.2 * gain, 6);
    expect(joint.mean[1]).toBeCloseTo(0.2 * gain, 6);
    expect(joint.covariance[0]![0]).toBeCloseTo(0.01 * (1 - gain), 8);
    expect(joint.covariance[0]![1]).toBeCloseTo(-0.01 * gain, 8);
    expect(isContradictory).toBe(false);
  });

  test('seen twice is seen with half the variance', () => {
    const twice = update(prior, wood, [sum('value', 0.1, 0.1), sum('value', 0.1, 0.1)]).joint;
    const once = update(prior, wood, [sum('value', 0.1, 0.1 / Math.SQRT2)]).joint;
    expect(twice.mean[0]).toBeCloseTo(once.mean[0]!, 8);
    expect(twice.covariance[0]![0]).toBeCloseTo(once.covariance[0]![0]!, 8);
  });

  test('what is seen three times in a thousand is contradictory, and believed less', () => {
    // √(0.02 + 0.0001) is one standard deviation of what is seen: 2.968 of them are passed 3 in 1000 times.
    const sigma = Math.sqrt(0.0201);
    expect(update(prior, wood, [sum('value', 2.9 * sigma, 0.01)]).isContradictory).toBe(false);
    const { joint, isContradictory } = update(prior, wood, [sum('value', 3.1 * sigma, 0.01)]);
    expect(isContradictory).toBe(true);
    expect(joint.mean[0]! + joint.mean[1]!).toBeLessThan(0.5 * 3.1 * sigma);
  });
});

describe('how far each lies off', () => {
  test('is told against what prior and the others make of it: a conditional normal number', () => {
    const { off } = update(prior, wood, [sum('value', 0.3, 0.1), sum('value', -0.1, 0.1)]);
    // Each has the variance v = 0.02 + 0.01, both the covariance c = 0.02: given the other, mean c/v of it and v − c²/v.
    const sigma = Math.sqrt(0.03 - 0.02 ** 2 / 0.03);
    expect(off[0]).toBeCloseTo((0.3 + (0.02 / 0.03) * 0.1) / sigma, 9);
    expect(off[1]).toBeCloseTo((-0.1 - (0.02 / 0.03) * 0.3) / sigma, 9);
    expect(update(prior, wood, [sum('value', 0.2, 0.1)]).off[0]).toBeCloseTo(0.2 / Math.sqrt(0.03), 9);
  });

  test('of a bound only where it is missed', () => {
    const { off } = update(prior, wood, [
      sum('at least', 0.3, 0.1),
      sum('value', 0, 0.1),
      sum('at most', 1, 0.1),
    ]);
    expect(off[0]).toBeLessThan(-1.5);
    expect(off[1]).toBe(0);
    expect(off[2]).toBe(0);
  });
});

describe('bounds', () => {
  test('at least the median leaves the upper half: mean √(2/π)·σ, variance (1 − 2/π)·σ²', () => {
    const { joint } = update(prior, wood, [sum('at least', 0, 1e-6)]);
    const sigma = Math.sqrt(0.02);
    expect(joint.mean[0]! + joint.mean[1]!).toBeCloseTo(Math.sqrt(2 / Math.PI) * sigma, 4);
    const [[a, b], [, d]] = joint.covariance as [[number, number], [number, number]];
    expect(a + 2 * b + d).toBeCloseTo((1 - 2 / Math.PI) * 0.02, 5);
    const most = update(prior, wood, [sum('at most', 0, 1e-6)]).joint;
    expect(most.mean[0]).toBeCloseTo(-joint.mean[0]!, 9);
  });

  test('a bound that is itself in doubt teaches less: √(2/π)·v/√(v + s²)', () => {
    const { joint } = update(prior, wood, [sum('at least', 0, 0.1)]);
    expect(joint.mean[0]! + joint.mean[1]!).toBeCloseTo((Math.sqrt(2 / Math.PI) * 0.02) / Math.sqrt(0.03), 4);
  });

  test('what was to be expected anyway teaches nothing, and what was not is told', () => {
    const anyway = update(prior, wood, [sum('at least', -0.9, 0.01)]);
    expect(anyway.joint.mean[0]).toBeCloseTo(0, 6);
    expect(anyway.isContradictory).toBe(false);
    expect(update(prior, wood, [sum('at least', 0.5, 0.01)]).isContradictory).toBe(true);
  });
});
