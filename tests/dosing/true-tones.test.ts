import { describe, expect, test } from 'vitest';
import type { Burn } from '../../src/burn/burn.ts';
import { labOf } from '../../src/burn/colour.ts';
import type { Material } from '../../src/burn/material.ts';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { readLines } from '../../src/change/line-table.ts';
import { changeLines, writeChanged } from '../../src/change/write-changed.ts';
import { drawSvg } from '../../src/cli/draw-svg.ts';
import { trueTones } from '../../src/dosing/true-tones.ts';
import { lightnessOf, TONE_ENDS } from '../../src/dosing/wish.ts';
import { wishBurn } from '../../src/dosing/wish-burn.ts';
import { burnOfProgram, type ForecastOptions, forecast, readOptions } from '../../src/forecast.ts';
import { cellAt } from '../../src/grid.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { comparePicture } from '../../src/picture/compare-picture.ts';
import type { Program } from '../../src/program/program.ts';
import { benchGantry, workshopGantry } from '../support/demo-machines.ts';
import { machineWith } from '../support/machines.ts';
import { PICTURES, type Picture, type Raster, rasterJob, SMALL } from './pictures.ts';

/**
 * Rows whose forecast lightness is what their S meant. The pictures are gradients of our own; what is checked is that
 * the answer is the forecast's own inverse, whose only published part is the wood's curve (src/burn/MODEL.md). A mean of
 * 2 in L* is about what one sees side by side (common practice, no source).
 */

const plain = machineWith({ spot: { width_mm: [0.1, 0.1] } });
const stepped = machineWith({
  spot: { width_mm: [0.08, 0.12] },
  laser: { threshold_fraction: 0.1, power_levels: 255 },
});
const raster = SMALL;
const poplar = shippedMaterials['poplar plywood']!;

function solve(
  text: string,
  machine: Machine,
  material: Material,
  photo: Photo | null = null,
  options: ForecastOptions = {},
) {
  const table = readLines([text], readOptions(machine));
  const tones = trueTones(
    changeLines(table, [], machine),
    { machine, material, options },
    { ends: TONE_ENDS, photo },
  );
  const pieces: string[] = [];
  writeChanged([text], table, tones.changed, machine, (piece) => pieces.push(piece));
  return { ...tones, text: pieces.join('') };
}

describe('lightness and tone', () => {
  test('are inverse to each other', () => {
    const { toneOfL, bareL, charL } = lightnessOf(poplar);
    for (const tone of [0, 0.1, 0.33, 0.6, 0.85, 0.9])
      expect(labOf(toneOfL(labOf(tone, poplar)[0]), poplar)[0]).toBeCloseTo(labOf(tone, poplar)[0], 1);
    expect(toneOfL(bareL + 5)).toBe(0);
    expect(toneOfL(charL - 5)).toBeCloseTo(0.9, 2);
  });

  test('a wish goes in even steps of lightness from end to end', () => {
    const { wishedL, bareL, charL } = lightnessOf(poplar);
    const l = (darkness: number) => wishedL(darkness, { lightest: 0, darkest: 1 });
    expect(l(0)).toBe(bareL);
    expect(l(1)).toBeCloseTo(charL, 9);
    expect(l(0.25) - l(0.5)).toBeCloseTo(l(0.5) - l(0.75), 9);
  });
});

const cases: [name: string, picture: string, machine: Machine, wood: string, changes: Partial<Raster>][] = [
  ['constant power, no run-up', 'ramp', plain, 'poplar plywood', {}],
  ['proportional power', 'steps', plain, 'beech', { beamWord: 'M4', overscanMm: 2 }],
  ['a diode with threshold and steps', 'waves', stepped, 'spruce', {}],
  ['threshold and proportional power', 'bump', stepped, 'basswood', { beamWord: 'M4', overscanMm: 2 }],
  ['the demo’s soft gantry', 'waves', benchGantry, 'birch plywood', { sMax: 700 }],
  ['the demo’s stiff gantry', 'ramp', workshopGantry, 'poplar plywood', { spacingMm: 0.12 }],
];

describe.each(cases)('%s: %s', (_, name, machine, wood, changes) => {
  const solved = solve(
    rasterJob(PICTURES[name]!, { ...raster, ...changes }),
    machine,
    shippedMaterials[wood]!,
  );

  test('comes within 2 of L* on the mean, much nearer than before', () => {
    expect(solved.before.meanDeltaL).toBeGreaterThan(5);
    expect(solved.after.meanDeltaL).toBeLessThan(1);
    expect(solved.after.mostDeltaL).toBeLessThan(3);
  });

  test('and what is written forecasts the same', () => {
    const { moves } = forecast(solved.text, machine, shippedMaterials[wood]!).program;
    const planned = solved.changed.program.moves;
    expect(moves.count).toBe(planned.count);
    for (let k = 0; k < moves.count; k++) expect(Math.abs(moves.s[k]! - planned.s[k]!)).toBeLessThan(1e-2);
  });
});

describe('what is seen of it', () => {
  const profile = (text: string, machine: Machine): number[] => {
    const { burn } = forecast(text, machine, poplar);
    // Mean lightness over the rows, every half millimetre along them, away from the edges.
    return Array.from({ length: 22 }, (_, k) => {
      let sum = 0;
      let count = 0;
      for (let x = 5.5 + k / 2; x < 6 + k / 2; x += 0.05)
        for (let y = 6; y < 7; y += 0.05, count++)
          sum += labOf(burn.tone[cellAt(burn.frame, x, y)]!, poplar)[0];
      return sum / count;
    });
  };

  test('a ramp falls from step to step', () => {
    const seen = profile(solve(rasterJob(PICTURES.ramp!, raster), plain, poplar).text, plain);
    for (let k = 1; k < seen.length; k++) expect(seen[k]!).toBeLessThan(seen[k - 1]! + 0.05);
  });

  test('a flat field has no stripe and no dark end', () => {
    const flat: Picture = (x, y) => (y === 0 ? x : 0.5); // many levels on the first row only
    const seen = profile(solve(rasterJob(flat, raster), plain, poplar).text, plain);
    expect(Math.max(...seen) - Math.min(...seen)).toBeLessThan(1);
  });
});

test('rows alike get alike, wherever they fall among the cells of the grid', () => {
  const flat: Picture = (x, y) => (y === 0 ? x : 0.5);
  const { changed, strips } = solve(
    rasterJob(flat, { ...raster, widthMm: 9, heightMm: 14, pixelMm: 1 }),
    plain,
    poplar,
    null,
    // With the heat that stays, later rows find warm wood and rightly get less.
    { cool: true },
  );
  const { moves } = changed.program;
  // The pieces around the middle of all rows, but those at the edge, which have one neighbour only.
  const middles = Array.from({ length: moves.count }, (_, k) => k).filter(
    (k) =>
      k > 0 &&
      strips.lengthMm[k]! > 0.9 &&
      Math.abs((moves.xMm[k - 1]! + moves.xMm[k]!) / 2 - 9.5) < 0.01 &&
      Math.abs(moves.yMm[k]! - 12) < 6.5,
  );
  expect(middles.length).toBeGreaterThan(100);
  const s = middles.map((k) => moves.s[k]!);
  expect(Math.max(...s) / Math.min(...s)).toBeLessThan(1.02);
});

test('the wish as a picture has the tones meant where the rows lie, and all else as it is', () => {
  const tones = solve(rasterJob(PICTURES.steps!, raster), plain, poplar);
  const { burn } = forecast(tones.text, plain, poplar);
  const wish = wishBurn(tones, burn, poplar);
  const lAt = (x: number, y: number) => labOf(wish.tone[cellAt(wish.frame, x, y)]!, poplar)[0];
  const { wishedL } = lightnessOf(poplar);
  // Eight steps of 1.5 mm; S has 256 levels of them.
  for (let step = 0; step < 8; step++)
    for (const y of [5, 5.35, 6.47, 7.9])
      expect(lAt(5.75 + 1.5 * step, y)).toBeCloseTo(wishedL((step + 1) / 8, TONE_ENDS), 0);
  const beyond = cellAt(wish.frame, 4.9, 6);
  expect(wish.tone[beyond]).toBe(burn.tone[beyond]);

  // It stands before the two that are compared, as large as they.
  const stock = { minXMm: 4, minYMm: 4, maxXMm: 18, maxYMm: 14 };
  const sheet = (shown: Burn | null) =>
    comparePicture(
      burn,
      burn,
      { stock, title: '', nameA: 'A', nameB: 'B', longSidePx: 200, wish: shown },
      drawSvg,
    );
  const [with3, with4] = [sheet(null), sheet(wish)];
  expect(with4.height).toBe(with3.height);
  expect(with4.width / with3.width).toBeCloseTo(4 / 3, 0.5);
});

test('a picture laid over rows of one power is what they become', () => {
  const rows = rasterJob(() => 1, { ...raster, pixelMm: 12 });
  const width = 60;
  const data = new Uint8Array(width * 15 * 4).fill(255);
  // L* 100 − 100·x, by the inverse of CIE 1976 and sRGB (IEC 61966-2-1).
  for (let k = 0; k < width * 15; k++) {
    const l = 100 - (100 * ((k % width) + 0.5)) / width;
    const y = l > 8 ? ((l + 16) / 116) ** 3 : (l * 27) / 24389;
    data.fill(
      Math.round(255 * (y <= 0.0031308 ? 12.92 * y : 1.055 * y ** (1 / 2.4) - 0.055)),
      4 * k,
      4 * k + 3,
    );
  }
  const { after, before, addedMoves } = solve(rows, plain, poplar, { width, height: 15, data });
  expect(addedMoves).toBeGreaterThan(30 * 50);
  expect(before.meanDeltaL).toBeGreaterThan(15);
  expect(after.meanDeltaL).toBeLessThan(1);
});

test('whole forecasts, where they are at hand, tell the same, and the last of them is of what comes of it', () => {
  const job = rasterJob(PICTURES.bump!, { ...raster, beamWord: 'M4', overscanMm: 2 });
  const table = readLines([job], readOptions(stepped));
  const setup = { machine: stepped, material: shippedMaterials.basswood!, options: {} };
  const wish = { ends: TONE_ENDS, photo: null };
  const asWritten = changeLines(table, [], stepped);
  const alone = trueTones(asWritten, setup, wish);
  const asked: Program[] = [];
  const told = trueTones(asWritten, setup, wish, {
    asItIs: burnOfProgram(table.program, setup).burn,
    foretell: (program) => {
      asked.push(program);
      return burnOfProgram(program, setup).burn;
    },
  });
  expect(asked).toHaveLength(1);
  expect(asked[0]).toBe(told.changed.program);
  expect(told.after.meanDeltaL).toBeCloseTo(alone.after.meanDeltaL, 3);
  const { s } = alone.changed.program.moves;
  for (let k = 0; k < s.length; k++)
    expect(Math.abs(told.changed.program.moves.s[k]! - s[k]!)).toBeLessThan(0.1);
});

describe('is refused', () => {
  test('where no rows have many levels', () => {
    expect(() =>
      solve(
        rasterJob(() => 1, raster),
        plain,
        poplar,
      ),
    ).toThrow(/found no rows of 8 levels/);
  });

  test('where S follows the speed already', () => {
    const once = solve(rasterJob(PICTURES.bump!, raster), plain, poplar).text;
    expect(() => solve(once, plain, poplar)).toThrow(/follows the speed of the head already/);
  });

  test('with a picture that is white all over', () => {
    const white = (dark: number) => ({
      width: 2,
      height: 1,
      data: Uint8Array.from([255, 255, 255, 255, dark, dark, dark, 255]),
    });
    const text = rasterJob(PICTURES.bump!, raster);
    expect(() => solve(text, plain, poplar, white(255))).toThrow(
      'found a picture that is white all over the rows of operation 1, where nothing would be burned; expected one with something darker in it',
    );
    expect(solve(text, plain, poplar, white(128)).operations).toEqual([1]);
  });

  test('with ends the wrong way round', () => {
    const table = readLines([rasterJob(PICTURES.bump!, raster)], readOptions(plain));
    const wish = { ends: { lightest: 0.9, darkest: 0.1 }, photo: null };
    expect(() =>
      trueTones(changeLines(table, [], plain), { machine: plain, material: poplar, options: {} }, wish),
    ).toThrow(/expected the lightest below the darkest/);
  });
});
