import { describe, expect, test } from 'vitest';
import { junctionDeviationSquared, moveLimits } from '../../src/motion/limits.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { machineWith } from '../support/machines.ts';
import { programOf } from '../support/program-of.ts';

/** The planned speed at a corner between two long fast legs, the first along x, the second turned by `turnDeg`. */
function cornerSpeed(turnDeg: number, cornering: Parameters<typeof machineWith>[0], feed = 200): number {
  const turn = (turnDeg * Math.PI) / 180;
  const program = programOf([
    { x: 400, feed, rapid: false },
    { x: 400 + 400 * Math.cos(turn), y: 400 * Math.sin(turn) },
  ]);
  return planMotion(program, machineWith(cornering)).entryMmPerS[1]!;
}

describe('junction deviation, S. Jeon 2011: v² = a·δ·s/(1 − s), s = sin(θ/2)', () => {
  // Interior angle, speed in mm/s at a = 500, δ = 0.01: worked from the published formula.
  test.each([
    [0, 0],
    [30, 1.32136],
    [45, 1.76056],
    [60, 2.23607],
    [90, 3.47434],
    [120, 5.68511],
    [135, 7.79008],
    [150, 11.9054],
    [165, 24.0716],
    [170, 36.1795],
    [175, 72.4453],
  ])('interior angle %d°: %d mm/s', (interiorDeg, speed) => {
    const cosTurn = -Math.cos((interiorDeg * Math.PI) / 180);
    expect(Math.sqrt(junctionDeviationSquared(cosTurn, 500, 0.01))).toBeCloseTo(speed, speed > 10 ? 3 : 4);
  });

  test('a right angle from planned motion: a·δ·(√2 + 1), the acceleration taken along the change of direction', () => {
    // With equal limits on x and y the diagonal has √2 times the axis acceleration.
    const alongChange = 500 * Math.SQRT2;
    expect(cornerSpeed(90, {})).toBeCloseTo(Math.sqrt(alongChange * 0.01 * (Math.SQRT2 + 1)), 9);
  });

  test('straight on sets no limit, a full reversal stops the head', () => {
    expect(cornerSpeed(0, {})).toBeCloseTo(200, 9);
    expect(cornerSpeed(180, {})).toBeCloseTo(0, 6);
  });

  test('a corner is never taken faster than the slower of its two legs', () => {
    const program = programOf([
      { x: 100, feed: 50, rapid: false },
      { x: 200, feed: 20 },
    ]);
    expect(planMotion(program, machineWith()).entryMmPerS[1]).toBe(20);
  });
});

describe('speed step, per axis: v = min J/|Δu_i|', () => {
  const rule = { cornering: { rule: 'speed-step', step_mm_s: 20 } } as const;

  test('30° turn at J = 20: 40 mm/s by the per-axis form (the norm form of the same published case gives 38.64)', () => {
    expect(cornerSpeed(30, rule)).toBeCloseTo(20 / Math.sin(Math.PI / 6), 9);
  });

  test('90° turn at J = 20: 20 mm/s; reversal: 10 mm/s', () => {
    expect(cornerSpeed(90, rule)).toBeCloseTo(20, 9);
    expect(cornerSpeed(180, rule)).toBeCloseTo(10, 9);
  });
});

describe('limits along a move', () => {
  test('a diagonal of two axes at 100 mm/s and 500 mm/s² runs at 141.42 mm/s and 707.11 mm/s²', () => {
    // Public documentation of open-source motion controllers: the lowest contributing axis rules.
    const machine = machineWith({ max_speed_mm_s: [100, 100, 10] });
    const limits = moveLimits(programOf([{ x: 10, y: 10, feed: 1000, rapid: false }]).moves, machine);
    expect(limits.nominalMmPerS[0]).toBeCloseTo(141.42, 2);
    expect(limits.accelMmPerS2[0]).toBeCloseTo(707.11, 2);
  });

  test('an axis that does not move sets no limit', () => {
    const machine = machineWith({ max_speed_mm_s: [100, 0.001, 0.001] });
    const limits = moveLimits(programOf([{ x: 10, feed: 60, rapid: false }]).moves, machine);
    expect(limits.nominalMmPerS[0]).toBe(60);
  });
});

test('a rapid goes at top speed, whatever feed is in force, and a feed move no faster than it', () => {
  const program = programOf([
    { x: 100, feed: 10, rapid: true },
    { x: 200, feed: 10, rapid: false },
    { x: 300, feed: 5000, rapid: false },
  ]);
  const { nominalMmPerS } = moveLimits(program.moves, machineWith());
  expect(Array.from(nominalMmPerS)).toEqual([1000, 10, 1000]);
});
