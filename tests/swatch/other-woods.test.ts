import { beforeAll, expect, test } from 'vitest';
import { burnDose } from '../../src/burn/burn-dose.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { fitSwatch } from '../../src/swatch/fit/fit.ts';
import { readPhoto } from '../../src/swatch/photo/read.ts';
import { seeded } from '../support/random.ts';
import { photograph } from './photograph.ts';
import { base, cutsThrough, randomCamera, randomWood, type Scene, sceneOf } from './scene.ts';

/**
 * The same loop with woods and cameras that are not the model's own: the wood's tone leaves the profile's curve, floors
 * darken more or less with depth than pictures show, and the camera's response is an S where the fit knows of a power and
 * a bend. The fit must still find the doses within two of its stated uncertainties, nearly as often as it says (95 of
 * 100): full char, which lies where tones hardly change, is what such a curve shifts.
 */
const WOODS = 16;
const CELL_MM = 0.0625;

let scene: Scene;
const found: { name: string; off: number }[] = [];

beforeAll(() => {
  scene = sceneOf(80, 50, CELL_MM);
}, 120_000);

/** As much in the middle as at the ends: t + a·sin(2πt)/2π, which rises for |a| < 1. */
const bent = (value: number, by: number): number =>
  value + (by * Math.sin(2 * Math.PI * value)) / (2 * Math.PI);

/** Coded values through an S-shaped response. */
function throughCurve(photo: Photo, by: number): Photo {
  const table = Uint8ClampedArray.from({ length: 256 }, (_, k) => Math.round(255 * bent(k / 255, by)));
  const data = photo.data.slice();
  for (let k = 0; k < data.length; k += 4) for (let c = 0; c < 3; c++) data[k + c] = table[data[k + c]!]!;
  return { ...photo, data };
}

function recover(k: number): void {
  const random = seeded(7000 + k);
  const between = (low: number, high: number) => low + (high - low) * random();
  const truth = randomWood(random);
  const camera = randomCamera(scene, truth, random);
  const burn = burnDose(scene.dose, truth, {
    spot: scene.swatch.machine.spot,
    wavelengthNm: scene.swatch.machine.laser.wavelength_nm,
    thicknessMm: scene.stock.thicknessMm,
    firings: scene.firings,
  });
  const [toneBy, floorTimes, cameraBy] = [between(-0.2, 0.2), between(0.5, 1.8), between(-0.12, 0.12)];
  const shown = {
    ...burn,
    // Most of the board is bare, and stays so.
    tone: burn.tone.map((tone) => (tone === 0 ? 0 : bent(tone, toneBy))),
    depthMm: burn.depthMm.map((depth) => depth * floorTimes),
  };
  const photo = throughCurve(photograph(shown, truth, scene.swatch, camera, random), cameraBy);
  const { material, fitted } = fitSwatch(
    scene.swatch,
    scene.doses,
    readPhoto(photo, scene.swatch, { white: null }),
    {
      base,
      cuts: cutsThrough(scene, truth),
      date: '2026-05-01',
      name: 'fitted',
    },
  );
  for (const name of ['first_mark_j_mm2', 'full_char_j_mm2', 'removal_j_mm3'] as const) {
    if (!fitted.includes(name)) continue;
    const { value, plus_minus } = material[name];
    expect(plus_minus! / value).toBeGreaterThanOrEqual(0.049);
    found.push({ name, off: (value - truth[name].value) / plus_minus! });
  }
  const { value, plus_minus } = material.colour.char_lab;
  if (fitted.includes('colour.char_lab'))
    value.forEach((each, c) => {
      found.push({ name: `char_lab ${c}`, off: (each - truth.colour.char_lab.value[c]!) / plus_minus! });
    });
}

test('woods and cameras that are not the model’s own are found within two stated uncertainties, 95 of 100', () => {
  for (let k = 0; k < WOODS; k++) recover(k);
  const within = (list: readonly { off: number }[]) =>
    list.filter(({ off }) => Math.abs(off) <= 2).length / list.length;
  if (process.env.METER === '1') {
    for (const name of new Set(found.map((each) => each.name))) {
      const mine = found.filter((each) => each.name === name);
      console.log(name, mine.length, within(mine), Math.max(...mine.map(({ off }) => Math.abs(off))));
    }
    console.log(found.length, within(found));
  }
  expect(found.length).toBeGreaterThanOrEqual(WOODS * 3.5);
  expect(within(found)).toBeGreaterThanOrEqual(0.95);
  expect(found.filter(({ off }) => !(Math.abs(off) <= 5))).toEqual([]);
}, 600_000);
