import { describe, expect, test } from 'vitest';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { headAt } from '../../src/motion/timeline.ts';
import { programOf, type Step } from '../support/program-of.ts';
import { directSums, landed } from './direct.ts';
import { rowsJob, WARM_JOBS, WIDE_JOB } from './jobs.ts';
import { measure, poplarHeat } from './measure.ts';
import { walkWarmth } from './walk.ts';

/** Every part of a job, in order. */
function partsOf(steps: readonly Step[], machine: Machine, heat = poplarHeat) {
  const motion = planMotion(programOf(steps), machine);
  const parts: { x: number; y: number; tS: number; energyJ: number; warmthK: number }[] = [];
  walkWarmth(motion, machine, heat, ({ first, end, xMm, yMm, tS, energyJ, warmthK }) => {
    for (let k = first; k < end; k++) {
      parts.push({ x: xMm[k]!, y: yMm[k]!, tS: tS[k]!, energyJ: energyJ[k]!, warmthK: warmthK[k]! });
    }
  });
  return { motion, parts };
}

describe('against direct sums', () => {
  test.each(WARM_JOBS.map((job) => [job.name, job] as const))(
    '%s: within 5 % of the largest warmth in the median, 10 % at 95 %',
    (name, job) => {
      const { median, most95, asked, most } = measure(job, 40);
      if (process.env.SHOW_TABLE) console.log(name, most.toFixed(0), median.toFixed(4), most95.toFixed(4));
      expect(asked).toBeGreaterThanOrEqual(30);
      expect(most).toBeGreaterThan(5);
      expect(median).toBeLessThan(0.05);
      expect(most95).toBeLessThan(0.1);
    },
  );

  test('a wide spot: within 7 % in the median, 12 % at 95 %', () => {
    const { median, most95, most } = measure(WIDE_JOB, 40);
    expect(most).toBeGreaterThan(50);
    expect(median).toBeLessThan(0.07);
    expect(most95).toBeLessThan(0.12);
  });

  test('the sums themselves have come to rest: steps half as long change them by less than 1 %', () => {
    const { steps, machine } = WARM_JOBS[0]!;
    const motion = planMotion(programOf(steps), machine);
    const [coarse, fine] = [0.04, 0.02].map((stepMm) => landed(motion, machine, poplarHeat, stepMm));
    for (const tS of [3, 9, 15]) {
      const { xMm: x, yMm: y } = headAt(motion, tS);
      const at = { x, y, tS, untilS: tS - 0.01 };
      const [a, b] = [coarse!, fine!].map((points) => directSums(points, 0.0375, poplarHeat)(at));
      expect(Math.abs(a! / b! - 1)).toBeLessThan(0.01);
    }
  });
});

describe('the walk', () => {
  const { steps, machine } = WARM_JOBS[0]!;

  test('hands out all energy, each part where the head then is', () => {
    const { motion, parts } = partsOf(steps, machine);
    const total = landed(motion, machine, poplarHeat, 0.1).reduce((sum, { energyJ }) => sum + energyJ, 0);
    expect(parts.reduce((sum, { energyJ }) => sum + energyJ, 0)).toBeCloseTo(total, 9);
    for (const { x, y, tS } of parts) {
      const head = headAt(motion, tS);
      expect(Math.hypot(head.xMm - x, head.yMm - y)).toBeLessThan(1e-6);
    }
    for (let k = 1; k < parts.length; k++) expect(parts[k]!.tS).toBeGreaterThanOrEqual(parts[k - 1]!.tS);
  });

  test('a beam that lags hardly at all is followed in as many parts as one that does not', () => {
    const late = { ...machine, laser: { ...machine.laser, beam_delay_ms: 1e-6 } };
    const [prompt, lagging] = [machine, late].map((of) => partsOf(steps, of).parts);
    expect(Math.abs(lagging!.length / prompt!.length - 1)).toBeLessThan(0.02);
    const last = (parts: { warmthK: number }[]) => parts.at(-1)!.warmthK;
    expect(last(lagging!)).toBeCloseTo(last(prompt!), 1);
  });

  test('rests come when the planner says, dark ones before them left out', () => {
    const { motion, parts } = partsOf(
      [
        { x: 10, feed: 50, s: 0, power: 'constant' },
        { dwellS: 3, s: 0, power: 'constant' },
        { dwellS: 0.8, s: 500, power: 'constant' },
      ],
      machine,
    );
    expect(parts).toHaveLength(8);
    expect(parts[0]!.tS).toBeCloseTo(motion.rests.startS[1]! + 0.05, 9);
    expect(parts.at(-1)!.tS).toBeCloseTo(motion.durationS - 0.05, 9);
  });

  test('a plunge, walked in many strokes, is one rest: it does not find itself warm', () => {
    const line: Step = { x: 10, feed: 50, s: 800, power: 'constant' };
    const standing = (last: Step) => partsOf([line, last], machine).parts.filter(({ x }) => x === 10);
    const plunge = standing({ z: -3, feed: 5, s: 800, power: 'constant' });
    const dwell = standing({ dwellS: 0.6, s: 800, power: 'constant' });
    expect(plunge).toHaveLength(8);
    expect(new Set(plunge.map(({ warmthK }) => warmthK)).size).toBe(1);
    // The head need not stop before it goes down, so what came before is a little warmer there.
    expect(Math.abs(plunge[0]!.warmthK / dwell[0]!.warmthK - 1)).toBeLessThan(0.2);
  });

  test('the first stroke finds cold wood, and a line at an engraving speed does not warm itself', () => {
    const { parts } = partsOf(
      [
        { x: 5, y: 5, rapid: true },
        { x: 200, feed: 60, s: 800, power: 'constant' },
      ],
      machine,
    );
    const atSpeed = parts.filter(({ x }) => x > 12 && x < 193);
    expect(atSpeed.length).toBeGreaterThan(300);
    for (const { warmthK } of [parts[0]!, ...atSpeed]) expect(warmthK).toBeLessThan(0.5);
  });

  test('a mirrored job is as warm, place by place', () => {
    const mirrored = steps.map((step) =>
      'dwellS' in step || step.x === undefined ? step : { ...step, x: 61.37 - step.x },
    );
    const [a, b] = [partsOf(steps, machine).parts, partsOf(mirrored, machine).parts];
    expect(b).toHaveLength(a.length);
    const most = Math.max(...a.map(({ warmthK }) => warmthK));
    for (let k = 0; k < a.length; k++)
      expect(Math.abs(a[k]!.warmthK - b[k]!.warmthK)).toBeLessThan(0.05 * most);
  });

  test('a job that begins later is as warm', () => {
    const later = [{ dwellS: 7.3331, s: 0, power: 'off' as const }, ...steps];
    const [a, b] = [partsOf(steps, machine).parts, partsOf(later, machine).parts];
    expect(b).toHaveLength(a.length);
    expect(b[0]!.tS - a[0]!.tS).toBeCloseTo(7.3331, 9);
    const most = Math.max(...a.map(({ warmthK }) => warmthK));
    for (let k = 0; k < a.length; k++)
      expect(Math.abs(a[k]!.warmthK - b[k]!.warmthK)).toBeLessThan(0.08 * most);
  });

  test('below the cap warmth is in proportion to power', () => {
    const light = (s: number) =>
      partsOf(rowsJob({ widthMm: 4, rows: 20, pitchMm: 0.1, feed: 60, s, overscanMm: 3 }), machine).parts;
    const [once, twice] = [light(60), light(120)];
    expect(once.length).toBeGreaterThan(200);
    for (let k = 0; k < once.length; k++) expect(twice[k]!.warmthK).toBeCloseTo(2 * once[k]!.warmthK, 3);
  });

  test('of a pause in the middle, hardly any warmth is left', () => {
    const rows = (y: number) =>
      rowsJob({ widthMm: 3, rows: 15, pitchMm: 0.1, feed: 60, s: 400, overscanMm: 3 }).map((step) =>
        'dwellS' in step || step.y === undefined ? step : { ...step, y: step.y + y },
      );
    const run = (pauseS: number) =>
      partsOf([...rows(0), { dwellS: pauseS, s: 0, power: 'off' }, ...rows(1.5)], machine).parts;
    const half = (parts: { warmthK: number }[]) => parts[parts.length >> 1]!.warmthK;
    const [short, long] = [half(run(0.01)), half(run(60))];
    expect(short).toBeGreaterThan(20);
    expect(long).toBeLessThan(0.05 * short);
  });
});
