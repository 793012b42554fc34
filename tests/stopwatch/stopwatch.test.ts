import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readOptions } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { readProgram } from '../../src/program/read.ts';
import { fitStopwatch, type Timings } from '../../src/stopwatch/fit.ts';
import { type RunName, stopwatchRuns } from '../../src/stopwatch/runs.ts';
import { machineWith } from '../support/machines.ts';

/** How long a run takes on a machine that is known. */
const secondsOn = (machine: Machine, name: RunName): number => {
  const { text } = stopwatchRuns(machine).find((each) => each.name === name)!;
  return planMotion(readProgram([text], readOptions(machine)), machine).durationS;
};
const timed = (machine: Machine, slipS = 0): Timings => ({
  'along x': [secondsOn(machine, 'along x') + slipS],
  'along y': [secondsOn(machine, 'along y') - slipS],
  corners: [secondsOn(machine, 'corners') + slipS],
});

const TOP: [number, number, number] = [100, 100, 10];
const assumed = machineWith({
  max_speed_mm_s: TOP,
  acceleration_mm_s2: [500, 500, 50],
  cornering: { rule: 'junction-deviation', deviation_mm: 0.02 },
});

describe('runs for a stopwatch', () => {
  test('strokes along x take what the closed form of a triangle of speed says', () => {
    // From rest to rest over L without reaching top speed: t = 2 √(L / a); exercise in any textbook of mechanics.
    const machine = machineWith({ max_speed_mm_s: TOP, acceleration_mm_s2: [300, 300, 50] });
    expect(secondsOn(machine, 'along x')).toBeCloseTo(200 * 2 * Math.sqrt(4 / 300), 6);
  });

  test('no run burns, and each ends where it began', () => {
    for (const { text } of stopwatchRuns(assumed)) {
      const { moves, operations } = readProgram([text], readOptions(assumed));
      expect(operations).toEqual([]);
      expect(moves.xMm[moves.count - 1]).toBeCloseTo(0, 9);
      expect(moves.yMm[moves.count - 1]).toBeCloseTo(0, 9);
      expect(Math.max(...moves.s)).toBe(0);
    }
  });
});

describe('what a stopwatch tells', () => {
  test('from exact times, acceleration and corners of simulated machines, of both corner rules', () => {
    const machines = fc.record({
      ax: fc.double({ min: 80, max: 3000, noNaN: true }),
      ay: fc.double({ min: 80, max: 3000, noNaN: true }),
      isStep: fc.boolean(),
      corner: fc.double({ min: 0.2, max: 1, noNaN: true }),
    });
    fc.assert(
      fc.property(machines, ({ ax, ay, isStep, corner }) => {
        const true_ = machineWith({
          max_speed_mm_s: TOP,
          acceleration_mm_s2: [ax, ay, 50],
          cornering: isStep
            ? { rule: 'speed-step', step_mm_s: 8 * corner }
            : { rule: 'junction-deviation', deviation_mm: 0.05 * corner },
        });
        const before: Machine = {
          ...assumed,
          cornering: isStep ? { rule: 'speed-step', step_mm_s: 5 } : assumed.cornering,
        };
        const { machine, fitted } = fitStopwatch(before, timed(true_));
        for (const [axis, a] of [ax, ay].entries()) {
          expect(fitted[axis]!.isTold).toBe(true);
          expect(Math.abs(fitted[axis]!.value / a - 1)).toBeLessThan(0.01);
          expect(Math.abs(machine.acceleration_mm_s2[axis]! / a - 1)).toBeLessThan(0.016);
        }
        const known = isStep ? 8 * corner : 0.05 * corner;
        expect(Math.abs(fitted[2]!.value / known - 1)).toBeLessThan(0.05);
      }),
      { numRuns: 25 },
    );
  });

  test('a slip of the hand by 0.2 s moves each number by about the uncertainty told', () => {
    for (const a of [150, 500, 1500]) {
      const true_ = machineWith({
        max_speed_mm_s: TOP,
        acceleration_mm_s2: [a, a * 0.8, 50],
        cornering: { rule: 'junction-deviation', deviation_mm: 0.03 },
      });
      const { fitted } = fitStopwatch(assumed, timed(true_, 0.2));
      const known = [a, a * 0.8, 0.03];
      for (const [k, { value, plusMinusPart }] of fitted.entries()) {
        const off = Math.abs(Math.log(value / known[k]!));
        expect(off, `${a} ${k}`).toBeLessThan(2.5 * plusMinusPart);
        if (k < 2) expect(off, `${a} ${k}`).toBeGreaterThan(0.5 * plusMinusPart);
      }
    }
  });

  test('timed twice is surer than once', () => {
    const once = fitStopwatch(assumed, { 'along x': [25] }).fitted[0]!;
    const twice = fitStopwatch(assumed, { 'along x': [25, 25] }).fitted[0]!;
    expect(twice.value).toBeCloseTo(once.value, 3);
    expect(twice.plusMinusPart / once.plusMinusPart).toBeCloseTo(Math.SQRT1_2, 3);
  });

  test('what was not timed stays as it was', () => {
    const { machine, fitted } = fitStopwatch(assumed, { 'along y': [40] });
    expect(fitted.map(({ field }) => field)).toEqual(['acceleration along y']);
    expect(machine.acceleration_mm_s2[0]).toBe(500);
    expect(machine.acceleration_mm_s2[1]).toBeCloseTo((4 * 4) / (40 / 200) ** 2, -1);
    expect(machine.cornering).toEqual(assumed.cornering);
  });

  test('a machine too stiff for a hand is not told a number', () => {
    const stiff = machineWith({ max_speed_mm_s: [20, 20, 10], acceleration_mm_s2: [20_000, 20_000, 50] });
    const { machine, fitted } = fitStopwatch(stiff, { 'along x': [secondsOn(stiff, 'along x')] });
    expect(fitted[0]!.isTold).toBe(false);
    expect(machine.acceleration_mm_s2[0]).toBe(20_000);
  });

  test('times that cannot be are refused in a sentence', () => {
    expect(() => fitStopwatch(assumed, { 'along x': [5] })).toThrow(
      /found 5 s for the run along x; expected at least 8 s/,
    );
    expect(() => fitStopwatch(assumed, { corners: [0] })).toThrow(/expected its seconds/);
    expect(() => fitStopwatch(assumed, {})).toThrow(/expected the seconds of at least one run/);
  });
});
