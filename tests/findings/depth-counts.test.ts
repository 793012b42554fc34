import { describe, expect, test } from 'vitest';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import type { Finding, FindingKind } from '../../src/findings/finding.ts';
import { type ForecastOptions, forecast, forecastProgram } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { bench, board, type Pair, poplar, ROUGH } from './pairs.ts';
import { rows, square, text } from './small-jobs.ts';

/** Places that are black like all the rest, and far deeper; and places of jobs that are slow all along. */

const onThree: ForecastOptions = { ...ROUGH, stock: board(3) };
const run = (job: string, machine: Pair['machine'], options: ForecastOptions = onThree) =>
  forecast(job, bench(machine), poplar, options);
const watts = (optical_power_w: number) => ({ laser: { optical_power_w } });
const kinds = (findings: readonly Finding[]) => findings.map(({ kind }) => kind);

function only(findings: readonly Finding[], kind: FindingKind): Finding {
  const found = findings.filter((finding) => finding.kind === kind);
  expect(found.length).toBe(1);
  return found[0]!;
}
const measureOf = (finding: Finding, name: string) => finding.measure[name] as number;

const roundSpot = { spot: { width_mm: [0.16, 0.16] as [number, number] } };

/** Within a twentieth. */
function expectNear(told: number, measured: number): void {
  expect(Math.abs(told / measured - 1), `told ${told}, measured ${measured}`).toBeLessThan(0.05);
}

describe('text that is black all along', () => {
  const letters = (mode: string) => text({ s: 500, feed: 1500, mode });

  test('on a stronger laser its corners and starts are never silent, and deeper', () => {
    for (const kind of ['dark-corner', 'dark-start-stop'] as const) {
      let depth = 0;
      for (const power of [3, 5, 10, 15, 20]) {
        const finding = only(run(letters('M3'), watts(power)).findings, kind);
        expect(measureOf(finding, 'depth_mm')).toBeGreaterThan(depth);
        depth = Math.min(2.99, measureOf(finding, 'depth_mm'));
      }
    }
  });

  test('on 20 W they go right through, no deeper than the board is thick, and it says so', () => {
    const made = run(letters('M3'), watts(20));
    const corner = only(made.findings, 'dark-corner');
    expect(corner.message).toMatch(
      /corners burn deep: .*3 mm deep instead of 1\.8 mm \(1\.4 to 2\.2\), \d+ of them right through the board\)/,
    );
    expect(measureOf(corner, 'through_count')).toBeGreaterThan(0);
    expect(measureOf(corner, 'through_count')).toBeLessThanOrEqual(measureOf(corner, 'count'));
    const [x, y] = corner.atMm!;
    expect(made.burn.through![cellAt(made.burn.frame, x, y)]).toBe(1);
  });

  test('the depths are those of the forecast', () => {
    const made = run(letters('M3'), { ...watts(10), ...roundSpot }, { ...onThree, cellMm: 0.015 });
    const corner = only(made.findings, 'dark-corner');
    const { frame, depthMm } = made.burn;
    const deepest = (x: number, y: number) => depthMm[cellAt(frame, x, y)]!;
    const [x, y] = corner.atMm!;
    expectNear(measureOf(corner, 'depth_mm'), deepest(x, y));
    // Half-way up the first letter's first stroke.
    expectNear(measureOf(corner, 'straight_depth_mm'), deepest(10, 15));
  });

  test('proportional power mends it, and is silent', () => {
    const made = run(letters('M3'), watts(20));
    const changes = made.findings.flatMap(({ advice }) => parseChanges(advice!.change));
    const changed = changeProgram(made.program, changes, bench(watts(20)));
    expect(forecastProgram(changed, bench(watts(20)), poplar, onThree).findings).toEqual([]);
    expect(run(letters('M4'), watts(20)).findings).toEqual([]);
  });

  test('in a cut depth is what is wanted', () => {
    const cut = square({ s: 1000, feed: 300, mode: 'M3', passes: 2 });
    expect(kinds(run(cut, watts(10)).findings)).toEqual([]);
    expect(kinds(run(cut, watts(10), { cellMm: 0.03 }).findings)).toEqual([]);
  });
});

test('rows that are black all along dig deep where they end, right through on a stronger laser', () => {
  const ground = rows(Array(40).fill(900), 3000, 0, 'M3');
  const [weak, strong] = [9, 40].map((power) => only(run(ground, watts(power)).findings, 'dark-row-end'));
  expect(measureOf(weak!, 'depth_mm')).toBeGreaterThan(measureOf(weak!, 'straight_depth_mm') + 0.2);
  expect(measureOf(weak!, 'through_count')).toBe(0);
  expect(measureOf(strong!, 'through_count')).toBe(40);
  expect(strong!.message).toMatch(/40 of them right through the board/);
});

describe('an outline that never comes up to speed', () => {
  test.each([15, 25, 40])(
    'a square of %d mm at 6000 mm/min still names its corners and its start',
    (side) => {
      const made = run(square({ s: 1000, feed: 6000, mode: 'M3', side }), roundSpot, { cellMm: 0.01 });
      const corner = only(made.findings, 'dark-corner');
      expect(corner.measure.count).toBe(3);
      expect(kinds(made.findings)).toContain('dark-start-stop');
      const { grid } = made.dose;
      // The mean of the four cells around a point.
      const around = [-0.005, 0.005].flatMap((dx) => [-0.005, 0.005].map((dy) => [dx, dy] as const));
      const peak = (x: number, y: number) =>
        around.reduce((sum, [dx, dy]) => sum + grid.data[cellAt(grid, x + dx, y + dy)]! / 4, 0);
      const [x, y] = corner.atMm!;
      const middle = peak(10 + side / 2, 10);
      expectNear(measureOf(corner, 'dose_j_mm2'), peak(x, y));
      expectNear(measureOf(corner, 'times_straight'), peak(x, y) / middle);
    },
  );

  test('a circle that is slow all along has no corner', () => {
    const circle = 'G21 G90\nM3 S0\nG0 X5 Y20\nG1 X20 F6000\nG2 X20 Y20 I2 S400 F6000\nG1 X5 S0\nM5\nM2\n';
    expect(kinds(run(circle, roundSpot).findings)).not.toContain('dark-corner');
  });
});
