import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { depositStepMm, startDeposit } from '../../src/dose/deposit.ts';
import type { BeamVisitor } from '../../src/dose/visitor.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import { integrate } from '../../src/grid.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { doseOf, frame, furthestApart, greatest } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';

const RUNS = { numRuns: 40, seed: 20261125 };

/** Coordinates on a 1/8 mm raster, so that whole-cell shifts and quarter turns are exact. */
const coordinate = fc.integer({ min: 16, max: 80 }).map((n) => n / 8);
const move = fc.record({
  x: coordinate,
  y: coordinate,
  feed: fc.integer({ min: 2, max: 120 }),
  s: fc.integer({ min: 0, max: 1000 }),
  rapid: fc.boolean(),
});
const pathOf = (power: 'constant' | 'proportional') =>
  fc.array(move, { minLength: 2, maxLength: 12 }).map((moves): Step[] => {
    const distinct = moves.filter((m, i) => i === 0 || m.x !== moves[i - 1]!.x || m.y !== moves[i - 1]!.y);
    return distinct.map((m, i) => ({ ...m, power, rapid: i === 0 || m.rapid }));
  });
const shapes = ['gaussian', 'uniform-ellipse', 'uniform-rectangle'] as const;
const spots = fc.record({
  shape: fc.constantFrom(...shapes),
  width_mm: fc.tuple(fc.constantFrom(0.4, 0.7), fc.constantFrom(0.4, 1)),
  rotation_deg: fc.constantFrom(0, 30, 90),
});
/** Cells along a side of the grid on which all of it lies, 12 mm. */
const SIDE = 96;
const whole = frame(0, 0, SIDE, SIDE, 0.125);

describe('energy', () => {
  test('on the grid equals energy emitted when the whole spot falls on it, to single precision', () => {
    fc.assert(
      fc.property(pathOf('constant'), spots, (steps, spot) => {
        const dose = doseOf(steps, machineWith({ spot }), whole);
        expect(dose.outsideJ).toBe(0);
        expect(Math.abs(integrate(dose.grid) - dose.energyJ)).toBeLessThanOrEqual(2e-6 * dose.energyJ);
      }),
      RUNS,
    );
  });

  test('that lands outside is counted: grid and outside add up to what was emitted', () => {
    const small = frame(6, 7, 40, 30, 0.125);
    fc.assert(
      fc.property(pathOf('proportional'), spots, (steps, spot) => {
        const dose = doseOf(steps, machineWith({ spot }), small);
        const sum = integrate(dose.grid) + dose.outsideJ;
        expect(Math.abs(sum - dose.energyJ)).toBeLessThanOrEqual(3e-6 * dose.energyJ);
        expect(dose.grid.data.every((value) => value >= 0)).toBe(true);
      }),
      RUNS,
    );
  });

  test('on a grid that is a window of a larger one, every cell holds the same', () => {
    fc.assert(
      fc.property(pathOf('constant'), spots, (steps, spot) => {
        const machine = machineWith({ spot });
        const large = doseOf(steps, machine, whole);
        const window = doseOf(steps, machine, frame(3, 2.5, 40, 60, 0.125));
        const same = new Float32Array(40 * 60);
        for (let j = 0; j < 60; j++)
          same.set(large.grid.data.subarray((j + 20) * SIDE + 24, (j + 20) * SIDE + 64), j * 40);
        fc.pre(greatest(large) > 0 && same.some((v) => v > 0));
        expect(furthestApart(same, window.grid.data)).toBeLessThan(1e-4);
      }),
      RUNS,
    );
  });

  test.each(shapes)('is kept over ten thousand passes along one diagonal: %s', (shape) => {
    const { spot } = machineWith({ spot: { shape, width_mm: [0.2, 0.3] } });
    const deposit = startDeposit(spot, frame(0, 0, 30, 30, 0.08));
    const there = {
      x0: 1,
      y0: 1,
      x1: 1.5,
      y1: 1.4,
      z: 0,
      energyJ: 0.01,
      startS: 0,
      durationS: 0.01,
      move: 0,
    };
    const back = { ...there, x0: 1.5, y0: 1.4, x1: 1, y1: 1 };
    for (let pass = 0; pass < 10_000; pass++) deposit.stroke(pass % 2 === 0 ? there : back);
    const { grid, energyJ, outsideJ, doseLnDwell } = deposit.finish();
    expect(outsideJ).toBe(0);
    expect(Math.abs(integrate(grid) - energyJ)).toBeLessThan(1e-5 * energyJ);
    // Every pass dwelled alike, so every cell knows that dwell, out to the rim.
    const most = grid.data.reduce((a, b) => Math.max(a, b));
    const lnDwell = Math.log((Math.sqrt(0.2 * 0.3) * 0.01) / Math.hypot(0.5, 0.4));
    grid.data.forEach((dose, k) => {
      if (dose > 0.02 * most) expect(Math.abs(doseLnDwell[k]! / dose / lnDwell - 1)).toBeLessThan(0.05);
    });
  });

  test('a lag delays energy but loses none, the tail after the last word included', () => {
    fc.assert(
      fc.property(pathOf('constant'), fc.constantFrom(0.2, 1, 20), (steps, rise) => {
        const prompt = doseOf(steps, machineWith(), whole);
        const lagging = doseOf(steps, machineWith({ laser: { rise_time_ms: rise } }), whole);
        expect(Math.abs(lagging.energyJ - prompt.energyJ)).toBeLessThanOrEqual(1e-6 * prompt.energyJ + 1e-6);
      }),
      RUNS,
    );
  });
});

describe('symmetries', () => {
  test('moving a job by whole cells moves its dose with it', () => {
    fc.assert(
      fc.property(pathOf('constant'), spots, (steps, spot) => {
        const machine = machineWith({ spot });
        const moved = steps.map((step) =>
          'x' in step ? { ...step, x: step.x! + 2.5, y: step.y! - 1.25 } : step,
        );
        // The way from the origin changes, but it is a dark rapid that ends at rest or in a corner: stop there.
        const stopped = (list: Step[]): Step[] => [list[0]!, { dwellS: 0 }, ...list.slice(1)];
        const here = doseOf(stopped(steps), machine, whole);
        const there = doseOf(stopped(moved), machine, frame(2.5, -1.25, SIDE, SIDE, 0.125));
        fc.pre(greatest(here) > 0);
        expect(furthestApart(here.grid.data, there.grid.data)).toBeLessThan(1e-5);
      }),
      RUNS,
    );
  });

  test('turning a job by 90° turns its dose, the machine and spot turned with it', () => {
    fc.assert(
      fc.property(pathOf('constant'), fc.constantFrom(...shapes), (steps, shape) => {
        const machine = machineWith({
          spot: { shape, width_mm: [0.4, 0.7] },
          acceleration_mm_s2: [300, 900, 50],
        });
        const turned = machineWith({
          spot: { shape, width_mm: [0.7, 0.4] },
          acceleration_mm_s2: [900, 300, 50],
        });
        const quarter = steps.map((step) => ('x' in step ? { ...step, x: 12 - step.y!, y: step.x! } : step));
        const stopped = (list: Step[]): Step[] => [list[0]!, { dwellS: 0 }, ...list.slice(1)];
        const here = doseOf(stopped(steps), machine, whole);
        const there = doseOf(stopped(quarter), turned, whole);
        fc.pre(greatest(here) > 0);
        const back = new Float32Array(SIDE * SIDE);
        for (let j = 0; j < SIDE; j++)
          for (let i = 0; i < SIDE; i++) back[j * SIDE + i] = there.grid.data[i * SIDE + (SIDE - 1 - j)]!;
        expect(furthestApart(here.grid.data, back)).toBeLessThan(shape === 'gaussian' ? 1e-4 : 0.02);
      }),
      RUNS,
    );
  });

  test('twice the power is twice the dose', () => {
    fc.assert(
      fc.property(pathOf('proportional'), spots, (steps, spot) => {
        const once = doseOf(steps, machineWith({ spot }), whole);
        const twice = doseOf(steps, machineWith({ spot, laser: { optical_power_w: 16 } }), whole);
        fc.pre(greatest(once) > 0);
        expect(
          furthestApart(
            twice.grid.data,
            once.grid.data.map((v) => 2 * v),
          ),
        ).toBeLessThan(1e-6);
      }),
      RUNS,
    );
  });

  test('running a path backwards burns the same', () => {
    fc.assert(
      fc.property(pathOf('constant'), (path) => {
        const machine = machineWith();
        const points = path.map((p) => ('x' in p ? [p.x!, p.y!] : []));
        const burn = (order: number[][]): Step[] => [
          { x: order[0]![0]!, y: order[0]![1]!, rapid: true, power: 'constant', s: 700 },
          { dwellS: 0 },
          ...order.slice(1).map(([x, y]): Step => ({ x: x!, y: y!, feed: 40, rapid: false })),
        ];
        fc.pre(points.length > 1);
        const forth = doseOf(burn(points), machine, whole);
        const back = doseOf(burn([...points].reverse()), machine, whole);
        expect(furthestApart(forth.grid.data, back.grid.data)).toBeLessThan(2e-3);
      }),
      RUNS,
    );
  });

  test('splitting moves changes nothing', () => {
    fc.assert(
      fc.property(pathOf('constant'), (path) => {
        const machine = machineWith();
        const split: Step[] = [];
        let [x, y] = [0, 0];
        for (const step of path) {
          if (!('x' in step)) continue;
          split.push({ ...step, x: (x + step.x!) / 2, y: (y + step.y!) / 2 }, step);
          [x, y] = [step.x!, step.y!];
        }
        const one = doseOf(path, machine, whole);
        fc.pre(greatest(one) > 0);
        expect(furthestApart(one.grid.data, doseOf(split, machine, whole).grid.data)).toBeLessThan(2e-3);
      }),
      RUNS,
    );
  });

  test('proportional power gives the same dose however slow the corners: line energy is even (no threshold, no lag)', () => {
    fc.assert(
      fc.property(pathOf('proportional'), (path) => {
        const soft = doseOf(path, machineWith({ acceleration_mm_s2: [50, 50, 50] }), whole);
        const stiff = doseOf(path, machineWith({ acceleration_mm_s2: [1e9, 1e9, 1e9] }), whole);
        fc.pre(greatest(soft) > 0);
        expect(furthestApart(soft.grid.data, stiff.grid.data)).toBeLessThan(2e-3);
      }),
      RUNS,
    );
  });

  test('constant power burns more the softer the machine', () => {
    const path: Step[] = [
      { x: 5, y: 5, rapid: true },
      { x: 15, y: 5, feed: 60, s: 500, power: 'constant', rapid: false },
      { x: 15, y: 15 },
    ];
    const energies = [1e9, 2000, 500, 100].map(
      (a) => doseOf(path, machineWith({ acceleration_mm_s2: [a, a, a] }), whole).energyJ,
    );
    expect(energies).toEqual([...energies].sort((p, q) => p - q));
    expect(energies[3]! / energies[0]!).toBeGreaterThan(1.5);
  });
});

describe('convergence', () => {
  test('halving the cell leaves block means as they were', () => {
    const machine = machineWith({ spot: { width_mm: [0.4, 0.7], rotation_deg: 30 } });
    const path: Step[] = [
      { x: 4, y: 5, rapid: true },
      { x: 15, y: 9.3, feed: 60, s: 500, power: 'constant', rapid: false },
      { x: 6, y: 15 },
    ];
    const coarse = doseOf(path, machine, frame(0, 0, 160, 160, 0.125));
    const fine = doseOf(path, machine, frame(0, 0, 320, 320, 0.0625));
    const blocks = coarse.grid.data.map((_, k) => {
      const [i, j] = [2 * (k % 160), 2 * Math.floor(k / 160)];
      const d = fine.grid.data;
      return (d[j * 320 + i]! + d[j * 320 + i + 1]! + d[(j + 1) * 320 + i]! + d[(j + 1) * 320 + i + 1]!) / 4;
    });
    expect(furthestApart(coarse.grid.data, blocks)).toBeLessThan(1e-4);
  });
});

test('dwell is told with the dose: spot width over speed on a line, the time itself at rest', () => {
  const machine = machineWith({ spot: { width_mm: [0.2, 0.2] } });
  const line = doseOf(
    [
      { x: -100, y: 1, rapid: true },
      { x: 100, y: 1, feed: 25, s: 400, power: 'constant', rapid: false },
    ],
    machine,
    frame(0, 0, 20, 20, 0.1),
  );
  const k = 10 * 20 + 10;
  expect(Math.exp(line.doseLnDwell[k]! / line.grid.data[k]!)).toBeCloseTo(0.2 / 25, 6);
  const still = doseOf(
    [
      { x: 1, y: 1, feed: 25, s: 0, power: 'constant', rapid: false },
      { dwellS: 0.7, s: 300 },
    ],
    machine,
    frame(0, 0, 20, 20, 0.1),
  );
  expect(Math.exp(still.doseLnDwell[k]! / still.grid.data[k]!)).toBeCloseTo(0.7, 5);
});

test('a tiny spot on coarse cells loses no energy on a slow ramp (found by fuzzing)', () => {
  const spot = {
    shape: 'uniform-ellipse',
    width_mm: [0.0285, 0.005],
    focus_z_mm: 13520.7,
    rayleigh_mm: 642.7,
  } as const;
  const machine = machineWith({
    acceleration_mm_s2: [0.01, 0.01, 0.01],
    laser: { optical_power_w: 1e-6 },
    spot: { ...spot, width_mm: [...spot.width_mm] },
  });
  const steps: Step[] = [
    { x: 2, y: 3, rapid: true },
    { x: 6, y: 5, feed: 20, s: 500, power: 'constant', rapid: false },
  ];
  const grid = frame(0, 0, 32, 28, 0.25);
  const deposit = startDeposit(machine.spot, grid);
  let pieces = 0;
  const counted: BeamVisitor = {
    stroke(stroke) {
      pieces++;
      deposit.stroke(stroke);
    },
    rest: deposit.rest,
  };
  walkBeam(planMotion(programOf(steps), machine), machine, depositStepMm(machine.spot, grid.cellMm), counted);
  const dose = deposit.finish();
  expect(Math.abs(integrate(dose.grid) + dose.outsideJ - dose.energyJ)).toBeLessThan(1e-4 * dose.energyJ);
  expect(pieces).toBeLessThan(2000);
});
