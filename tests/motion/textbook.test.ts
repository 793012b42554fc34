import { describe, expect, test } from 'vitest';
import { planMotion } from '../../src/motion/plan.ts';
import { machineWith } from '../support/machines.ts';
import { programOf } from '../support/program-of.ts';

/** One straight move of `lengthMm` along x from rest to rest. */
function singleMove(lengthMm: number, feedMmPerS: number, accel: number) {
  const machine = machineWith({ acceleration_mm_s2: [accel, accel, accel] });
  const motion = planMotion(programOf([{ x: lengthMm, feed: feedMmPerS, rapid: false }]), machine);
  return { peak: motion.peakMmPerS[0]!, durationS: motion.durationS };
}

describe('rest-to-rest profiles against published worked problems', () => {
  test('trapezoid, Siciliano et al., Robotics (2009), problem 4.7: L = √2, T = 2, v = 1', () => {
    // The published answer: ramps of 0.585786 at 1.707107, cruise of 0.828427, two units of time in all.
    const { peak, durationS } = singleMove(Math.SQRT2, 1, 1.707107);
    expect(peak).toBe(1);
    expect(durationS).toBeCloseTo(2, 6);
  });

  test('trapezoid with unequal ramps: D = 1000, T = 4, up at 1000, down at 500 (published exchange of worked problems)', () => {
    // A move has one acceleration, so the ramps lie on two legs round a corner that the rule lets pass at any speed.
    const machine = machineWith({
      acceleration_mm_s2: [1000, 500, 500],
      cornering: { rule: 'junction-deviation', deviation_mm: 1e9 },
    });
    const program = programOf([
      { x: 500, feed: 279.241, rapid: false },
      { x: 500, y: 500 },
    ]);
    const motion = planMotion(program, machine);
    expect(motion.entryMmPerS[1]).toBeCloseTo(279.241, 3);
    expect(motion.durationS).toBeCloseTo(4, 5);
  });

  test('trapezoid, Biagiotti and Melchiorri form: 0 to 30 in 4 with ramps of 1 reaches 10', () => {
    const { peak, durationS } = singleMove(30, 10, 10);
    expect(peak).toBe(10);
    expect(durationS).toBeCloseTo(4, 12);
  });

  test('trapezoid, university assignment: 0 to 5 in 5, v = 1.6667, a = 0.83333', () => {
    expect(singleMove(5, 5 / 3, 5 / 6).durationS).toBeCloseTo(5, 9);
  });

  test.each([
    [4, 500],
    [1, 500],
    [0.37, 1230],
  ])(
    'triangle over %d mm at %d mm/s²: peak √(aD), time 2√(D/a) (bang-bang law, engineering tutorials)',
    (d, a) => {
      const { peak, durationS } = singleMove(d, 1e6 / 60, a);
      expect(peak).toBeCloseTo(Math.sqrt(a * d), 9);
      expect(durationS).toBeCloseTo(2 * Math.sqrt(d / a), 12);
    },
  );

  test('the border between both: D = v²/a (0.1 at v = 1, a = 10 takes 0.2), open-source CNC controller documentation', () => {
    const { peak, durationS } = singleMove(0.1, 1, 10);
    expect(peak).toBeCloseTo(1, 12);
    expect(durationS).toBeCloseTo(0.2, 12);
  });
});
