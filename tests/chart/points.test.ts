import { describe, expect, test } from 'vitest';
import { chartOf } from '../../src/chart/chart.ts';
import { chartNotes, panelSentence, pointSentence } from '../../src/chart/notes.ts';
import { pointsOf } from '../../src/chart/points.ts';
import { forecast, readOptions } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { readProgram } from '../../src/program/read.ts';
import { wood } from '../burn/anything.ts';
import { benchGantry } from '../support/demo-machines.ts';
import { machineWith } from '../support/machines.ts';
import { lineJob, rowsJob } from '../support/setting-jobs.ts';

const setup = { machine: benchGantry, material: wood('poplar plywood'), thicknessMm: 4 };
const pointsFrom = (text: string) => pointsOf(readProgram(text, readOptions(benchGantry)), setup);

/** A square of rows to and fro, 0.08 mm apart, with so much dark way beyond their ends. */
function squareJob(sideMm: number, overscanMm: number): string {
  const lines = ['G21 G90', 'M4 S0', 'G0 X10 Y10 F2000'];
  for (let k = 0; k < Math.round(sideMm / 0.08); k++) {
    const y = (10 + k * 0.08).toFixed(3);
    const way = k % 2 === 0 ? 1 : -1;
    const [from, to] = way > 0 ? [10, 10 + sideMm] : [10 + sideMm, 10];
    lines.push(`G1 X${from - way * overscanMm} Y${y} S0`, `G1 X${from}`, `G1 X${to} S120`);
    if (overscanMm > 0) lines.push(`G1 X${to + way * overscanMm} S0`);
  }
  return `${lines.join('\n')}\nM5\n`;
}

describe('the operations of a job as points', () => {
  test('stand at their feed and greatest S, with their own rows and passes', () => {
    const text =
      rowsJob({ feedMmPerMin: 3000, s: 600, rowSpacingMm: 0.1 }) +
      lineJob({ feedMmPerMin: 240, s: 1000, passes: 5 });
    const [engraved, cut] = pointsFrom(text);
    expect(engraved).toMatchObject({
      operation: { n: 1, kind: 'rows', passes: 1 },
      work: { use: { kind: 'rows', rowSpacingMm: 0.1 } },
      speedMmPerS: 50,
      power: 0.6,
      outcome: { region: 'brown' },
    });
    expect(cut).toMatchObject({
      operation: { n: 2, kind: 'outline', passes: 5 },
      work: { use: { kind: 'line' }, passes: 5 },
      speedMmPerS: 4,
      power: 1,
      outcome: { region: 'cut' },
      comesThrough: { chanceThrough: 1, passesForSure: 3 },
    });
    expect(pointSentence(cut!)).toBe(
      '2. Outline, burned 5 times at 240 mm/min with 100 % power, proportional: cut through, 55 J/mm²; 3 passes would do.',
    );
    expect(pointSentence(engraved!)).toMatch(
      /^1\. Rows, burned at 3000 mm\/min .*: brown, between tan and char, 0\.59 J\/mm²\.$/,
    );
  });

  test('say that the head hardly ever comes up to the feed, under constant power', () => {
    // From rest to rest over L the mean speed is √(a·L)/2 at most; 20 mm take the head past 50 mm/s.
    const told = (text: string, machine = benchGantry) => {
      const program = readProgram(text, readOptions(machine));
      const motion = planMotion(program, { ...machine, link: null });
      return pointsOf(program, { ...setup, machine, motion }).map(pointSentence)[0];
    };
    const constant = (sideMm: number) => squareJob(sideMm, 0).replace('M4', 'M3').replace('F2000', 'F5500');
    const words =
      / But its head hardly ever comes up to that feed, so that it gets (\S+) times that dose and comes out darker\.$/;
    const [, times] = words.exec(told(constant(1.5))!)!;
    const accel = benchGantry.acceleration_mm_s2[0];
    expect(Number(times)).toBeGreaterThan(1.5);
    expect(Number(times)).toBeLessThanOrEqual(5500 / 60 / (Math.sqrt(accel * 1.5) / 2) + 0.1);
    expect(told(constant(60))).not.toMatch(/head/);
    expect(told(squareJob(1.5, 0).replace('F2000', 'F5500'))).not.toMatch(/head/);
    expect(pointsFrom(constant(1.5))[0]!.slowTimes).toBe(null);
  });

  test('say how many passes a cut lacks, and hold a feed beyond the machine’s top speed', () => {
    const [cut] = pointsFrom(lineJob({ feedMmPerMin: 900, s: 1000, passes: 2 }));
    expect(cut!.outcome.region).toBe('char');
    expect(pointSentence(cut!)).toMatch(
      /char on nearly every such board, 5\.9 J\/mm²; 10 passes cut through on 19 of 20 such boards\.$/,
    );
    const [near] = pointsFrom(lineJob({ feedMmPerMin: 900, s: 1000, passes: 7 }));
    expect(pointSentence(near!)).toMatch(
      /: perhaps cut through, on about \d of 10 such boards, 21 J\/mm²; 10 passes cut through on 19 of 20 such boards\.$/,
    );
    const [fast] = pointsFrom(lineJob({ feedMmPerMin: 60_000, s: 1000, passes: 1 }));
    expect(fast!.speedMmPerS).toBe(100);
  });

  test('come out as the forecast of the same job does, in the middle of rows and on a line', () => {
    const stock = { widthMm: 60, heightMm: 30, thicknessMm: 4, xMm: 0, yMm: 0 };
    for (const text of [
      rowsJob({ feedMmPerMin: 2400, s: 500, rowSpacingMm: 0.08 }),
      lineJob({ feedMmPerMin: 2400, s: 700, passes: 1 }),
    ]) {
      const [point] = pointsFrom(text);
      const { burn, dose } = forecast(text, benchGantry, setup.material, { stock, cellMm: 0.02 });
      const middle = cellAt(burn.frame, 30.01, point!.work.use.kind === 'rows' ? 12.01 : 10.01);
      expect(dose.grid.data[middle]! / point!.outcome.doseJPerMm2).toBeCloseTo(1, 1);
      expect(Math.abs(burn.tone[middle]! - point!.outcome.tone)).toBeLessThan(0.03);
    }
  });

  test.each([2, 6, 30])('say the tone the forecast has, in a square of rows of %d mm', (sideMm) => {
    const machine = machineWith({
      max_speed_mm_s: [100, 100, 10],
      acceleration_mm_s2: [600, 600, 50],
      spot: { width_mm: [0.08, 0.12] },
    });
    const { material } = setup;
    const tones = [0, 1.2].map((overscanMm) => {
      const text = squareJob(sideMm, overscanMm);
      const [point] = pointsOf(readProgram(text, readOptions(machine)), {
        machine,
        material,
        thicknessMm: null,
      });
      const [engraving] = forecast(text, machine, material).engravings;
      expect(Math.abs(point!.engraved.tone - engraving!.tone)).toBeLessThan(0.03);
      return point!.engraved.tone;
    });
    // A head that has no room to turn beyond short rows is back the sooner.
    if (sideMm < 10) expect(tones[0]! - tones[1]!).toBeGreaterThan(0.02);
  });

  describe('of rows that cross', () => {
    /** Squares to and fro along x and along y, in one operation or, by their feeds, in two. */
    const crossed = (spacingMm: number, feeds: readonly [number, number], s: number): string => {
      const rows = (feed: number, isUpright: boolean): string[] =>
        Array.from({ length: Math.round(12 / spacingMm) }, (_, row) => {
          const across = (5 + row * spacingMm).toFixed(3);
          const at = (along: number) => (isUpright ? `X${across} Y${along}` : `X${along} Y${across}`);
          const [from, to] = row % 2 === 0 ? [5, 17] : [17, 5];
          return `G1 ${at(2 * from - 11)} S0 F${feed}\nG1 ${at(from)}\nG1 ${at(to)} S${s}\nG1 ${at(2 * to - 11)} S0`;
        });
      return ['G21 G90', 'M4 S0', 'G0 X5 Y5', ...rows(feeds[0], false), ...rows(feeds[1], true), 'M5'].join(
        '\n',
      );
    };
    const machine = machineWith({ spot: { width_mm: [0.1, 0.1] }, acceleration_mm_s2: [3000, 3000, 50] });
    const { material, thicknessMm } = setup;

    test.each<readonly [number, readonly [number, number], number]>([
      [0.09, [3000, 3000], 250],
      [0.09, [3000, 1500], 150],
      [0.25, [3000, 3000], 600],
      [0.25, [3000, 1500], 400],
    ])('%d mm apart, at %j mm/min: say the dose and tone of all', (spacingMm, feeds, s) => {
      const text = crossed(spacingMm, feeds, s);
      const points = pointsOf(readProgram(text, readOptions(machine)), { machine, material, thicknessMm });
      const { engravings } = forecast(text, machine, material, { cellMm: 0.03 });
      expect(points).toHaveLength(feeds[0] === feeds[1] ? 1 : 2);
      const watts = (machine.laser.optical_power_w * s) / 1000;
      const meanJPerMm2 = feeds.reduce((sum, feed) => sum + watts / (feed / 60) / spacingMm, 0);
      for (const { operation, outcome, engraved } of points) {
        expect(outcome.doseJPerMm2 / meanJPerMm2).toBeCloseTo(1, 2);
        const told = engravings.find((each) => each.operation === operation.n)!;
        expect(Math.abs(engraved.tone - told.tone)).toBeLessThan(0.03);
      }
    });

    test('are told as that, and get a panel of their own', () => {
      const points = [
        ...pointsOf(readProgram(crossed(0.2, [3000, 3000], 300), readOptions(machine)), {
          ...setup,
          machine,
        }),
        ...pointsOf(
          readProgram(rowsJob({ feedMmPerMin: 3000, s: 300, rowSpacingMm: 0.2 }), readOptions(machine)),
          { ...setup, machine },
        ),
      ];
      const chart = chartOf({ ...setup, machine, passes: 1 }, [], points);
      expect(chart.panels).toHaveLength(2);
      const [net, plain] = chart.panels.map(panelSentence).toSorted((a, b) => b.length - a.length);
      expect(net).toMatch(/^Rows 0\.2 mm apart and 12 mm long, crossed by others 0\.2 mm apart/);
      expect(plain).not.toMatch(/crossed/);
      expect(chartNotes(chart).join(' ')).toMatch(
        /Rows that cross are taken to change speed and power together\./,
      );
    });
  });

  test('share a panel for lines, and get one for each spacing of rows', () => {
    const text =
      rowsJob({ feedMmPerMin: 3000, s: 600, rowSpacingMm: 0.1 }) +
      lineJob({ feedMmPerMin: 1200, s: 400, passes: 1 }) +
      rowsJob({ feedMmPerMin: 2000, s: 600, rowSpacingMm: 0.25 }) +
      lineJob({ feedMmPerMin: 240, s: 1000, passes: 5 });
    const points = pointsFrom(text);
    const chart = chartOf({ ...setup, passes: 1 }, [], points);
    expect(chart.panels.map(({ points: on }) => on.map(({ operation }) => operation.n))).toEqual([
      [1],
      [3],
      [2, 4],
    ]);
    expect(chart.leftOut).toBe(0);
    const [from] = chart.panels[0]!.speedsMmPerS;
    expect(from).toBeLessThan(4);
    expect(chartNotes(chart).join(' ')).not.toMatch(/no chart here/);
  });
});
