import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { forecast } from '../../src/forecast.ts';
import { envelopeOf } from '../../viewer/time/envelope.ts';
import { momentsOf } from '../../viewer/time/moments.ts';
import { machineWith } from '../support/machines.ts';

/** What lies under the strip's power is the energy that the dose has, at every zoom. */

const rows = (mode: string) =>
  Array.from(
    { length: 120 },
    (_, k) =>
      `G0 X${k % 2 ? 31 : 9} Y${(5 + k / 10).toFixed(1)} F3000\n${mode} S${300 + 5 * k}\nG1 X${k % 2 ? 10 : 30}\nM5`,
  ).join('\n');
const JOB = `G21 G90\n${rows('M3')}\n${rows('M4')}\nM3 S700\nG4 P0.4\nG0 X40 Y40\nG1 X10 Y35 F900\nG4 P0.2\nM5\n`;

const MACHINES = {
  'a plain beam': {},
  'a beam that fires on rapids': { laser: { fires_on_rapids: true } },
  'a late beam': { laser: { rise_time_ms: 3, beam_delay_ms: 2, fires_on_rapids: true } },
  'a beam that leads': { laser: { beam_delay_ms: -1.5 } },
  'power levels above a threshold': { laser: { threshold_fraction: 0.1, power_levels: 50 } },
  'a link that keeps the head waiting': { link: { lines_per_second: 4 } },
} as const;

describe.each(Object.entries(MACHINES))('%s', (_, overrides) => {
  const machine = machineWith(overrides as Parameters<typeof machineWith>[0]);
  const { motion, dose } = forecast(JOB, machine, shippedMaterials.basswood!, { cellMm: 0.5 });
  const moments = momentsOf(motion, machine);
  /** Energy under the strip between two moments, J. */
  const under = (fromS: number, toS: number, points: number): number =>
    envelopeOf(motion, moments, fromS, toS, points).powerW.reduce((sum, watts) => sum + watts, 0) *
    ((toS - fromS) / points);

  test.each([3, 50, 800, 6000])('the whole job on %d points', (points) => {
    expect(Math.abs(under(0, motion.durationS, points) / dose.energyJ - 1)).toBeLessThan(2e-3);
  });

  test.each([2, 7, 100])('the whole job in %d windows', (windows) => {
    const wide = motion.durationS / windows;
    let sum = 0;
    for (let k = 0; k < windows; k++) sum += under(k * wide, (k + 1) * wide, 60);
    expect(Math.abs(sum / dose.energyJ - 1)).toBeLessThan(2e-3);
  });

  test('a speed that is asked alone is the moment’s own', () => {
    for (let tS = -1; tS < motion.durationS + 1; tS += motion.durationS / 173)
      expect(moments.speedAt(tS)).toBe(moments.at(tS).speedMmPerS);
  });

  test('nothing before the job and nothing after', () => {
    expect(under(-2, 0, 10)).toBe(0);
    expect(under(motion.durationS + 1, motion.durationS + 2, 10)).toBe(0);
  });
});
