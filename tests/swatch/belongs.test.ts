import { beforeAll, describe, expect, test } from 'vitest';
import type { Photo } from '../../src/photo/photo.ts';
import { codeOf, codeStrokes } from '../../src/swatch/code.ts';
import { makeSwatch } from '../../src/swatch/make.ts';
import { readPhoto } from '../../src/swatch/photo/read.ts';
import { readSwatch, type Swatch } from '../../src/swatch/swatch.ts';
import { machineWith } from '../support/machines.ts';
import { seeded } from '../support/random.ts';
import { photoOf, randomCamera, randomWood, type Scene, sceneOf } from './scene.ts';

/**
 * Photos of boards of several sizes, each woods and cameras drawn at random. Fifty more of the first size, with fewer pixels,
 * are asked for their code and for doubts in `recover.test.ts`.
 */
const SIZES = [
  [80, 50],
  [90, 50],
  [100, 60],
] as const;
let scenes: Scene[];
/** One of each, by these seeds. */
let photos: Photo[];
const SEEDS = [7, 42, 44] as const;

beforeAll(() => {
  scenes = SIZES.map(([width, height]) => sceneOf(width, height, 5 / 64));
  photos = scenes.map((scene, k) => shot(scene, SEEDS[k]!));
}, 120_000);

const shot = (scene: Scene, seed: number, wood = randomWood(seeded(seed))): Photo => {
  const random = seeded(seed + 1);
  return photoOf(scene, wood, randomCamera(scene, wood, random, { widthPx: 840, heightPx: 588 }), random);
};

/** The same key as if its engraved number had been another: the burn is the same but for that. */
const withCode = (swatch: Swatch, text: string): Swatch => ({ ...swatch, code: { ...swatch.code!, text } });

describe('the code', () => {
  test('is four digits of the whole content: the same settings, the same code; others, another', () => {
    const board = { widthMm: 80, heightMm: 50, thicknessMm: 3, xMm: 0, yMm: 0 };
    const of = (watts: number, thicknessMm = 3): Swatch =>
      makeSwatch(machineWith({ laser: { optical_power_w: watts } }), { ...board, thicknessMm }).swatch;
    const { code, ...rest } = of(8);
    expect(code!.text).toMatch(/^\d{4}$/);
    expect(codeOf(rest)).toBe(code!.text);
    expect(of(8).code).toEqual(code);
    const codes = [of(8), of(8.1), of(5), of(8, 4), ...Array.from({ length: 40 }, (_, k) => of(9 + k))].map(
      (each) => each.code!.text,
    );
    // Of 44 numbers below 10,000 hardly two are alike: 1 − e^(−44²/20000) is 0.09, and one pair may be.
    expect(new Set(codes).size).toBeGreaterThanOrEqual(codes.length - 1);
  });

  test('is FNV-1a: its published vectors for one and six letters', () => {
    // draft-eastlake-fnv, 32 bits: "" 0x811c9dc5; here over JSON, so of a text the quotation marks count, too.
    const fnv = (text: string) =>
      [...new TextEncoder().encode(text)].reduce(
        (hash, byte) => Math.imul(hash ^ byte, 0x01000193) >>> 0,
        0x811c9dc5,
      );
    expect(fnv('a')).toBe(0xe40c292c);
    expect(fnv('foobar')).toBe(0xbf9cf968);
    expect(codeOf('foobar' as never)).toBe(String(fnv('"foobar"') % 10_000).padStart(4, '0'));
  });

  test('stands in the G-code, in its comment and as strokes, and in the key', () => {
    const { swatch, gcode } = scenes[0]!;
    expect(gcode.split('\n')[0]).toContain(`calibration swatch ${swatch.code!.text} for`);
    for (const stroke of codeStrokes(swatch.code!)) {
      const [x] = stroke[0]!;
      expect(gcode).toContain(`X${Math.round(x * 1000) / 1000}`);
    }
    expect(readSwatch(JSON.parse(JSON.stringify(swatch))).code).toEqual(swatch.code);
  });

  test('a key of before, without one, is read, and its photo too', () => {
    const { code, ...old } = scenes[0]!.swatch;
    expect(code).toBeDefined();
    const swatch = readSwatch(JSON.parse(JSON.stringify(old)));
    expect(swatch.code).toBeUndefined();
    const reading = readPhoto(photos[0]!, swatch);
    expect(reading.code).toBeNull();
    expect(reading.doubts).toEqual([]);
  });
});

describe('photo and key', () => {
  test('that belong together are never doubted, and the code is read', () => {
    for (const at of [1, 2]) {
      const { swatch } = scenes[at]!;
      for (let n = 0; n < 5; n++) {
        const photo = n === 0 ? photos[at]! : shot(scenes[at]!, SEEDS[at]! + 6 * n);
        const { code, doubts } = readPhoto(photo, swatch);
        expect(doubts, `photo ${n} of board ${at}`).toEqual([]);
        expect(code, `photo ${n} of board ${at}`).toMatchObject({
          verdict: 'same',
          seen: swatch.code!.text,
        });
      }
    }
  }, 120_000);

  test('with another code do not: one digit is enough', () => {
    const scene = scenes[0]!;
    const own = scene.swatch.code!.text;
    const others = Array.from({ length: 4 }, (_, at) =>
      [...own].map((digit, k) => (k === at ? String((Number(digit) + 5) % 10) : digit)).join(''),
    );
    for (const text of others) {
      const { code, doubts } = readPhoto(photos[0]!, withCode(scene.swatch, text));
      expect(code).toEqual({ expected: text, seen: own, verdict: 'other' });
      expect(doubts).toEqual([`it shows the code ${own} where the key has ${text}`]);
    }
  });

  test('of another board size do not, with a code or without', () => {
    for (const [photoOfScene, keyOf] of [
      [0, 1],
      [1, 0],
      [0, 2],
      [2, 0],
    ] as const) {
      const photo = photos[photoOfScene]!;
      const { code: _, ...old } = scenes[keyOf]!.swatch;
      let told = '';
      try {
        told = readPhoto(photo, old).doubts.join('; ');
      } catch (error) {
        told = String(error);
      }
      expect(told, `${photoOfScene} with ${keyOf}`).toMatch(
        /its marks measure .* so the board had another size|no patches between them that darken as the \d+ of the key do/,
      );
    }
  });

  test('of which the key leaves bare what is burned do not', () => {
    const { code: _, ...old } = scenes[0]!.swatch;
    // A key with every third column of the patches: the others lie where it knows bare wood.
    const columns = [...new Set(old.patches.map(({ at_mm }) => at_mm[0]))].sort((a, b) => a - b);
    const kept = old.patches.filter(({ at_mm }) => columns.indexOf(at_mm[0]) % 3 === 0);
    expect(readPhoto(photos[0]!, { ...old, patches: kept }).doubts.join()).toMatch(
      /\d+ % of the places that the key leaves bare are burned/,
    );
  });
});
