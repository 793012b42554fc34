import { describe, expect, test } from 'vitest';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import { lineEnergies } from '../../src/findings/evidence/line-energy.ts';
import { surveyOperations } from '../../src/findings/evidence/survey.ts';
import { powerLaw } from '../../src/laser/power.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';
import { below, seeded } from '../support/random.ts';

const setUp = (steps: readonly Step[], machine: Machine) => {
  const motion = planMotion(programOf(steps), machine);
  const law = powerLaw(machine.laser);
  return { motion, law, energies: lineEnergies(motion, machine, law) };
};

/** A zigzag of random lengths, speeds and powers. */
function randomSteps(seed: number): Step[] {
  const random = seeded(seed);
  return Array.from({ length: 60 }, () => ({
    x: 20 + 15 * random(),
    y: 20 + 15 * random(),
    feed: 5 + 60 * random(),
    s: below(random, 5) === 0 ? 0 : 200 + 800 * random(),
    power: below(random, 2) ? ('constant' as const) : ('proportional' as const),
    rapid: below(random, 6) === 0,
  }));
}

describe('energy of each move', () => {
  // Against the walk that deposits the dose: another path to the same integral of power over time.
  test.each([
    ['a linear diode', {}],
    ['a diode with a threshold and few levels', { threshold_fraction: 0.08, power_levels: 255 }],
  ])('%s', (_, laser) => {
    const machine = machineWith({ laser });
    for (let seed = 1; seed <= 8; seed++) {
      const { motion, energies } = setUp(randomSteps(seed), machine);
      const count = motion.program.moves.count;
      const walked = new Float64Array(count);
      walkBeam(motion, machine, 0.01, {
        stroke({ energyJ, move }) {
          walked[move]! += energyJ;
        },
        rest() {},
      });
      for (let i = 0; i < count; i++) {
        if (energies.nominalMmPerS[i] === 0) {
          expect(walked[i]).toBe(0);
          continue;
        }
        // Simpson's rule over a ramp; a threshold bends power where the head is slow.
        const off = Math.abs(energies.wholeJ(i) - walked[i]!);
        expect(off).toBeLessThan(('power_levels' in laser ? 0.05 : 1e-6) * (walked[i]! + 1e-3));
      }
    }
  });
});

describe('energy near a junction over what full speed gives', () => {
  const machine = machineWith();
  const from = (steps: Step[]) => setUp([{ x: 5, y: 5, rapid: true }, ...steps], machine).energies;

  test('constant power from rest: 2·v/√(2·a·x)', () => {
    const { energies } = setUp([{ x: 40, feed: 20, s: 500, power: 'constant', rapid: false }], machine);
    for (const x of [0.02, 0.1, 0.3]) {
      expect(energies.timesNominal(0, x, true)).toBeCloseTo((2 * 20) / Math.sqrt(2 * 500 * x), 6);
      expect(energies.timesNominal(1, x, false)).toBeCloseTo((2 * 20) / Math.sqrt(2 * 500 * x), 6);
    }
    // Over a whole ramp of v²/2a twice the nominal, whatever the speed (2P/F: P·(F/a) over F²/2a).
    expect(energies.timesNominal(0, 20 ** 2 / 1000, true)).toBeCloseTo(2, 9);
  });

  test('proportional power is even everywhere', () => {
    const energies = from([
      { x: 45, y: 5, feed: 20, s: 500, power: 'proportional', rapid: false },
      { x: 5, y: 6 },
      { x: 45, y: 7 },
    ]);
    for (const junction of [1, 2, 3, 4]) {
      for (const x of [0.02, 0.1, 3]) {
        for (const onward of [true, false]) {
          const times = energies.timesNominal(junction, x, onward);
          expect(times === 0 || Math.abs(times - 1) < 1e-9).toBe(true);
        }
      }
    }
    expect(energies.timesNominal(2, 0.1, true)).toBeCloseTo(1, 9);
  });

  test('does not care how a line is cut into moves', () => {
    const whole = from([{ x: 25, y: 5, feed: 20, s: 500, power: 'constant', rapid: false }]);
    const cut = from(
      Array.from({ length: 200 }, (_, k) => ({
        x: 5 + (k + 1) / 10,
        y: 5,
        feed: 20,
        s: 500,
        power: 'constant' as const,
        rapid: false,
      })),
    );
    for (const x of [0.03, 0.25, 2.2]) {
      expect(cut.timesNominal(1, x, true)).toBeCloseTo(whole.timesNominal(1, x, true), 6);
      expect(cut.timesNominal(201, x, false)).toBeCloseTo(whole.timesNominal(2, x, false), 6);
    }
  });

  test('stops where the beam goes off', () => {
    const energies = from([
      { x: 25, y: 5, feed: 20, s: 500, power: 'constant', rapid: false },
      { x: 30, y: 5, s: 0 },
    ]);
    expect(energies.timesNominal(2, 1, true)).toBe(0);
    expect(energies.timesNominal(2, 1, false)).toBeCloseTo(1, 9);
  });
});

test('the survey adds up what the moves give', () => {
  const machine = machineWith();
  const { motion, law, energies } = setUp(randomSteps(3), machine);
  const survey = surveyOperations(motion, 0, energies, law, 1000);
  let burnedMm = 0;
  let energyJ = 0;
  for (let i = 0; i < motion.program.moves.count; i++) {
    if (energies.nominalMmPerS[i] === 0) continue;
    burnedMm += motion.lengthMm[i]!;
    energyJ += energies.wholeJ(i);
  }
  expect(survey.burnedMm[0]).toBeCloseTo(burnedMm, 9);
  expect(survey.energyJ[0]).toBeCloseTo(energyJ, 9);
  expect(survey.energyJ[0]!).toBeGreaterThanOrEqual(survey.nominalJ[0]! * (1 - 1e-9));
});

test('where S follows speed and the head never comes up to it, what was meant is what falls where it is fastest', () => {
  // From rest to rest over 2 mm at 500 mm/s²: 31.6 of 100 mm/s in the middle, and 15.8 where the last quarter of a
  // millimetre begins, on all of which S is the same.
  const machine = machineWith();
  const move = { feed: 100, power: 'constant' as const, rapid: false };
  const motion = planMotion(
    {
      ...programOf([
        { y: 60, rapid: true },
        { ...move, y: 59, s: 100 },
        { ...move, y: 58.25, s: 100 },
        { ...move, y: 58, s: 100 },
      ]),
      followsSpeed: true,
    },
    machine,
  );
  const energies = lineEnergies(motion, machine, powerLaw(machine.laser));
  const got = (i: number) => energies.wholeJ(i) / energies.flatMm(i);
  expect(motion.peakMmPerS[1]).toBeCloseTo(Math.sqrt(500 * 2), 6);
  const [faster, slower] = [2, 3];
  expect(got(slower)).toBeGreaterThan(2 * got(faster));
  // 0.8 W on 0.75 mm, which take from 31.6 down to √(2·500·0.25) mm/s.
  const meant = (0.8 * (Math.sqrt(1000) - Math.sqrt(250))) / 500 / 0.75;
  expect(energies.nominalJPerMm(faster)).toBeCloseTo(meant, 6);
  expect(energies.nominalJPerMm(slower)).toBeCloseTo(meant, 6);
});

test('where S follows speed, a move is at full speed from 97 % of it on', () => {
  // From rest a way L takes as long as L + v²/2a at full speed: 0.4 mm more at 20 mm/s.
  const meant = (mm: number) => {
    const move = { feed: 20, power: 'constant' as const, rapid: false };
    const motion = planMotion(
      {
        ...programOf([
          { y: 60, rapid: true },
          { ...move, y: 60 - mm, s: 500 },
          { ...move, y: 0, s: 1000 },
        ]),
        followsSpeed: true,
      },
      machineWith(),
    );
    const machine = machineWith();
    const energies = lineEnergies(motion, machine, powerLaw(machine.laser));
    return energies.nominalJPerMm(1) / energies.nominalJPerMm(2);
  };
  // Half of S1000; or what it got.
  expect(meant(0.4 / (1 / 0.975 - 1))).toBeCloseTo(0.5, 9);
  expect(meant(0.4 / (1 / 0.965 - 1))).toBeCloseTo(0.5 / 0.965, 6);
});
