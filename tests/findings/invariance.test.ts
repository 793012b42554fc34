import { describe, expect, test } from 'vitest';
import type { Finding } from '../../src/findings/finding.ts';
import { forecast } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { machineWith } from '../support/machines.ts';
import { board, poplar, ROUGH, readJob } from './pairs.ts';

/** What must not change when the whole job is moved, turned, told in other units or run on another clock. */

const JOBS = [
  'dark-corner',
  'dark-start-stop',
  'dark-row-end',
  'burned-twice',
  'not-through',
  'too-deep',
  'cut-before-engraved',
  'below-speed',
  'dark-corner-twin',
  'dark-row-end-twin',
];

/** The same limits and spot along x and y, so that turning changes nothing. */
const round = (more: Parameters<typeof machineWith>[0] = {}): Machine =>
  machineWith({
    max_speed_mm_s: [100, 100, 10],
    laser: { optical_power_w: 5, ...more.laser },
    spot: { width_mm: [0.16, 0.16] },
    ...more,
  });

/** Rewrites every X and Y word, both written out in full first. */
function withPlaces(text: string, place: (x: number, y: number) => readonly [number, number]): string {
  let [x, y] = [0, 0];
  return text
    .split('\n')
    .map((line) => {
      const words = line.replace(/;.*/, '');
      if (!/[XY]/.test(words)) return line;
      x = Number(/X(-?[\d.]+)/.exec(words)?.[1] ?? x);
      y = Number(/Y(-?[\d.]+)/.exec(words)?.[1] ?? y);
      const [toX, toY] = place(x, y);
      const rest = words
        .replace(/[XY]-?[\d.]+/g, '')
        .replace(/\s+/g, ' ')
        .trim();
      const motion = /^G[01]/.exec(rest)?.[0] ?? '';
      return `${motion} X${toX.toFixed(4)} Y${toY.toFixed(4)} ${rest.slice(motion.length)}`;
    })
    .join('\n');
}

/** Kind, severity, operation and the counts; and the doses to two digits. */
const essence = (findings: readonly Finding[]) =>
  findings.map(({ kind, severity, operation, measure }) => ({
    kind,
    severity,
    operation,
    count: measure.count,
  }));
const doses = (findings: readonly Finding[]) =>
  findings.flatMap(({ measure }) =>
    [measure.dose_j_mm2, measure.straight_j_mm2].filter((value) => typeof value === 'number'),
  );

const run = (text: string, machine: Machine, cool = false) =>
  forecast(text, machine, poplar, { ...ROUGH, stock: board(3, 110, 110), cool }).findings;

function expectAlike(a: readonly Finding[], b: readonly Finding[], within: number): void {
  expect(essence(b)).toEqual(essence(a));
  const there = doses(b);
  doses(a).forEach((dose, k) => {
    expect(Math.abs(there[k]! / dose - 1)).toBeLessThan(within);
  });
}

describe.each(JOBS)('%s', (name) => {
  const text = readJob(name);
  const as = run(text, round());

  test('moved', () => {
    expectAlike(
      as,
      run(
        withPlaces(text, (x, y) => [x + 40.03, y + 60.05]),
        round(),
      ),
      0.05,
    );
  });

  test('turned by a quarter', () => {
    expectAlike(
      as,
      run(
        withPlaces(text, (x, y) => [100 - y, x]),
        round(),
      ),
      0.05,
    );
  });

  test('in inches', () => {
    const inches = withPlaces(text, (x, y) => [x / 25.4, y / 25.4])
      .replace('G21', 'G20')
      .replace(/X([\d.]+) Y([\d.]+)/g, (_, x, y) => `X${x}00 Y${y}00`)
      .replace(/F(\d+)/g, (_, feed) => `F${Number(feed) / 25.4}`);
    expectAlike(as, run(inches, round()), 0.1);
  });

  test('on a clock that runs five times as fast: speeds ×5, accelerations ×25, power ×5', () => {
    const fast = round({
      max_speed_mm_s: [500, 500, 50],
      acceleration_mm_s2: [12_500, 12_500, 12_500],
      laser: { optical_power_w: 25 },
    });
    // Every dose is the same; only what the wood loses by conduction in the meantime differs, by per cents. Which place is
    // the warmest hangs on the clock, so without the heat that stays.
    const quick = text.replace(/F(\d+)/g, (_, feed) => `F${Number(feed) * 5}`);
    expectAlike(run(text, round(), true), run(quick, fast, true), 0.05);
  });
});
