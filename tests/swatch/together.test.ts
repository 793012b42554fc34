import { describe, expect, test } from 'vitest';
import { jointOf } from '../../src/sure/together.ts';
import { toldTogether } from '../../src/swatch/fit/together.ts';
import { machineWith } from '../support/machines.ts';
import { poplar } from './woods.ts';

/** What a swatch tells hangs together with what it cannot tell: the variances of sums, worked out by hand. */

const machine = machineWith({ name: 'gantry' });
const fitted = {
  ...poplar,
  first_mark_j_mm2: { ...poplar.first_mark_j_mm2, value: 0.2, plus_minus: 0.01 },
  removal_j_mm3: { ...poplar.removal_j_mm3, value: 2, plus_minus: 0.3 },
};
const removal = {
  doseJPerMm2: 20,
  betweenJPerMm2: [19, 21] as const,
  removalJPerMm3: 2,
  sigmaJPerMm3: 0.3,
  leans: { wall_loss: -0.13, moisture_percent: -0.03, first_mark_j_mm2: 0, full_char_j_mm2: -0.01 },
  ownPart: 0.06,
  mixed: false,
};
const learned = toldTogether(fitted, ['first_mark_j_mm2', 'removal_j_mm3'], removal, machine);
const wood = { ...fitted, learned };

/** The variance of a sum of logarithms. */
function variance(sum: Readonly<Record<string, number>>, on = machine): number {
  const { names, covariance } = jointOf(wood, on)!;
  const at = (name: string) => names.indexOf(name);
  return Object.entries(sum).reduce(
    (total, [a, times]) =>
      total + Object.entries(sum).reduce((row, [b, by]) => row + times * by * covariance[at(a)]![at(b)]!, 0),
    0,
  );
}
const logVariance = (relative: number) => Math.log1p(relative ** 2);
const { optical_power_percent: power, spot_width_percent: width } = machine.plus_minus;

describe('on the machine of the swatch', () => {
  test('light over first mark is known as well as the patches tell it', () => {
    const known = variance({ optical_power: 1, first_mark_j_mm2: -1 });
    expect(known).toBeCloseTo(logVariance(0.05), 6);
    expect(variance({ first_mark_j_mm2: 1 })).toBeCloseTo(known + logVariance(power / 100), 6);
  });

  test('light over removal too, and what removal was fitted with makes up for it', () => {
    const known = variance({ optical_power: 1, spot_width: -1, removal_j_mm3: -1 });
    expect(known).toBeCloseTo(0.06 ** 2 + 0.13 ** 2 + 0.03 ** 2 + 0.01 ** 2, 6);
    // Moved by as much as removal leans on it, wall loss takes its part out of it.
    const { value, plus_minus } = poplar.wall_loss;
    const times = 0.13 / Math.sqrt(logVariance(plus_minus! / value));
    const rest = variance({ optical_power: 1, spot_width: -1, removal_j_mm3: -1, wall_loss: -times });
    expect(rest).toBeCloseTo(known - 0.13 ** 2, 6);
  });
});

test('on another machine power and spot of that one are doubts of the wood', () => {
  const other = { ...machine, name: 'another' };
  expect(jointOf(wood, other)!.names).not.toContain('optical_power');
  expect(variance({ first_mark_j_mm2: 1 }, other)).toBeCloseTo(
    logVariance(0.05) + logVariance(power / 100),
    6,
  );
  expect(variance({ removal_j_mm3: 1 }, other)).toBeGreaterThan(
    logVariance(power / 100) + logVariance(width / 100),
  );
});

test('nothing hangs together where nothing was told', () => {
  expect(toldTogether(fitted, ['warmth_scale_k'], null, machine)).toBeNull();
  expect(toldTogether(fitted, [], { atLeastJPerMm3: 1, atMostJPerMm3: null }, machine)).toBeNull();
});
