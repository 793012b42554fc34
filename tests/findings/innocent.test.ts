import { expect, test } from 'vitest';
import { type ForecastOptions, forecast } from '../../src/forecast.ts';
import { bench, board, type Pair, poplar, told } from './pairs.ts';
import { line, ramp, rows, square, text } from './small-jobs.ts';

/** Jobs as people who know their machine write them: not even a note. */
interface Innocent {
  readonly words: string;
  readonly job: string;
  readonly machine?: Pair['machine'];
  readonly options?: ForecastOptions;
}

const watts = (optical_power_w: number): Pair['machine'] => ({ laser: { optical_power_w } });
const onThree: ForecastOptions = { stock: board(3) };
/** A diode as they are: it lights from 3 % on, in 255 levels. */
const real: Pair['machine'] = { laser: { threshold_fraction: 0.03, power_levels: 255 } };
const flat = (s: number, count = 40): number[] => Array(count).fill(s);
const pierced = (seconds: number) =>
  square({ s: 1000, feed: 300, mode: 'M3', passes: 2 }).replace(
    'G1 X40',
    `G1 S1000 F300\nG4 P${seconds}\nG1 X40`,
  );

const innocents: readonly Innocent[] = [
  // Lines.
  { words: 'a tan line', job: line({ s: 300, feed: 2400 }) },
  { words: 'a brown line', job: line({ s: 400, feed: 1500 }) },
  { words: 'a black line', job: line({ s: 600, feed: 900 }) },
  {
    words: 'a line under constant power, with run-up and run-out',
    job: line({ s: 400, feed: 1500, mode: 'M3' }),
  },
  { words: 'a line on a real diode', job: line({ s: 400, feed: 1500 }), machine: real },
  { words: 'a line slow enough to be deep', job: line({ s: 1000, feed: 600 }), options: onThree },
  {
    words: 'the slowest cut there is',
    job: line({ s: 1000, feed: 40 }),
    options: { stock: board(8) },
    machine: watts(10),
  },
  // Outlines.
  { words: 'a scored square', job: square({ s: 400, feed: 1200 }) },
  { words: 'a scored square on a real diode', job: square({ s: 500, feed: 1200 }), machine: real },
  {
    words: 'a scored square on 20 W',
    job: square({ s: 150, feed: 1500 }),
    machine: watts(20),
    options: onThree,
  },
  { words: 'a small square', job: square({ s: 300, feed: 900, side: 3 }) },
  {
    words: 'a square scored so slowly that its corners are no slower',
    job: square({ s: 100, feed: 300, mode: 'M3' }),
  },
  { words: 'text', job: text({ s: 400, feed: 1500 }) },
  { words: 'text on 20 W', job: text({ s: 300, feed: 1500 }), machine: watts(20), options: onThree },
  { words: 'text on a real diode', job: text({ s: 500, feed: 1200 }), machine: real },
  // Cuts.
  {
    words: 'a cut with a little to spare',
    job: square({ s: 1000, feed: 300, passes: 2 }),
    machine: watts(10),
    options: onThree,
  },
  {
    words: 'a cut with three times the dose',
    job: square({ s: 1000, feed: 250 }),
    machine: watts(20),
    options: onThree,
  },
  {
    words: 'a cut under constant power',
    job: square({ s: 1000, feed: 300, mode: 'M3', passes: 2 }),
    machine: watts(10),
    options: onThree,
  },
  {
    words: 'a cut in many passes',
    job: square({ s: 1000, feed: 600, passes: 6 }),
    machine: watts(10),
    options: onThree,
  },
  { words: 'a cut of nobody knows what', job: square({ s: 1000, feed: 240, mode: 'M3', passes: 4 }) },
  { words: 'a cut that pierces first', job: pierced(0.2), machine: watts(10), options: onThree },
  {
    words: 'a cut that pierces for nearly half a second',
    job: pierced(0.45),
    machine: watts(10),
    options: onThree,
  },
  // Rows.
  { words: 'a tan field', job: rows(flat(150), 1800, 3) },
  { words: 'a black field', job: rows(flat(700), 1800, 3) },
  { words: 'a field under constant power', job: rows(flat(400), 1800, 3, 'M3') },
  { words: 'a field on a real diode', job: rows(flat(300), 3000, 3), machine: real },
  { words: 'a fast field', job: rows(flat(900, 80), 5400, 9), machine: { lookahead_moves: 64 } },
  { words: 'a photo from bare to black', job: rows(ramp(0, 560), 1500, 3) },
  { words: 'a photo from tan to black', job: rows(ramp(100, 560), 1500, 3) },
  { words: 'a photo on 20 W', job: rows(ramp(10, 280), 3000, 3), machine: watts(20) },
  { words: 'a pale photo', job: rows(ramp(60, 300), 1500, 3) },
  { words: 'a photo on a real diode', job: rows(ramp(40, 560), 1500, 3), machine: real },
  {
    words: 'five flat tones, two of them black',
    job: rows(
      [150, 300, 450, 700, 900].flatMap((s) => flat(s, 8)),
      1500,
      3,
    ),
  },
  { words: 'a picture that is mostly bare', job: rows([...flat(0, 30), ...flat(400, 10)], 1500, 3) },
];

test.each(innocents.map((innocent) => [innocent.words, innocent] as const))(
  '%s',
  (_, { job, machine, options }) => {
    expect(forecast(job, bench(machine), poplar, options ?? {}).findings.map(told)).toEqual([]);
  },
);

test('there are thirty of them, and none is like another', () => {
  expect(
    new Set(innocents.map(({ job, machine }) => job + JSON.stringify(machine ?? {}))).size,
  ).toBeGreaterThanOrEqual(30);
});
