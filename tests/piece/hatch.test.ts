import { expect, test } from 'vitest';
import { type Stock, stockBounds } from '../../src/board.ts';
import type { Material } from '../../src/burn/material.ts';
import { gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { type Forecast, forecast, toldOf } from '../../src/forecast.ts';
import { readPiece } from '../../src/piece/read-piece.ts';
import { startToldTone } from '../../src/piece/told-tone.ts';
import { seeded } from '../support/random.ts';
import { photographBoard } from '../swatch/photograph.ts';
import { randomCamera } from '../swatch/scene.ts';
import { machine, wood } from './pieces.ts';

/** Cross-hatched fields on a photo: told as the forecast tells them, by both directions of their rows. */

const SPOT_MM = 0.16;
const SIZE_MM = 14;
const stock: Stock = { widthMm: 60, heightMm: 24, thicknessMm: 3, xMm: 0, yMm: 0 };

const fields = [
  { spots: 1.2, s: [260, 260] },
  { spots: 3, s: [400, 400] },
  // From pale to dark.
  { spots: 2, s: [100, 600] },
] as const;

/** Rows to and fro over a field, along x and then along y. */
function hatch({ spots, s: [least, most] }: (typeof fields)[number], k: number): string[] {
  const count = Math.floor(SIZE_MM / (spots * SPOT_MM));
  const at = (along: number, across: number, isUpright: boolean): string => {
    const [x, y] = isUpright ? [across, along] : [along, across];
    return `X${(4 + 18 * k + x).toFixed(3)} Y${(5 + y).toFixed(3)}`;
  };
  const rows = (isUpright: boolean): string[] =>
    Array.from({ length: count }, (_, row) => {
      const [from, to] = row % 2 === 0 ? [0, SIZE_MM] : [SIZE_MM, 0];
      const across = row * spots * SPOT_MM;
      const s = Math.round(least + ((most - least) * row) / count);
      return `G0 ${at(from, across, isUpright)} S0\nG1 ${at(to, across, isUpright)} S${s} F${3000 + k}`;
    });
  return ['M4 S0', ...rows(false), ...rows(true), 'M5'];
}

const text = ['G21 G90', ...fields.flatMap(hatch), 'M2'].join('\n');

/** Wood that needs so many times the dose. */
const needing = (times: number): Material => ({
  ...wood,
  first_mark_j_mm2: { ...wood.first_mark_j_mm2, value: times * wood.first_mark_j_mm2.value },
  full_char_j_mm2: { ...wood.full_char_j_mm2, value: times * wood.full_char_j_mm2.value },
});

const forecastFor = (material: Material): Forecast =>
  forecast(text, machine, material, { stock, cellMm: 0.08 });
const expected = forecastFor(wood);
const truths = new Map([0.7, 1, 1.4].map((times) => [times, forecastFor(needing(times))]));
const toneOf = ({ engravings }: Forecast, n: number): number => engravings[n - 1]!.tone;

test.each([0.7, 1.4])(
  'the tone of doses that count for more or less, on wood that needs %s as much',
  (times) => {
    for (const { operation, rows, straightJPerMm2 } of gatherEvidence(toldOf(expected)).operations.slice(
      0,
      2,
    )) {
      const told = startToldTone(expected, operation, rows, straightJPerMm2);
      expect(Math.abs(told(-Math.log(times)) - toneOf(truths.get(times)!, operation.n))).toBeLessThan(0.01);
    }
  },
);

test('a photo of wood that is easier to char tells them as their forecast does', () => {
  const truth = truths.get(0.7)!;
  const random = seeded(11);
  const camera = randomCamera({ stock }, truth.material, random, { widthPx: 1000, heightPx: 420 });
  const photo = photographBoard(truth.burn, truth.material, stockBounds(stock), camera, random);
  const [even, apart, shades] = readPiece(photo, expected, { points: camera.corners }).tones;
  for (const { operation, forecastTone, seenTone } of [even!, apart!]) {
    expect(forecastTone).toBeCloseTo(toneOf(expected, operation), 6);
    // By rows of one direction it would be 0.04 off.
    expect(Math.abs(seenTone - toneOf(truth, operation))).toBeLessThan(0.03);
  }
  // What is typical of all shades is not quite the middle one.
  expect(Math.abs(shades!.forecastTone - toneOf(expected, 3))).toBeLessThan(0.06);
});
