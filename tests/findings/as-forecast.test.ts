import { describe, expect, test } from 'vitest';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { type Forecast, type ForecastOptions, forecast } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { machineWith } from '../support/machines.ts';
import { told } from './pairs.ts';
import { END, HEAD } from './small-jobs.ts';

/** What is said of a job goes by what the forecast makes of it, and by what the machine can do. */

const basswood = shippedMaterials.basswood!;

/** A 10 W gantry with a small spot. */
const tenWatts = (limits: Parameters<typeof machineWith>[0] = {}): Machine =>
  machineWith({
    laser: { optical_power_w: 10, s_max: 1000 },
    spot: { width_mm: [0.08, 0.12] },
    ...limits,
  });

const forecastOn = (job: string, machine = tenWatts(), options: ForecastOptions = {}): Forecast =>
  forecast(job, machine, basswood, options);

const findingOf = ({ findings }: Forecast, kind: string) => findings.find((each) => each.kind === kind);

/** Thirty rows to and fro without overscan, a tenth of a millimetre apart, from (10, 10). */
function bareRows(lengthMm: number, words: string, apartMm = 0.1): string {
  const rows = Array.from({ length: 30 }, (_, k) => {
    const y = (10 + k * apartMm).toFixed(3);
    const [from, to] = k % 2 === 0 ? [10, 10 + lengthMm] : [10 + lengthMm, 10];
    return `G0 X${from} Y${y} S0\nG1 X${to} Y${y} ${words}\n`;
  });
  return `${HEAD}M3 S0\n${rows.join('')}${END}`;
}

/** The mean tone of the cells whose middles lie in a box. */
function meanTone({ burn, dose: { grid } }: Forecast, [x0, y0, x1, y1]: readonly number[]): number {
  let sum = 0;
  let count = 0;
  for (let k = 0; k < grid.data.length; k++) {
    const x = grid.x0Mm + ((k % grid.nx) + 0.5) * grid.cellMm;
    const y = grid.y0Mm + (Math.floor(k / grid.nx) + 0.5) * grid.cellMm;
    if (x < x0! || x > x1! || y < y0! || y > y1!) continue;
    sum += burn.tone[k]!;
    count++;
  }
  return sum / count;
}

describe('rows that never come up to their feed', () => {
  const machine = tenWatts({ acceleration_mm_s2: [1000, 1000, 50] });
  const made = forecastOn(bareRows(3, 'S250 F3000'), machine);

  test('are told as darker where the fill is, though the rows themselves are black either way', () => {
    const finding = findingOf(made, 'below-speed')!;
    // From rest to rest v²/2a at either end gets twice the dose on the mean: (2 · 2 · 1.25 + 0.5) / 3 = 1.83.
    expect(finding.measure.times_straight).toBeGreaterThan(1.5);
    expect(finding.measure.times_straight).toBeLessThan(1.84);
    expect(finding, told(finding)).toMatchObject({
      severity: 'warning',
      advice: { change: '1: proportional' },
    });
    expect(finding.message).toContain('times the dose of its feed');
  });

  test('come out as dark as their place is in the forecast', () => {
    const box = [10, 10, 13, 12.9];
    expect(meanTone(made, box)).toBeCloseTo(0.76, 1);
    expect(Math.abs(made.engravings[0]!.tone - meanTone(made, box))).toBeLessThan(0.1);
  });
});

describe('a beam that stays on one spot', () => {
  const WAY = 'M3 S1000\nG0 X10 Y10\nG1 X20 F600\n';
  const severityOf = (between: string, s = 1000, before = WAY): string | undefined => {
    const job = `${HEAD}${before.replace('S1000', `S${s}`)}${between}\nX30 F600\n${END}`;
    return findingOf(forecastOn(job), 'beam-on-at-rest')?.severity;
  };

  // 0.75 mm at 3 mm/s, at 500 mm/s²: 0.25 s and 6 ms.
  test.each([
    ['in the midst of a line', 1000, WAY, 'stop'],
    ['faint', 0.1, WAY, undefined],
    ['where a stroke begins', 300, 'M3 S1000\nG0 X10 Y10\nG1 F600\n', 'warning'],
  ])('%s is judged alike, whether the head rests or goes up', (_where, s, before, severity) => {
    expect(severityOf('G4 P0.25\nG1', s, before)).toBe(severity);
    expect(severityOf('G1 Z0.75 F180\nG1', s, before)).toBe(severity);
  });

  test('is told in its own words where the head goes up or down, and once where it rests besides', () => {
    const finding = (between: string) =>
      findingOf(forecastOn(`${HEAD}${WAY}${between}\nX30 F600\n${END}`), 'beam-on-at-rest')!;
    const up = finding('G1 Z0.75 F180');
    expect(up).toMatchObject({ line: 5, atMm: [20, 10], advice: null });
    expect(up.message).toMatch(
      /^The head goes up or down over one spot with the beam on once, for up to 0\.3 s/,
    );
    expect(up.remedy).toMatch(/^Switch the beam off \(S0 or M5\) while the head goes up or down on line 5,/);
    const both = finding('G1 Z0.75 F180\nX25 F600\nG4 P0.25');
    expect(both.message).toMatch(/^The head stands still, or goes up or down over one spot, .* at 2 places,/);
    expect(both.measure.count).toBe(2);
  });
});
