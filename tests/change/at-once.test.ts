import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { burnAtOnce } from '../../src/change/at-once.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { startWhatIf } from '../../src/change/what-if.ts';
import { forecast } from '../../src/forecast.ts';
import { arrivalOver, coarserFrame } from '../../viewer/worker/arrival.ts';
import { furthestApart } from '../support/dose-of.ts';
import { machineWith } from '../support/machines.ts';

/** Rows in shades, and beside them a cut: operations 1 and 2. */
const JOB = `G21 G90
M4 S0
G0 X2 Y3
${Array.from({ length: 60 }, (_, k) => `G1 X24 S${300 + 5 * k} F3000\nY${(3.1 + k * 0.1).toFixed(1)} S0\nX2 S${400 + 5 * k}`).join('\n')}
G0 X4 Y12
M3
G1 X24 S900 F600
Y18
X4
Y12
M5
`;

const base = forecast(
  JOB,
  machineWith({ laser: { optical_power_w: 8 } }),
  shippedMaterials['poplar plywood']!,
  {
    stock: { widthMm: 30, heightMm: 22, thicknessMm: 4, xMm: 0, yMm: 0 },
    cellMm: 0.1,
  },
);
const whatIf = startWhatIf(base, { cellMm: 0.1 });
const last = arrivalOver(coarserFrame(base.dose.grid, 1e6), base.motion, base.machine);

/** How far off tone is on the mean of what is burned, and how far the change itself takes it. */
function offOf(words: string): { readonly off: number; readonly moved: number } {
  const changes = parseChanges(words);
  const glimpse = burnAtOnce(base, changes, last)!;
  const { burn } = whatIf.forecast(changes);
  let [off, moved, count] = [0, 0, 0];
  for (let k = 0; k < burn.tone.length; k++) {
    if (burn.tone[k]! < 0.02 && base.burn.tone[k]! < 0.02) continue;
    count++;
    off += Math.abs(glimpse.burn.tone[k]! - burn.tone[k]!);
    moved += Math.abs(base.burn.tone[k]! - burn.tone[k]!);
  }
  expect(count).toBeGreaterThan(5000);
  return { off: off / count, moved: moved / count };
}

describe('the wood at once', () => {
  test.each([
    '1: power 60 %',
    '1: speed 4500',
    '1: speed 2000, power 40 %',
    '2: speed 900, power 40 %',
    '2: power 60 %; 1: speed 3300',
  ])('comes near its forecast: %s', (words) => {
    const { off, moved } = offOf(words);
    expect(off).toBeLessThan(0.02);
    expect(off).toBeLessThan(0.2 * moved);
  });

  test('of a job as it is, is that of its forecast', () => {
    expect(burnAtOnce(base, [], last)!.burn).toBe(base.burn);
  });

  test('is exact where all that reaches a place changes alike', () => {
    const changes = parseChanges('1: power 30 %');
    const { dose } = burnAtOnce(base, changes, last)!;
    const exact = whatIf.forecast(changes).dose;
    // Beyond four σ of every line no move counts as having come by.
    expect(furthestApart(dose.grid.data, exact.grid.data)).toBeLessThan(1e-3);
  });

  test.each(['2: passes 2', 'all: shift 1x0', '1: overscan 3', '2: last', '2: proportional'])(
    'is not told of more than speeds and powers: %s',
    (words) => {
      expect(burnAtOnce(base, parseChanges(words), last)).toBeNull();
    },
  );

  test('refuses what a forecast refuses', () => {
    expect(() => burnAtOnce(base, [{ operation: 9, powerFraction: 0.5 }], last)).toThrow(
      'found a change of operation 9',
    );
  });
});
