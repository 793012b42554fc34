import { describe, expect, test } from 'vitest';
import type { FindingKind } from '../../src/findings/finding.ts';
import { type ForecastOptions, forecast } from '../../src/forecast.ts';
import { bench, board, type Pair, poplar, ROUGH, told } from './pairs.ts';
import { line, ramp, rows, square } from './small-jobs.ts';

/** Each limit from both sides: a job just within it, and one just beyond. */
interface Limit {
  readonly kind: FindingKind;
  /** The limit in words, and where it lies. */
  readonly words: string;
  readonly within: string;
  readonly beyond: string;
  readonly machine?: Pair['machine'];
  readonly options?: ForecastOptions;
}

/** A dwell with the beam on where a cut begins. */
const pierce = (seconds: number) =>
  square({ s: 1000, feed: 240, mode: 'M3', passes: 2 }).replace(
    'G1 X40',
    `G1 S1000 F240\nG4 P${seconds}\nG1 X40`,
  );
/** Where black begins is worked out for wood that is fired once, cool. */
const oneCoolFiring = { cool: true };
const onThree = { stock: board(3) };

/** S at which a line of the bench at 3000 mm/min begins to mark: √(8/π)·P/(v·w) is 0.1899 J/mm² at 3.24 ms. */
const MARKS_AT_S = (0.19 * 50 * 0.2 * 1000) / (5 * Math.sqrt(8 / Math.PI));

const limits: readonly Limit[] = [
  {
    kind: 'no-mark',
    words: 'the tone of tan, 0.05',
    within: line({ s: MARKS_AT_S * 1.03, feed: 3000 }),
    beyond: line({ s: MARKS_AT_S * 0.97, feed: 3000 }),
  },
  {
    kind: 'no-mark',
    words: 'a twentieth of the light',
    // Per row 18 or 23 mm at S60 and half a millimetre at a level that marks, 5.7 or 4.5 % of the light.
    within: rows([...Array(36).fill(60), ...Array(4).fill(0), ...[130, 0, 0, 0]], 1500, 3, 'M4'),
    beyond: rows([...Array(46).fill(60), ...Array(4).fill(0), ...[130, 0, 0, 0]], 1500, 3, 'M4'),
  },
  {
    kind: 'tones-lost',
    words: 'a quarter of the range and of the length, dark',
    // Black from S572 on: 0.24 and 0.26 of the range.
    within: rows(ramp(0, 572 / 0.77), 1500, 3),
    beyond: rows(ramp(0, 572 / 0.73), 1500, 3),
    options: oneCoolFiring,
  },
  {
    kind: 'tones-lost',
    words: 'a quarter of the length, dark, though they are two fifths of the range',
    within: rows([...ramp(0, 560, 76), ...ramp(580, 1000, 24)], 1500, 3),
    beyond: rows([...ramp(0, 560, 74), ...ramp(580, 1000, 26)], 1500, 3),
    options: oneCoolFiring,
  },
  {
    kind: 'tones-lost',
    words: 'a third of the range, light',
    // A mark from S97 on.
    within: rows(ramp(0, 97 / 0.31), 1500, 3),
    beyond: rows(ramp(0, 97 / 0.37), 1500, 3),
    options: oneCoolFiring,
  },
  {
    kind: 'tones-lost',
    words: 'eight levels',
    within: rows(
      ramp(100, 1000, 7).flatMap((s) => Array(6).fill(s)),
      1500,
      3,
    ),
    beyond: rows(
      ramp(100, 1000, 8).flatMap((s) => Array(6).fill(s)),
      1500,
      3,
    ),
  },
  {
    kind: 'may-ignite',
    words: 'half a second on a spot',
    // A spot wide enough to stay that long where wood is still cut, 30 mm/min and more.
    within: line({ s: 1000, feed: 0.3 * 60 * 2.05 }),
    beyond: line({ s: 1000, feed: 0.3 * 60 * 1.95 }),
    machine: { spot: { width_mm: [0.3, 0.3] } },
  },
  {
    kind: 'may-ignite',
    words: 'slower than wood is cut at all, half a millimetre a second',
    within: line({ s: 1000, feed: 30.5 }),
    beyond: line({ s: 1000, feed: 29.5 }),
  },
  {
    kind: 'may-ignite',
    words: 'ten times what burns black',
    // √(8/π)·P/(v·w) for 1 s on each spot; black takes about 1.6 J/mm² then.
    within: line({ s: 40, feed: 0.12 * 60 }),
    beyond: line({ s: 50, feed: 0.12 * 60 }),
  },
  {
    kind: 'faint-corner',
    words: 'the width of the spot',
    // About 0.115 and 0.13 mm of bare line at a stroke's beginning, v²/2a; along x the spot is 0.12 mm.
    within: line({ s: 690, feed: 3000 }).replace('G1 X20', 'G1 X20 S0 F3000\nG4 P0\nG1 X20.001 S0'),
    beyond: line({ s: 650, feed: 3000 }).replace('G1 X20', 'G1 X20 S0 F3000\nG4 P0\nG1 X20.001 S0'),
    machine: { laser: { threshold_fraction: 0.1 } },
  },
  {
    kind: 'beam-on-at-rest',
    words: 'half a second to pierce a cut',
    within: pierce(0.49),
    beyond: pierce(0.51),
    machine: { laser: { optical_power_w: 8 } },
    options: onThree,
  },
  {
    kind: 'more-than-needed',
    words: 'five times the dose needed',
    within: square({ s: 1000, feed: 154 }),
    beyond: square({ s: 1000, feed: 144 }),
    machine: { laser: { optical_power_w: 20 } },
    options: onThree,
  },
];

describe.each(limits)('$kind: $words', ({ kind, within, beyond, machine, options = {} }) => {
  const run = (text: string) => forecast(text, bench(machine), poplar, { ...options, ...ROUGH }).findings;

  test('just within', () => {
    expect(run(within).map(told)).toEqual([]);
  });

  test('just beyond', () => {
    expect(
      run(beyond).map((finding) => finding.kind),
      run(beyond).map(told).join('\n'),
    ).toEqual([kind]);
  });
});
