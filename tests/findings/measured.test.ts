import { describe, expect, test } from 'vitest';
import { doseForDepth } from '../../src/burn/depth.ts';
import { advisedChanges } from '../../src/change/advised.ts';
import { changeProgram } from '../../src/change/change-program.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { MARK_TONE } from '../../src/findings/evidence/visible-difference.ts';
import type { Finding, FindingKind } from '../../src/findings/finding.ts';
import { type Forecast, type ForecastOptions, forecast, forecastProgram } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import { bench, board, type Pair, poplar, readJob } from './pairs.ts';
import { line, ramp, rows, square } from './small-jobs.ts';

/** What findings tell can be measured on a fine forecast, to five per cent. */

const FINE = { cellMm: 0.02 };

const run = (text: string, machine: Pair['machine'] = {}, options: ForecastOptions = FINE): Forecast =>
  forecast(text, bench(machine), poplar, options);

function only({ findings }: Forecast, kind: FindingKind): Finding {
  const found = findings.filter((finding) => finding.kind === kind);
  expect(found.length).toBe(1);
  return found[0]!;
}

const measureOf = ({ measure }: Finding, name: string): number => {
  expect(measure[name]).toBeTypeOf('number');
  return measure[name] as number;
};

/** Within a twentieth. */
function expectNear(told: number, measured: number): void {
  expect(Math.abs(told / measured - 1), `told ${told}, measured ${measured}`).toBeLessThan(0.05);
}

const doseAt = ({ dose }: Forecast, x: number, y: number): number => dose.grid.data[cellAt(dose.grid, x, y)]!;

/** The greatest dose across a line along x. */
const peakAt = (made: Forecast, x: number, y: number): number =>
  Math.max(...Array.from({ length: 21 }, (_, k) => doseAt(made, x, y + (k - 10) * 0.01)));

describe('no-mark', () => {
  test('the dose it gets, and the tan that its remedies give', () => {
    const made = run(line({ s: 60, feed: 6000 }));
    const finding = only(made, 'no-mark');
    expectNear(measureOf(finding, 'dose_j_mm2'), peakAt(made, 35, 10));
    const power = measureOf(finding, 'needed_power_percent');
    const feed = measureOf(finding, 'needed_feed_mm_min');
    for (const change of [`1: power ${power}%`, `1: speed ${feed}`]) {
      const changed = changeProgram(made.program, parseChanges(change), bench());
      const after = forecastProgram(changed, bench(), poplar, FINE);
      expectNear(measureOf(finding, 'wanted_j_mm2'), peakAt(after, 35, 10));
    }
  });
});

test('tones-lost: the share that is black, by area', () => {
  const made = run(rows(ramp(0, 1000), 1500, 3));
  const finding = only(made, 'tones-lost');
  const { frame, tone } = made.burn;
  let black = 0;
  let all = 0;
  // Rows lie from x = 20 to 40 and from y = 10 to 11.9.
  for (let x = 20; x < 40; x += 0.02) {
    for (let y = 10.3; y < 11.6; y += 0.02) {
      all++;
      if (tone[cellAt(frame, x, y)]! >= 0.9) black++;
    }
  }
  expectNear(measureOf(finding, 'dark_share'), black / all);
});

describe('may-ignite', () => {
  test('a creeping line', () => {
    const made = run(line({ s: 1000, feed: 5 }));
    expectNear(measureOf(only(made, 'may-ignite'), 'dose_j_mm2'), peakAt(made, 35, 10));
  });

  test('half an hour in one plunge, in focus and through it', () => {
    const plunge = 'G21 G90\nM3 S1000\nG0 X5 Y10\nG1 Z-2 F0.0667\nM5\nM2\n';
    for (const rayleigh_mm of [null, 1.25]) {
      const made = run(plunge, { spot: { rayleigh_mm } }, { cellMm: 0.005 });
      const finding = only(made, 'may-ignite');
      expect(measureOf(finding, 'longest_s')).toBeCloseTo(1800, -1);
      expectNear(measureOf(finding, 'dose_j_mm2'), peakAt(made, 5, 10));
      expect(finding.advice).toBeNull();
    }
  });
});

test('more-than-needed: times what is needed, and the time it takes when done as told', () => {
  const strong = { laser: { optical_power_w: 20 } };
  const options = { ...FINE, stock: board(3) };
  const made = run(square({ s: 1000, feed: 200, passes: 3 }), strong, options);
  const finding = only(made, 'more-than-needed');
  // The side along x is burned across the spot's wide axis and gets least.
  const dose = peakAt(made, 25, 10);
  const { spot, laser } = bench(strong);
  const beam = { spot, wavelengthNm: laser.wavelength_nm };
  const dwellS = Math.sqrt(0.12 * 0.2) / (200 / 60);
  expectNear(measureOf(finding, 'times_needed'), dose / doseForDepth(3, dwellS, poplar, beam));
  const changed = changeProgram(made.program, parseChanges(finding.advice!.change), bench(strong));
  const after = forecastProgram(changed, bench(strong), poplar, options);
  expect(after.findings).toEqual([]);
  expectNear(measureOf(finding, 'now_s'), made.operations[0]!.durationS);
  expectNear(measureOf(finding, 'then_s'), after.operations[0]!.durationS);
});

describe('faint-corner', () => {
  const STEP_MM = 0.005;
  /** Length left without a mark on the way from (x0, y0) to (x1, y1): not even in the cells beside it. */
  function bareMm(
    { burn: { frame, tone } }: Forecast,
    x0: number,
    y0: number,
    x1: number,
    y1: number,
  ): number {
    const steps = Math.round(Math.hypot(x1 - x0, y1 - y0) / STEP_MM);
    const beside = (x1 > x0 ? [0, 1] : [1, 0]).map((part) => part * frame.cellMm);
    let bare = 0;
    for (let k = 0; k < steps; k++) {
      const x = x0 + ((x1 - x0) * (k + 0.5)) / steps;
      const y = y0 + ((y1 - y0) * (k + 0.5)) / steps;
      const tones = [-1, 0, 1].map((n) => tone[cellAt(frame, x + n * beside[0]!, y + n * beside[1]!)]!);
      if (Math.max(...tones) < MARK_TONE) bare += STEP_MM;
    }
    return bare;
  }
  const dim = { laser: { threshold_fraction: 0.1, optical_power_w: 10 } };

  test('the length left bare at a corner', () => {
    const made = run(square({ s: 250, feed: 3000 }), dim, { cellMm: 0.01 });
    const finding = only(made, 'faint-corner');
    const bare = bareMm(made, 36, 10, 40, 10) + bareMm(made, 40, 10, 40, 14);
    expectNear(measureOf(finding, 'longest_mm'), bare);
  });

  test('the ends of rows without overscan, and all of them where they are short', () => {
    const long = run(rows(Array(80).fill(340), 6000, 0), dim);
    const finding = only(long, 'faint-corner');
    const left = bareMm(long, 20, 11, 30, 11);
    const right = bareMm(long, 50, 11, 60, 11);
    expectNear(measureOf(finding, 'longest_mm'), Math.max(left, right));
    // Pieces of 0.5 mm let a look-ahead of 16 rise to √(2 · 500 · 15.5 · 0.5) = 88 mm/s, which takes 7.75 mm and 7 % to spare.
    expect(finding.advice?.change).toBe('1: overscan 8.3 mm');
    const over = changeProgram(long.program, parseChanges(finding.advice!.change), bench(dim));
    const then = forecastProgram(over, bench(dim), poplar, FINE).findings.map(({ kind }) => kind);
    expect(then).not.toContain('faint-corner');

    const short = run(rows(Array(10).fill(340), 6000, 0), dim);
    expect(measureOf(only(short, 'faint-corner'), 'share')).toBe(1);
    expect(only(short, 'faint-corner').message).toMatch(/^Nothing of it will burn/);
    expect(short.burn.tone.every((tone) => tone < MARK_TONE)).toBe(true);
  });
});

describe('no advice leaves gaps', () => {
  const dim = { laser: { threshold_fraction: 0.1, optical_power_w: 10 } };
  test.each([
    ['a square', square({ s: 180, feed: 3000, mode: 'M3' })],
    ['a fine zigzag', readJob('below-speed')],
    ['rows', rows(Array(40).fill(300), 6000, 0, 'M3')],
    ['a dwell in a line', square({ s: 250, feed: 3000, mode: 'M3' }).replace('Y40', 'G4 P0.3\nY40')],
  ])('%s under constant power', (_, text) => {
    const made = run(text, dim);
    expect(made.findings.length).toBeGreaterThan(0);
    const changed = changeProgram(made.program, advisedChanges(made.findings), bench(dim));
    const after = forecastProgram(changed, bench(dim), poplar, FINE).findings.map(({ kind }) => kind);
    expect(after).not.toContain('faint-corner');
  });
});
