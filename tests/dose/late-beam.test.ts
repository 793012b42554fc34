import { describe, expect, test } from 'vitest';
import { depositStepMm, startDeposit } from '../../src/dose/deposit.ts';
import { walkLagging } from '../../src/dose/lagging.ts';
import { timelineOf } from '../../src/dose/moment.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { doseOf, frame, furthestApart } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';
import { seeded } from '../support/random.ts';

/** Where the energy of a grid lies on average along x, mm. */
function centroidX(dose: ReturnType<typeof doseOf>): number {
  const { nx, data, x0Mm, cellMm } = dose.grid;
  let [sum, moment] = [0, 0];
  data.forEach((value, k) => {
    sum += value;
    moment += value * (x0Mm + ((k % nx) + 0.5) * cellMm);
  });
  return moment / sum;
}

/** A 4 mm mark in the middle of a fast pass along x at constant speed, to the right or to the left. */
const mark = (direction: 1 | -1, speed: number): Step[] => [
  { x: -60 * direction, y: 1, rapid: true },
  { x: -2 * direction, feed: speed, s: 0, power: 'constant', rapid: false },
  { x: 2 * direction, s: 600 },
  { x: 60 * direction, s: 0 },
];
const strip = frame(-10, 0, 200, 20, 0.1);

describe('a beam that comes late', () => {
  test.each([
    [100, 0.5],
    [80, 2],
    [100, -1],
  ])(
    'opposite rows at %d mm/s with %d ms of delay shift against each other by 2·v·delay (closed form)',
    (speed, delayMs) => {
      const machine = machineWith({
        acceleration_mm_s2: [5000, 5000, 5000],
        laser: { beam_delay_ms: delayMs },
      });
      const right = centroidX(doseOf(mark(1, speed), machine, strip));
      const left = centroidX(doseOf(mark(-1, speed), machine, strip));
      expect(right - left).toBeCloseTo((2 * speed * delayMs) / 1000, 6);
    },
  );

  test('a first-order lag moves the centroid of a mark by v·τ (closed form: the mean of e^(−t/τ)/τ is τ)', () => {
    const machine = machineWith({ acceleration_mm_s2: [5000, 5000, 5000], laser: { rise_time_ms: 4 } });
    expect(centroidX(doseOf(mark(1, 100), machine, strip))).toBeCloseTo(0.4, 3);
  });

  test('a lag and a delay add up', () => {
    const machine = machineWith({
      acceleration_mm_s2: [5000, 5000, 5000],
      laser: { rise_time_ms: 4, beam_delay_ms: 3 },
    });
    expect(centroidX(doseOf(mark(1, 100), machine, strip))).toBeCloseTo(0.7, 3);
  });

  test('power after a step of command is c·(1 − e^(−t/τ)), and what is emitted is its integral', () => {
    const machine = machineWith({ laser: { rise_time_ms: 50 } });
    const motion = planMotion(
      programOf([
        { x: 1, feed: 10, s: 0, power: 'constant', rapid: false },
        { dwellS: 1, s: 1000 },
      ]),
      machine,
    );
    const timeline = timelineOf(motion, machine);
    const start = motion.rests.startS[0]!;
    // The rest is one smooth stretch: read just after it, where its end state is kept.
    expect(timeline.at(start + 1).emittedW).toBeCloseTo(8 * (1 - Math.exp(-20)), 6);
    const dose = doseOf(
      [
        { x: 1, y: 1, feed: 10, s: 0, power: 'constant', rapid: false },
        { dwellS: 0.05, s: 1000 },
      ],
      machine,
      strip,
    );
    expect(dose.energyJ).toBeCloseTo(8 * 0.05, 6); // all of it comes out in the end
  });
});

describe('a lag far shorter than a ramp', () => {
  test('does not make the walk crawl, and is told from none only by its v·τ', () => {
    // One second up, one down, at a lag of a microsecond: in steps of a quarter of it, eight million pieces.
    const machine = machineWith({ acceleration_mm_s2: [20, 20, 20], laser: { rise_time_ms: 0.001 } });
    const steps: Step[] = [
      { x: 0, y: 1, rapid: true },
      { x: 20, feed: 20, s: 500, power: 'proportional', rapid: false },
    ];
    const motion = planMotion(programOf(steps), machine);
    let pieces = 0;
    let energyJ = 0;
    walkLagging(motion, machine, depositStepMm(machine.spot), {
      stroke(stroke) {
        pieces++;
        energyJ += stroke.energyJ;
      },
      rest({ energyJ: pieceJ }) {
        energyJ += pieceJ;
      },
    });
    expect(pieces).toBeLessThan(5000);
    // Line energy is P/feed everywhere: 4 W at 20 mm/s over 20 mm.
    expect(energyJ).toBeCloseTo(4, 4);
    const prompt = machineWith({ acceleration_mm_s2: [20, 20, 20] });
    const lane = frame(-1, 0, 220, 20, 0.1);
    expect(
      furthestApart(doseOf(steps, machine, lane).grid.data, doseOf(steps, prompt, lane).grid.data),
    ).toBeLessThan(0.01);
  });
});

describe('a lag within which the head hardly moves', () => {
  const speed = 100;
  const riseMs = 0.02;
  const tauS = riseMs / 1000;
  const machine = machineWith({ acceleration_mm_s2: [5000, 5000, 5000], laser: { rise_time_ms: riseMs } });
  const motion = planMotion(programOf(mark(1, speed)), machine);
  const watts = 0.6 * machine.laser.optical_power_w;

  test('is laid out in two pieces whose energy and moments are the exponential’s: ∫ tⁿ·e^(−t/τ)/τ = n!·τⁿ', () => {
    const strokes: { readonly fromS: number; readonly toS: number; readonly watts: number }[] = [];
    walkLagging(motion, machine, depositStepMm(machine.spot), {
      stroke: ({ startS, durationS, energyJ }) => {
        strokes.push({ fromS: startS, toS: startS + durationS, watts: energyJ / durationS });
      },
      rest: () => expect.unreachable(),
    });
    // Up, on and down.
    expect(strokes).toHaveLength(5);
    const onS = motion.startS[2]!;
    const offS = motion.startS[3]!;
    const lacks = strokes.slice(0, 2).map((each) => ({ ...each, startS: onS, watts: watts - each.watts }));
    const stays = strokes.slice(3).map((each) => ({ ...each, startS: offS }));
    for (const pieces of [lacks, stays])
      for (const [n, factorial] of [1, 1, 2, 6].entries()) {
        const moment = pieces.reduce(
          (sum, { fromS, toS, startS, watts: w }) =>
            sum + (w * ((toS - startS) ** (n + 1) - (fromS - startS) ** (n + 1))) / (n + 1),
          0,
        );
        expect(moment / (watts * tauS ** (n + 1))).toBeCloseTo(factorial, 5);
      }
  });

  test('gives the dose of the lag followed in small steps', () => {
    const grid = frame(-10, 0, 1000, 100, 0.02);
    const doses = [depositStepMm(machine.spot), 1e-4].map((stepMm) => {
      const deposit = startDeposit(machine.spot, grid);
      walkLagging(motion, machine, stepMm, deposit);
      return deposit.finish().grid.data;
    });
    expect(furthestApart(doses[0]!, doses[1]!)).toBeLessThan(2e-5);
  });
});

describe('a lag on ramps and round corners', () => {
  const steps = (power: 'constant' | 'proportional', feed: number): Step[] => [
    { x: 1, y: 1, rapid: true },
    { x: 5, y: 1, feed, s: 600, power, rapid: false },
    { x: 5, y: 5 },
    { x: 3, y: 5, s: 900 },
    { x: 4, y: 4.5, s: 300 },
    { x: 1, y: 5, s: 0 },
    { x: 1, y: 4, s: 600 },
  ];
  test.each([
    ['constant', 20, 0.05],
    ['constant', 80, 0.4],
    ['constant', 20, 3],
    ['proportional', 80, 0.05],
    ['proportional', 20, 0.4],
    ['proportional', 20, 3],
  ] as const)(
    'gives the dose of steps a twelfth as long: %s power, %d mm/s, τ %d ms',
    (power, feed, riseMs) => {
      const machine = machineWith({
        acceleration_mm_s2: [1000, 1000, 1000],
        laser: { rise_time_ms: riseMs, beam_delay_ms: 0.2 },
      });
      const motion = planMotion(programOf(steps(power, feed)), machine);
      const grid = frame(0, 0, 150, 150, 0.04);
      const [coarse, fine] = [1, 1 / 12].map((part) => {
        const deposit = startDeposit(machine.spot, grid);
        walkLagging(motion, machine, part * depositStepMm(machine.spot), deposit);
        return deposit.finish();
      });
      expect(coarse!.energyJ / fine!.energyJ).toBeCloseTo(1, 9);
      expect(furthestApart(coarse!.grid.data, fine!.grid.data)).toBeLessThan(1e-3);
    },
  );
});

describe('the late walk with nothing late', () => {
  test.each(['constant', 'proportional'] as const)('gives the prompt walk’s dose (%s power)', (power) => {
    const random = seeded(5);
    const steps: Step[] = [{ x: 2, y: 2, rapid: true, power }];
    for (let k = 0; k < 40; k++) {
      steps.push({
        x: 1 + random() * 18,
        y: 1 + random() * 18,
        feed: 5 + random() * 80,
        s: random() * 900,
        rapid: random() < 0.2,
      });
      if (random() < 0.2) steps.push({ dwellS: random() * 0.05 });
    }
    const machine = machineWith({ laser: { threshold_fraction: 0.1, power_levels: 64 } });
    const motion = planMotion(programOf(steps), machine);
    const grid = frame(0, 0, 200, 200, 0.1);
    const walks = [walkBeam, walkLagging].map((walk) => {
      const deposit = startDeposit(machine.spot, grid);
      walk(motion, machine, depositStepMm(machine.spot), deposit);
      return deposit.finish();
    });
    expect(Math.abs(walks[0]!.energyJ / walks[1]!.energyJ - 1)).toBeLessThan(2e-3);
    expect(furthestApart(walks[0]!.grid.data, walks[1]!.grid.data)).toBeLessThan(5e-3);
  });
});

describe('the timeline at a moment', () => {
  const steps: Step[] = [
    { x: 10, y: 5, rapid: true },
    { x: 30, feed: 40, s: 500, power: 'proportional', rapid: false },
    { x: 30, y: 25, power: 'constant', s: 250 },
    { dwellS: 0.3 },
  ];

  test('answers commanded and emitted power on ramps, cruises, rests and rapids', () => {
    const machine = machineWith();
    const motion = planMotion(programOf(steps), machine);
    const timeline = timelineOf(motion, machine);
    expect(timeline.at(motion.startS[1]! / 2)).toMatchObject({ commandedW: 0, emittedW: 0 });
    const ramp = timeline.at(motion.startS[1]! + 0.02);
    expect(ramp.commandedW).toBeCloseTo((4 * ramp.speedMmPerS) / 40, 9);
    expect(timeline.at((motion.startS[2]! + motion.startS[3]!) / 2)).toMatchObject({
      commandedW: 2,
      emittedW: 2,
    });
    expect(timeline.at(motion.durationS - 0.1)).toMatchObject({ commandedW: 2, speedMmPerS: 0 });
  });

  test('emitted power is the commanded power of a delay ago', () => {
    const machine = machineWith({ laser: { beam_delay_ms: 20 } });
    const timeline = timelineOf(planMotion(programOf(steps), machine), machine);
    for (let t = 0.05; t < timeline.durationS; t += 0.013) {
      expect(timeline.at(t).emittedW).toBeCloseTo(timeline.at(t - 0.02).commandedW, 9);
    }
  });
});
