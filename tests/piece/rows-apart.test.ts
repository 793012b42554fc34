import { beforeAll, describe, expect, test } from 'vitest';
import type { Stock } from '../../src/board.ts';
import { stockBounds } from '../../src/board.ts';
import type { Material } from '../../src/burn/material.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { type LearnOptions, learn } from '../../src/outcome/learn.ts';
import { readSaid } from '../../src/outcome/say.ts';
import { type PieceReading, readPiece } from '../../src/piece/read-piece.ts';
import { type Registered, registerPiece } from '../../src/piece/register.ts';
import type { ToneSeen } from '../../src/piece/tones.ts';
import { seeded } from '../support/random.ts';
import { type Camera, photographBoard } from '../swatch/photograph.ts';
import { randomCamera } from '../swatch/scene.ts';
import { farthestOff, machine, wood } from './pieces.ts';

/**
 * Rows from close to far apart, all on one board, burned into wood that is easier or harder to char than its profile says:
 * what a photo shows of them is told as the forecast tells it, and teaches the way it was seen. A photo of each wood.
 */

const SPOT_MM = 0.16;
const CELL_MM = 0.08;
const stock: Stock = { widthMm: 60, heightMm: 42, thicknessMm: 3, xMm: 0, yMm: 0 };

/** Spots from row to row, and power; each has a feed of its own, by which it is an operation. */
const fields = [
  { spots: 0.5, s: 250 },
  { spots: 1.5, s: 450 },
  { spots: 2, s: 600 },
  { spots: 3, s: 600 },
  { spots: 5, s: 600 },
  { spots: 0.5, s: 900 },
] as const;
const named = fields.map(({ spots, s }, k) => [`${spots} spots apart with S${s}`, k + 1] as const);
/** The last is black through and through. */
const BLACK = fields.length;
const shades = named.slice(0, -1);

const text = [
  'G21 G90',
  ...fields.flatMap(({ spots, s }, n) => {
    const [x, y] = [4 + 18 * (n % 3), 5 + 18 * Math.floor(n / 3)];
    const lines = ['M4 S0', `G0 X${x} Y${y}`];
    for (let row = 0; row * spots * SPOT_MM <= 13; row++) {
      const [from, to] = row % 2 === 0 ? [x, x + 15] : [x + 15, x];
      lines.push(`G1 X${from} Y${(y + row * spots * SPOT_MM).toFixed(3)} S0 F${3000 + n}`, `X${to} S${s}`);
    }
    return [...lines, 'M5'];
  }),
  'M2',
].join('\n');

const marks = ['first_mark_j_mm2', 'full_char_j_mm2'] as const;

/** Wood that needs so many times the dose. */
const needing = (times: number): Material => ({
  ...wood,
  ...Object.fromEntries(marks.map((name) => [name, { ...wood[name], value: times * wood[name].value }])),
});

const forecastFor = (material: Material): Forecast =>
  forecast(text, machine, material, { stock, cellMm: CELL_MM });
const toneOf = ({ engravings }: Forecast, n: number): number => engravings[n - 1]!.tone;
const expected = forecastFor(wood);

/** What is burned into wood that needs so many times the dose. */
const truths = new Map([[1, expected]]);

function truthOf(times: number): Forecast {
  const truth = truths.get(times) ?? forecastFor(needing(times));
  truths.set(times, truth);
  return truth;
}

const burn = { date: '2026-05-01', job: 'job.nc', jobHash: '0' };
const learned = (options: LearnOptions, said = ''): Material =>
  learn(expected, said ? readSaid(said) : [], burn, options).material;
/** By what learning multiplied first mark and full char. */
const timesLearned = (options: LearnOptions, said = ''): number[] => {
  const now = learned(options, said);
  return marks.map((name) => now[name].value / wood[name].value);
};

const cameraOf = (material: Material, random: () => number, change: Partial<Camera> = {}): Camera => ({
  ...randomCamera({ stock }, material, random, { widthPx: 1000, heightPx: 720 }),
  ...change,
});

const readings = new Map<number, PieceReading>();

function readingOf(times: number): PieceReading {
  const known = readings.get(times);
  if (known) return known;
  const { burn, material } = truthOf(times);
  const random = seeded(26);
  const camera = cameraOf(material, random);
  const photo = photographBoard(burn, material, stockBounds(stock), camera, random);
  const reading = readPiece(photo, expected, { points: camera.corners });
  readings.set(times, reading);
  return reading;
}

/** A photo of the wood that was forecast lies nowhere farther off; 0.1 mm was the most of twenty. */
const PLACES_OFF_MM = 0.12;

/** What the fields' own grain and this camera's contrast leave open: of the tone at most 0.047 was seen. */
const TONE_OFF = 0.06;

describe.each([
  ['easier to char', 0.72],
  ['as its profile says', 1],
  ['harder to char', 1.4],
])('a photo of wood that is %s', (_, times) => {
  let truth: Forecast;
  const seenOf = (n: number): ToneSeen => {
    const seen = readingOf(times).tones.find(({ operation }) => operation === n);
    expect(seen).toBeDefined();
    return seen!;
  };
  beforeAll(() => {
    truth = truthOf(times);
    readingOf(times);
  }, 300_000);

  test.each(shades)('tells rows %s as their forecast does', (_, n) => {
    const { forecastTone, seenTone, lnTimes, plusMinus, isAtLeast } = seenOf(n);
    expect(forecastTone).toBeCloseTo(toneOf(expected, n), 6);
    expect(Math.abs(seenTone - toneOf(truth, n))).toBeLessThan(TONE_OFF);
    expect(isAtLeast).toBe(false);
    expect(Math.abs(lnTimes + Math.log(times))).toBeLessThan(2 * plusMinus);
    expect(Math.sign(seenTone - forecastTone)).toBe(Math.sign(lnTimes));
  });

  test.each(shades)('teaches by rows %s the way they were seen', (_, n) => {
    const seen = seenOf(n);
    if (times !== 1) expect(Math.sign(seen.lnTimes)).toBe(-Math.sign(Math.log(times)));
    // What was seen lighter needs more, and what was seen darker less.
    for (const learnedTimes of timesLearned({ photo: [seen] }))
      expect(Math.sign(Math.log(learnedTimes))).toBe(-Math.sign(seen.lnTimes));
  });

  test('teaches by all of them together what brings the forecasts nearer', () => {
    const now = forecastFor(learned({ photo: readingOf(times).tones }));
    for (const [, n] of shades) {
      const [before, after] = [expected, now].map((made) => Math.abs(toneOf(made, n) - toneOf(truth, n)));
      expect(after).toBeLessThan(Math.max(0.03, 0.8 * before!));
    }
  });

  test('tells nothing of a field that is black through and through', () => {
    const { tones, notes } = readingOf(times);
    expect(tones.map(({ operation }) => operation)).not.toContain(BLACK);
    expect(notes.join(' ')).toMatch(
      new RegExp(`does not tell the tone of operation ${BLACK}:.*as dark as char`),
    );
  });
});

/** Of twenty cameras that bend nothing none was told to bend here; of sixty before other pieces, one. */
describe('before other cameras, of whatever contrast', () => {
  const taken = (number: number, lens?: readonly [number, number]) => {
    const random = seeded(number);
    const camera = cameraOf(wood, random, lens ? { lens } : {});
    return { camera, photo: photographBoard(expected.burn, wood, stockBounds(stock), camera, random) };
  };
  const offMm = (camera: Camera, { view }: Registered) =>
    farthestOff({ name: '', text, stock }, expected, camera, view);

  test.each([12, 13, 17])('%d bends nothing: none is told, and tones lie within their doubt', (number) => {
    const { camera, photo } = taken(number);
    const { registered, tones, notes } = readPiece(photo, expected, { points: camera.corners });
    expect(registered.isLensFitted).toBe(false);
    expect(notes.join(' ')).not.toMatch(/bends straight lines/);
    expect(offMm(camera, registered)).toBeLessThan(PLACES_OFF_MM);
    const told = tones.filter(({ isAtLeast }) => !isAtLeast);
    expect(told.length).toBeGreaterThanOrEqual(4);
    for (const { operation, lnTimes, plusMinus } of told)
      expect(Math.abs(lnTimes), `operation ${operation}`).toBeLessThan(2 * plusMinus);
  });

  test.each([
    [12, [-0.03, 0]],
    [15, [0.05, 0]],
  ] as const)('%d bends straight lines by %o, which is told', (number, lens) => {
    const { camera, photo } = taken(number, lens);
    const registered = registerPiece(photo, expected, camera.corners);
    expect(registered.isLensFitted).toBe(true);
    expect(offMm(camera, registered)).toBeLessThan(PLACES_OFF_MM);
  });
});

describe('never is anything learned against what was seen', () => {
  const pale = { localTone: 0.02, seenTone: 0.02 };
  const dark = { localTone: 0.88, seenTone: 0.88 };
  test.each([
    ['a fill', 1, {}],
    ['rows apart', 3, {}],
    ['rows apart with black middles', 3, dark],
    ['hardly a mark', 4, pale],
  ] as const)('%s', (_, n, as) => {
    const seen = readingOf(1).tones.find(({ operation }) => operation === n)!;
    for (const lnTimes of [-0.6, -0.05, 0.05, 0.6])
      for (const times of timesLearned({ photo: [{ ...seen, ...as, lnTimes }] }))
        expect(Math.sign(Math.log(times))).toBe(-Math.sign(lnTimes));
  });

  test('a photo that tells no more than that it is darker', () => {
    const seen = { ...readingOf(1).tones[0]!, ...dark, lnTimes: 0.5, isAtLeast: true };
    for (const times of timesLearned({ photo: [seen] })) expect(times).toBeLessThan(1);
    expect(learn(expected, [], burn, { photo: [seen] }).seen[0]).toMatch(
      /darker than forecast: tone at least 88 %/,
    );
  });

  test.each([`${BLACK}: lighter`, `${BLACK}: tone 96 %`, '3: lighter'])('in words: %s', (said) => {
    expect(toneOf(expected, BLACK)).toBeGreaterThan(0.97);
    for (const times of timesLearned({}, said)) expect(times).toBeGreaterThanOrEqual(1);
  });
});
