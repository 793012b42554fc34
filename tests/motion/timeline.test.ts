import { describe, expect, test } from 'vitest';
import { moveLimits } from '../../src/motion/limits.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { headAt } from '../../src/motion/timeline.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';
import { seeded } from '../support/random.ts';

const square: Step[] = [
  { x: 10, y: 10, rapid: true },
  { x: 30, feed: 40, s: 500, power: 'constant', rapid: false },
  { dwellS: 0.5 },
  { y: 20 },
  { x: 10 },
  { dwellS: 0.25 },
];

describe('the head at a moment', () => {
  const motion = planMotion(programOf(square), machineWith());

  test('starts at the origin, ends at the last point, and is clamped outside its time', () => {
    expect(headAt(motion, -1)).toMatchObject({ tS: 0, move: 0, xMm: 0, yMm: 0, speedMmPerS: 0 });
    expect(headAt(motion, 1e9)).toMatchObject({
      tS: motion.durationS,
      move: 4,
      xMm: 10,
      yMm: 20,
      speedMmPerS: 0,
    });
  });

  test('rests where the program says, for as long as it says', () => {
    const rest = motion.rests.startS[0]!;
    expect(headAt(motion, rest + 0.25)).toMatchObject({ rest: 0, move: 2, xMm: 30, yMm: 10, speedMmPerS: 0 });
    expect(motion.startS[2]! - rest).toBeCloseTo(0.5, 12);
    expect(headAt(motion, motion.durationS - 0.1)).toMatchObject({ rest: 1, move: 4, xMm: 10, yMm: 20 });
  });

  test('a word that takes no time is no rest', () => {
    const steps: Step[] = [{ x: 10, feed: 40, rapid: false }, { dwellS: 0, s: 0 }, { y: 20 }];
    expect(planMotion(programOf(steps), machineWith()).rests.count).toBe(0);
  });

  test('is at each move’s end when the next begins', () => {
    for (let i = 1; i < 4; i++) {
      const { xMm, yMm } = motion.program.moves;
      const head = headAt(motion, motion.startS[i]!);
      expect(head.xMm).toBeCloseTo(xMm[i - 1]!, 9);
      expect(head.yMm).toBeCloseTo(yMm[i - 1]!, 9);
    }
  });
});

test.each([1, 2, 3])(
  'seed %d: sampled speed and acceleration keep every limit, and position is their integral',
  (seed) => {
    const random = seeded(seed);
    const steps: Step[] = [];
    for (let k = 0; k < 60; k++) {
      steps.push({ x: random() * 20, y: random() * 20, feed: 5 + random() * 100, rapid: random() < 0.2 });
      if (random() < 0.1) steps.push({ dwellS: random() * 0.1 });
    }
    const machine = machineWith({
      max_speed_mm_s: [70, 50, 10],
      acceleration_mm_s2: [600, 400, 50],
      lookahead_moves: 4,
      cornering: { rule: 'speed-step', step_mm_s: 5 },
    });
    const motion = planMotion(programOf(steps), machine);
    const limits = moveLimits(motion.program.moves, machine);
    const dt = motion.durationS / 20_000;
    const wrong: string[] = [];
    let before = headAt(motion, 0);
    for (let k = 1; k <= 20_000; k++) {
      const hold = (what: string, value: number, most: number): void => {
        if (!(value <= most)) wrong.push(`${what} at ${k * dt} s: ${value}, at most ${most}`);
      };
      const now = headAt(motion, k * dt);
      const slack = 1 + 1e-6;
      if (now.move < motion.program.moves.count && now.rest < 0) {
        hold('speed', now.speedMmPerS, limits.nominalMmPerS[now.move]! * slack);
      }
      if (
        now.move === before.move &&
        now.rest < 0 &&
        before.rest < 0 &&
        now.move < limits.accelMmPerS2.length
      ) {
        const change = Math.abs(now.speedMmPerS - before.speedMmPerS) / dt;
        hold('acceleration', change, limits.accelMmPerS2[now.move]! * slack + 1e-6);
        const moved = Math.hypot(now.xMm - before.xMm, now.yMm - before.yMm);
        const mean = (now.speedMmPerS + before.speedMmPerS) / 2;
        // The trapezoid rule is exact on a ramp and off by at most a·dt² where a phase changes.
        hold('way', Math.abs(moved - mean * dt), limits.accelMmPerS2[now.move]! * dt * dt + 1e-9);
      }
      before = now;
    }
    expect(wrong).toEqual([]);
  },
);
