import { describe, expect, test } from 'vitest';
import { restCommandW } from '../../src/dose/command.ts';
import { burnHeights } from '../../src/dose/heights.ts';
import { landOn } from '../../src/dose/land.ts';
import type { Stroke } from '../../src/dose/visitor.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import { powerLaw } from '../../src/laser/power.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { headAt } from '../../src/motion/timeline.ts';
import { letsThrough } from '../../src/program/beam-on.ts';
import { frame } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';

/** What the walk hands out, piece by piece, against the equations of motion: x = a·t²/2, v = a·t. */

const STEP_MM = 0.05;
const ACCEL = 500;

function piecesOf(steps: readonly Step[], machine: Machine) {
  const strokes: Stroke[] = [];
  const rests: Stroke[] = [];
  walkBeam(planMotion(programOf(steps), machine), machine, STEP_MM, {
    stroke: (stroke) => strokes.push({ ...stroke }),
    rest: (rest) => rests.push({ ...rest }),
  });
  return { strokes, rests };
}

/** The energy between the start and a place on a line along x, each stroke's spread evenly over it. */
const energyUpTo = (strokes: readonly Stroke[], xMm: number): number =>
  strokes.reduce(
    (sum, { x0, x1, energyJ }) => sum + energyJ * Math.min(1, Math.max(0, (xMm - x0) / (x1 - x0))),
    0,
  );

/** Places along a ramp of 10 mm, which takes the head to 100 mm/s. */
const places = Array.from({ length: 24 }, (_, k) => 0.4 * (k + 1));
const timeAt = (xMm: number) => Math.sqrt((2 * xMm) / ACCEL);

describe('the energy along a ramp from rest', () => {
  const rampTo100 = (power: 'constant' | 'proportional', more: Step = {}): Step => ({
    x: 60,
    feed: 100,
    s: 500,
    power,
    rapid: false,
    ...more,
  });
  const expectEnergy = (steps: Step[], machine: Machine, exactJ: (tS: number, xMm: number) => number) => {
    const { strokes } = piecesOf(steps, machine);
    for (const x of places) {
      const exact = exactJ(timeAt(x), x);
      expect(Math.abs(energyUpTo(strokes, x) - exact), `at ${x} mm`).toBeLessThan(0.002 * exact + 1e-4);
    }
  };

  test('constant power: P·t', () => {
    expectEnergy([rampTo100('constant')], machineWith(), (t) => 4 * t);
  });

  test('proportional power: P·x/feed', () => {
    expectEnergy([rampTo100('proportional')], machineWith(), (_t, x) => (4 * x) / 100);
  });

  test('proportional power over a threshold q: P·(a/(2f)·(t² − t₀²) − q·(t − t₀))/(1 − q), dark before t₀ = q·f/a', () => {
    const q = 0.2;
    const machine = machineWith({ laser: { threshold_fraction: q } });
    const dark = (q * 2 * 100) / ACCEL;
    expectEnergy([rampTo100('proportional')], machine, (t) =>
      t < dark ? 0 : (8 * ((0.5 * ACCEL * (t * t - dark * dark)) / 200 - q * (t - dark))) / (1 - q),
    );
  });

  test('a rapid that fires and outruns its feed: P·x/feed up to full duty at twice the feed, and full power beyond', () => {
    const machine = machineWith({ max_speed_mm_s: [100, 100, 100], laser: { fires_on_rapids: true } });
    const full = 40 / ACCEL; // S500 of 1000 is half the duty at the feed
    expectEnergy([rampTo100('proportional', { feed: 20, rapid: true })], machine, (t, x) =>
      t < full ? (4 * x) / 20 : (4 * ((ACCEL * full * full) / 2)) / 20 + 8 * (t - full),
    );
  });

  test('the ramp down is the ramp up turned round', () => {
    const { strokes } = piecesOf([rampTo100('constant')], machineWith());
    const all = strokes.reduce((sum, { energyJ }) => sum + energyJ, 0);
    for (const x of places) expect(all - energyUpTo(strokes, 60 - x)).toBeCloseTo(energyUpTo(strokes, x), 6);
  });

  test('a ramp up and a ramp down of different lengths lie at the two ends', () => {
    // Enters at rest, leaves at 60 mm/s: 10 mm up, 6.4 mm down.
    const { strokes } = piecesOf([rampTo100('constant'), { x: 160, feed: 60 }], machineWith());
    const cruise = strokes.find(({ x0, x1 }) => x1 - x0 > 20)!;
    expect([cruise.x0, cruise.x1]).toEqual([expect.closeTo(10, 9), expect.closeTo(53.6, 9)]);
  });
});

test('dwell under proportional power follows the ramp, though its line energy is even', () => {
  const { strokes } = piecesOf(
    [{ x: 60, feed: 100, s: 500, power: 'proportional', rapid: false }],
    machineWith(),
  );
  const up = strokes.filter(({ x1 }) => x1 < 10 + 1e-9);
  expect(up.length).toBeGreaterThanOrEqual(4);
  let t = 0;
  for (const { x1, durationS } of up) {
    t += durationS;
    expect(x1).toBeCloseTo((ACCEL * t * t) / 2, 9);
  }
});

/** Ramps up and down, along an axis and across, a rest among them. */
const thereAndBack = (power: 'constant' | 'proportional'): Step[] => [
  { x: 5, rapid: true },
  { x: 40, feed: 80, s: 500, power, rapid: false },
  { dwellS: 0.3 },
  { x: 60, y: 15, feed: 50 },
  { x: 20, y: 30 },
];

test('a piece begins when the head is where it begins', () => {
  const steps = thereAndBack('proportional');
  const motion = planMotion(programOf(steps), machineWith());
  const { strokes } = piecesOf(steps, machineWith());
  expect(strokes.length).toBeGreaterThan(12);
  for (const { startS, x0, y0 } of strokes) {
    const head = headAt(motion, startS);
    expect(Math.hypot(head.xMm - x0, head.yMm - y0)).toBeLessThan(1e-4);
  }
});

test.each([0, 0.05])(
  'under constant power the middle of a piece is where the head is on average while it lasts, at a lag of %d ms',
  (rise_time_ms) => {
    const steps = thereAndBack('constant');
    const machine = machineWith({ laser: { rise_time_ms } });
    const motion = planMotion(programOf(steps), machine);
    const { strokes } = piecesOf(steps, machine);
    const atFullPower = strokes.filter(({ energyJ, durationS }) => Math.abs(energyJ / durationS - 4) < 4e-9);
    expect(atFullPower.length).toBeGreaterThan(100);
    for (const { startS, durationS, x0, y0, x1, y1 } of atFullPower) {
      // Simpson's rule is exact for the parabola that a ramp is.
      const [first, half, last] = [0, 0.5, 1].map((part) => headAt(motion, startS + part * durationS));
      const mean = (of: 'xMm' | 'yMm') => (first![of] + 4 * half![of] + last![of]) / 6;
      expect(Math.hypot((x0 + x1) / 2 - mean('xMm'), (y0 + y1) / 2 - mean('yMm'))).toBeLessThan(1e-6);
    }
  },
);

describe('height', () => {
  const climb: Step[] = [
    { x: 10, z: 1, rapid: true },
    { x: 40, z: 3, feed: 20, s: 500, power: 'constant', rapid: false },
    { dwellS: 0.5, s: 250 },
  ];
  const { strokes, rests } = piecesOf(climb, machineWith());

  test('is that of each piece’s middle on a slope, no piece climbing more than a tenth of a millimetre', () => {
    for (const { x0, x1, z } of strokes) {
      expect(z).toBeCloseTo(1 + (2 * ((x0 + x1) / 2 - 10)) / 30, 9);
      expect(((x1 - x0) * 2) / 30).toBeLessThanOrEqual(0.1 + 1e-9);
    }
  });

  test('a rest gives power times time, where the head is, on the move that led there', () => {
    const at = { x0: 40, y0: 0, x1: 40, y1: 0, z: 3 };
    const startS = planMotion(programOf(climb), machineWith()).rests.startS[0]!;
    expect(rests).toEqual([{ ...at, energyJ: 2 * 0.5, startS, durationS: 0.5, move: 1 }]);
  });

  test('is known over all that burns, and the dose’s mean height cell by cell', () => {
    const machine = machineWith({ spot: { rayleigh_mm: 2 } });
    const motion = planMotion(programOf(climb), machine);
    expect(burnHeights(motion, machine)).toEqual([1, 3]);
    expect(burnHeights(motion, machineWith())).toEqual([1, 1]);
    const { dose } = landOn(frame(8, -4, 340, 80, 0.1), motion, machine);
    const { nx, data } = dose.grid;
    for (const x of [12, 20, 30]) {
      const cell = 40 * nx + Math.round((x - 8) / 0.1);
      // A piece has one height, and none climbs more than a tenth: half of that to either side.
      expect(dose.height.doseAbove![cell]! / data[cell]!).toBeCloseTo((2 * (x + 0.05 - 10)) / 30, 1);
    }
  });
});

describe('what the beam is told', () => {
  const asked = (power: 'constant' | 'proportional', rapid: boolean, firing: boolean): number => {
    const machine = machineWith({ laser: { fires_on_rapids: firing } });
    const motion = planMotion(programOf([{ x: 5, feed: 50, s: 500, power, rapid }, { dwellS: 1 }]), machine);
    return restCommandW(0, motion, machine, powerLaw(machine.laser));
  };

  test('at rest constant power goes on, and proportional power is off', () => {
    expect(asked('constant', false, false)).toBe(4);
    expect(asked('proportional', false, false)).toBe(0);
  });

  test('after a rapid only where the machine fires on rapids', () => {
    expect(asked('constant', true, false)).toBe(0);
    expect(asked('constant', true, true)).toBe(4);
    expect([letsThrough(0, false), letsThrough(1, false), letsThrough(1, true)]).toEqual([true, false, true]);
  });
});
