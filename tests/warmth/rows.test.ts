import { describe, expect, test } from 'vitest';
import { firedNeed } from '../../src/burn/firing.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { speedPower, type Work } from '../../src/burn/speed-power.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { heatOfWood } from '../../src/warmth/heat-of-wood.ts';
import { needTimesOfWork, rowFirings, speedPowerInRows } from '../../src/warmth/rows.ts';
import { machineWith } from '../support/machines.ts';
import { programOf } from '../support/program-of.ts';
import { rowsJob } from './jobs.ts';
import { walkWarmth } from './walk.ts';

const poplar = shippedMaterials['poplar plywood']!;

const workOf = (machine: Machine, rowLengthMm: number, rowSpacingMm: number): Work => ({
  machine,
  material: poplar,
  thicknessMm: null,
  use: { kind: 'rows', rowSpacingMm, rowLengthMm },
  passes: 1,
});

/** The mean over a square of rows of the warmth that the walk finds, K, by where its energy lands. */
function walkedK(machine: Machine, sideMm: number, pitchMm: number, feed: number, s: number): number {
  const overscanMm = feed ** 2 / (2 * machine.acceleration_mm_s2[0]);
  const rows = Math.round(sideMm / pitchMm);
  const steps = rowsJob({ widthMm: sideMm, rows, pitchMm, feed, s, overscanMm });
  let energy = 0;
  let sum = 0;
  walkWarmth(
    planMotion(programOf(steps), machine),
    machine,
    heatOfWood(poplar, machine.laser.wavelength_nm, null),
    ({ first, end, energyJ, warmthK }) => {
      for (let k = first; k < end; k++) {
        energy += energyJ[k]!;
        sum += energyJ[k]! * warmthK[k]!;
      }
    },
  );
  return sum / energy;
}

describe('rows of a stated length', () => {
  test.each([
    ['letters', 2, 0.1, 50, 600],
    ['a small fill', 10, 0.1, 50, 600],
    ['a fill on a fast gantry', 15, 0.08, 150, 4000],
    ['rows of 30 mm', 30, 0.12, 60, 1000],
  ])('%s: as warm as the walk finds a job of them, to within 12 %%', (_, side, pitch, feed, acceleration) => {
    const spot = { width_mm: [0.12, 0.12] as [number, number] };
    const machine = machineWith({ acceleration_mm_s2: [acceleration, acceleration, 100], spot });
    const work = workOf(machine, side, pitch);
    const watts = 0.4 * machine.laser.optical_power_w;
    const wanted = walkedK(machine, side, pitch, feed, 0.4 * machine.laser.s_max);
    expect(wanted).toBeGreaterThan(5);
    // Read back from the need: 1 − X/X₀ + (n − 1)·(c − X/X₀).
    const n = rowFirings(machine.spot, pitch);
    const found =
      ((1 + (n - 1) * poplar.firing_cost.value - needTimesOfWork(work)(feed, watts)) / n) *
      poplar.warmth_scale_k.value;
    expect(Math.abs(found / wanted - 1), `${found} for ${wanted}`).toBeLessThan(0.12);
  });

  test('shorter rows are darker at the same settings', () => {
    const tones = [3, 10, 50].map(
      (length) => speedPowerInRows(workOf(machineWith(), length, 0.1)).outcome(50, 4).tone,
    );
    for (let k = 1; k < tones.length; k++) expect(tones[k]!).toBeLessThan(tones[k - 1]!);
    expect(tones[0]! - tones[2]!).toBeGreaterThan(0.03);
  });

  test('without a length they are as long as on a piece of usual size', () => {
    const said = workOf(machineWith(), 50, 0.1);
    const unsaid: Work = { ...said, use: { kind: 'rows', rowSpacingMm: 0.1 } };
    expect(speedPowerInRows(unsaid).outcome(50, 4)).toEqual(speedPowerInRows(said).outcome(50, 4));
  });

  test('a line is as many cool firings as passes', () => {
    const lines: Work = { ...workOf(machineWith(), 50, 0.1), use: { kind: 'line' }, passes: 3 };
    const { needTimes } = speedPowerInRows(lines).outcome(50, 4);
    expect(needTimes).toBe(firedNeed(3, 0, poplar));
    expect(speedPower(lines).outcome(50, 4).needTimes).toBe(1);
  });

  test('as many firings as (Σh)²/Σh² of their Gaussians', () => {
    const { spot } = machineWith({ spot: { width_mm: [0.2, 0.2] } });
    const sigma = 0.05;
    for (const pitch of [0.05, 0.08, 0.1, 0.2]) {
      let whole = 0;
      let squares = 0;
      for (let y = 0; y < pitch; y += pitch / 200) {
        let sum = 0;
        for (let k = -40; k <= 40; k++) {
          const h = Math.exp(-((y - k * pitch) ** 2) / (2 * sigma * sigma));
          sum += h;
          squares += h * h;
        }
        whole += sum * sum;
      }
      expect(rowFirings(spot, pitch)).toBeCloseTo(whole / squares, 2);
    }
  });
});

test('a single cool line is as without all this', () => {
  const line: Work = { ...workOf(machineWith(), 50, 0.1), thicknessMm: 3, use: { kind: 'line' } };
  const [warm, cool] = [speedPowerInRows(line), speedPower(line)];
  expect(warm.outcome(20, 5)).toEqual({ ...cool.outcome(20, 5), firings: 1 });
  expect(warm.fastest('cut', 5)).toBe(cool.fastest('cut', 5));
  expect(warm.wattsFor('char', 20)).toBe(cool.wattsFor('char', 20));
});

test('settings found are those that do it', () => {
  const answers = speedPowerInRows({ ...workOf(machineWith(), 5, 0.08), thicknessMm: 3 });
  for (const tone of [0.2, 0.5, 0.8]) {
    const speed = answers.speedForTone(tone, 4);
    expect(answers.outcome(speed, 4).tone).toBeCloseTo(tone, 6);
    expect(answers.outcome(40, answers.wattsForTone(tone, 40)).tone).toBeCloseTo(tone, 6);
  }
  const cut = answers.fastest('cut', 5);
  expect(answers.outcome(cut * 0.999, 5).region).toBe('cut');
  expect(answers.outcome(cut * 1.001, 5).region).not.toBe('cut');
});
