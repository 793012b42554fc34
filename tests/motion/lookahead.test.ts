import { describe, expect, test } from 'vitest';
import { moveLimits } from '../../src/motion/limits.ts';
import { checkMotion } from '../../src/motion/motion.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { machineWith } from '../support/machines.ts';
import { programOf, type Step } from '../support/program-of.ts';
import { seeded } from '../support/random.ts';

const collinear = (moves: number, lengthMm: number) =>
  programOf(
    Array.from({ length: moves }, (_, k): Step => ({ x: (k + 1) * lengthMm, feed: 1000, rapid: false })),
  );

describe('limited look-ahead on equal collinear moves', () => {
  // N moves known (the one under way included), length, acceleration; junction and peak speed √(2a(N−1)L), √(2a(N−½)L).
  // Closed form from v² = 2·a·s; the table was worked by a separate block-by-block loop.
  test.each([
    [16, 0.1, 500, 38.7298, 39.37],
    [15, 0.1, 500, 37.4166, 38.0789],
    [16, 0.02, 500, 17.3205, 17.6068],
    [16, 0.5, 500, 86.6025, 88.0341],
    [32, 0.1, 500, 55.6776, 56.1249],
    [2, 1, 1000, 44.7214, 54.7723],
    [1, 1, 1000, 0, 31.6228],
  ])('N = %d, L = %d mm, a = %d mm/s²: %d and %d mm/s', (known, length, accel, junction, peak) => {
    const machine = machineWith({ lookahead_moves: known, acceleration_mm_s2: [accel, accel, accel] });
    const motion = planMotion(collinear(400, length), machine);
    expect(motion.entryMmPerS[200]).toBeCloseTo(junction, 3);
    expect(motion.peakMmPerS[200]).toBeCloseTo(peak, 3);
  });

  test('knowing every move removes the limit', () => {
    const motion = planMotion(collinear(4000, 0.5), machineWith({ lookahead_moves: null }));
    expect(motion.peakMmPerS[2000]).toBeCloseTo(1000, 6);
  });
});

/** A random job: short and long moves, corners of every kind, stops, rapids. */
function randomSteps(random: () => number, moves: number): Step[] {
  const steps: Step[] = [];
  let x = 0;
  let y = 0;
  for (let k = 0; k < moves; k++) {
    const reach = 10 ** (random() * 3 - 2);
    x += (random() - 0.5) * reach;
    y += random() < 0.3 ? 0 : (random() - 0.5) * reach;
    steps.push({ x, y, feed: 1 + random() * 200, s: 500, power: 'constant', rapid: random() < 0.15 });
    if (random() < 0.05) steps.push({ dwellS: random() < 0.5 ? 0 : random() });
  }
  return steps;
}

/** The look-ahead rule written out naively from its words: every exit tried against the whole window. */
function slowExits(steps: Step[], machine: ReturnType<typeof machineWith>): number[] {
  const program = programOf(steps);
  const { lengthMm, accelMmPerS2, cornerSquared } = moveLimits(program.moves, machine);
  const corner = Array.from(cornerSquared);
  for (let k = 0; k < program.stops.count; k++) corner[program.stops.beforeMove[k]!] = 0;
  const count = program.moves.count;
  let entry = 0;
  const exits: number[] = [];
  for (let i = 0; i < count; i++) {
    const last = Math.min(count, i + (machine.lookahead_moves ?? count)) - 1;
    let allowed = 0; // at rest at the end of the last known move
    for (let k = last; k > i; k--)
      allowed = Math.min(corner[k]!, allowed + 2 * accelMmPerS2[k]! * lengthMm[k]!);
    entry = Math.sqrt(Math.min(allowed, entry ** 2 + 2 * accelMmPerS2[i]! * lengthMm[i]!));
    exits.push(entry);
  }
  return exits;
}

describe.each([1, 2, 5, 16, 300, null])('look-ahead of %s moves on random jobs', (known) => {
  test.each([11, 12, 13, 14])('seed %d: sound, and equal to the rule written out naively', (seed) => {
    const steps = randomSteps(seeded(seed), 250);
    const machine = machineWith({
      lookahead_moves: known,
      acceleration_mm_s2: [600, 350, 50],
      cornering:
        seed % 2 ? { rule: 'junction-deviation', deviation_mm: 0.02 } : { rule: 'speed-step', step_mm_s: 6 },
    });
    const motion = planMotion(programOf(steps), machine);
    expect(checkMotion(motion)).toEqual([]);
    const slow = slowExits(steps, machine);
    for (const [i, exit] of slow.entries()) expect(motion.entryMmPerS[i + 1]).toBeCloseTo(exit, 6);
  });
});
