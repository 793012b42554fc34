import { beforeAll, describe, expect, test } from 'vitest';
import { homographyOf, mapped } from '../../src/photo/homography.ts';
import { bent as bentBy, straightLens } from '../../src/photo/lens.ts';
import type { Photo, PhotoPoint } from '../../src/photo/photo.ts';
import { photoWords } from '../../src/swatch/fit/words.ts';
import { findSwatch, swatchAt } from '../../src/swatch/photo/marks.ts';
import { type PhotoReading, readPhoto } from '../../src/swatch/photo/read.ts';
import { swatchLens } from '../../src/swatch/photo/swatch-lens.ts';
import { seeded } from '../support/random.ts';
import { type Camera, develop, pixelsOf, turned } from './photograph.ts';
import { base, photoOf, type Scene, sceneOf } from './scene.ts';

/** One board, photographed in many ways; the shipped poplar. */
let scene: Scene;
const WIDTH = 800;
const HEIGHT = 560;
const CORNERS: readonly PhotoPoint[] = [
  [90, 480],
  [715, 455],
  [690, 70],
  [120, 60],
];
const plain: Camera = {
  widthPx: WIDTH,
  heightPx: HEIGHT,
  corners: CORNERS,
  blurPx: 0.7,
  light: [0.12, -0.08, -0.06, -0.04, 0.02],
  gain: [0.9, 0.88, 0.84],
  contrast: 1,
  noise: 0.01,
  quality: 90,
  table: [0.08, 0.07, 0.06],
  paper: null,
};
const take = (change: Partial<Camera>): Photo => photoOf(scene, base, { ...plain, ...change }, seeded(21));
/** By the plain camera; who paints on it paints on a copy. */
let photo: Photo;
let reading: PhotoReading;
const copyOf = ({ data, ...size }: Photo): Photo => ({ ...size, data: data.slice() });

/** Where the marks truly are on the photo. */
function marksOn(corners: readonly PhotoPoint[]): PhotoPoint[] {
  const { widthMm, heightMm } = scene.stock;
  const board = [
    [0, 0],
    [widthMm, 0],
    [widthMm, heightMm],
    [0, heightMm],
  ] as const;
  const map = homographyOf(board, corners)!;
  return scene.swatch.marks.at_mm.map((mark) => mapped(map, mark));
}

const quarterTurn = ([x, y]: PhotoPoint, height: number): PhotoPoint => [height - y, x];

/** Within so many pixels, as a mark's centre is worth. */
function expectMarks(photo: Photo, truth: readonly PhotoPoint[], px: number): void {
  const map = findSwatch(photo, scene.swatch);
  scene.swatch.marks.at_mm.forEach((mark, k) => {
    const [x, y] = mapped(map, mark);
    expect(Math.hypot(x - truth[k]![0], y - truth[k]![1]), `mark ${k}`).toBeLessThan(px);
  });
}

beforeAll(() => {
  scene = sceneOf(80, 50, 0.0625);
  photo = take({});
  reading = readPhoto(photo, scene.swatch);
}, 60_000);

describe('marks are found', () => {
  test('to a fraction of a pixel, whichever way up the photo is', () => {
    let truth = marksOn(CORNERS);
    let current = photo;
    for (let quarters = 0; quarters < 4; quarters++) {
      expectMarks(current, truth, 0.4);
      truth = truth.map((point) => quarterTurn(point, current.height));
      current = turned(current, 1);
    }
  });

  test('under a steep slant', () => {
    const corners: PhotoPoint[] = [
      [60, 500],
      [740, 520],
      [590, 120],
      [190, 110],
    ];
    expectMarks(take({ corners }), marksOn(corners), 1);
  });

  test('on a dark table, a white one, and one of the wood’s own colour', () => {
    for (const table of [
      [0.01, 0.01, 0.01],
      [0.95, 0.95, 0.95],
      [0.6, 0.45, 0.27],
    ] as const)
      expectMarks(take({ table }), marksOn(CORNERS), 0.5);
  });

  test('among coins and knots on the table', () => {
    const littered = take({ table: [0.55, 0.5, 0.45] });
    const random = seeded(2);
    for (let k = 0; k < 25; k++) {
      const [x, y, r] = [
        random() * WIDTH,
        random() < 0.5 ? random() * 40 : HEIGHT - random() * 50,
        5 + 14 * random(),
      ];
      disc(littered, x, y, r, 20 + 50 * random());
    }
    expectMarks(littered, marksOn(CORNERS), 0.6);
  });

  test('in light that is half as bright at one end as at the other', () => {
    expectMarks(take({ light: [0.35, -0.2, 0, 0, 0] }), marksOn(CORNERS), 0.5);
  });
});

function disc(photo: Photo, x: number, y: number, radius: number, code: number): void {
  const data = photo.data as Uint8Array;
  for (let row = Math.max(0, Math.floor(y - radius)); row <= Math.min(photo.height - 1, y + radius); row++) {
    for (
      let column = Math.max(0, Math.floor(x - radius));
      column <= Math.min(photo.width - 1, x + radius);
      column++
    ) {
      if (Math.hypot(column - x, row - y) > radius) continue;
      data.fill(code, (row * photo.width + column) * 4, (row * photo.width + column) * 4 + 3);
    }
  }
}

describe('corners by hand', () => {
  test('read the same patches as the marks that were found', () => {
    const given = readPhoto(photo, scene.swatch, { corners: marksOn(CORNERS) });
    given.patches.forEach(({ ratio }, k) => {
      ratio.forEach((each, c) => {
        expect(Math.abs(each - reading.patches[k]!.ratio[c]!)).toBeLessThan(0.01);
      });
    });
  });

  test('serve where a mark is covered', () => {
    const covered = copyOf(photo);
    const truth = marksOn(CORNERS);
    disc(covered, truth[2]![0], truth[2]![1], 34, 170);
    expect(() => readPhoto(covered, scene.swatch)).toThrow(
      /of the four corner marks; expected the whole swatch/,
    );
    expect(readPhoto(covered, scene.swatch, { corners: truth }).patches.length).toBe(
      scene.swatch.patches.length,
    );
  });

  test('in the wrong order, in a row or off the photo are refused in a sentence', () => {
    const [a, b, c, d] = marksOn(CORNERS) as [PhotoPoint, PhotoPoint, PhotoPoint, PhotoPoint];
    expect(() => swatchAt([c, d, a, b], photo, scene.swatch)).toThrow(
      /do not darken with their dose; expected the centres/,
    );
    expect(() => swatchAt([a, c, b, d], photo, scene.swatch)).toThrow(/do not span a board/);
    expect(() => swatchAt([a, a, b, c], photo, scene.swatch)).toThrow(/do not span a board/);
    expect(() => swatchAt([a, b, c, [5000, 2]], photo, scene.swatch)).toThrow(
      /found a corner at 5000,2; expected places on the photo, which has 800 × 560/,
    );
  });
});

describe('photos that would give a bad fit get a sentence', () => {
  test('marks not in the picture', () => {
    const corners = CORNERS.map(([x, y]): PhotoPoint => [x * 1.4 - 250, y * 1.4 - 150]);
    expect(() => readPhoto(take({ corners }), scene.swatch)).toThrow(
      /four corner marks; expected the whole swatch on the photo/,
    );
  });

  test('nothing but table, or noise', () => {
    const light = new Float32Array(WIDTH * HEIGHT * 3).fill(0.4);
    expect(() => readPhoto(develop(light, plain), scene.swatch)).toThrow(
      /found none of the four corner marks/,
    );
    const random = seeded(6);
    const noise = light.map(() => random());
    expect(() => readPhoto(develop(noise, plain), scene.swatch)).toThrow(/of the four corner marks/);
  });

  test('out of focus, a little and much', () => {
    expect(() => readPhoto(take({ blurPx: 3.2 }), scene.swatch)).toThrow(
      /found a photo out of focus: the rims of the marks are blurred over \d\.\d mm; expected at most 0.6 mm/,
    );
    expect(() => readPhoto(take({ blurPx: 12 }), scene.swatch)).toThrow(
      /out of focus|four corner marks; expected the whole swatch on the photo, sharp/,
    );
  });

  test('too dark', () => {
    for (const gain of [0.06, 0.01]) {
      expect(() => readPhoto(take({ gain: [gain, gain, gain] }), scene.swatch)).toThrow(
        /found a photo that is too dark/,
      );
    }
  });

  test('overexposed', () => {
    expect(() => readPhoto(take({ gain: [1.6, 1.6, 1.6] }), scene.swatch)).toThrow(
      /found a photo that is overexposed: \d+ % of the bare wood/,
    );
  });

  test('too few pixels', () => {
    // Small and black: its size is what is wrong with it.
    const tiny = { width: 20, height: 20, data: new Uint8ClampedArray(1600) };
    expect(() => readPhoto(tiny, scene.swatch)).toThrow(
      /found a photo that is too small, 20 × 20 pixels; expected/,
    );
    const small = {
      widthPx: 400,
      heightPx: 280,
      corners: CORNERS.map(([x, y]): PhotoPoint => [x / 2, y / 2]),
    };
    expect(() => readPhoto(take(small), scene.swatch)).toThrow(
      /found 3\.\d pixels per mm of the swatch; expected at least 6/,
    );
  });

  test('mirrored', () => {
    const mirrored = copyOf(photo);
    const pixels = pixelsOf(mirrored);
    for (let y = 0; y < HEIGHT; y++) pixels.subarray(y * WIDTH, (y + 1) * WIDTH).reverse();
    expect(() => readPhoto(mirrored, scene.swatch)).toThrow(/found a mirror image of the swatch/);
  });

  test('another swatch than the file describes', () => {
    const other = {
      ...scene.swatch,
      // The same marks, but the strongest patches where the weakest are.
      patches: scene.swatch.patches.map((patch, k, all) => ({
        ...patch,
        s: all[all.length - 1 - k]!.s,
        speed_mm_s: all[all.length - 1 - k]!.speed_mm_s,
      })),
    };
    expect(() => readPhoto(photo, other)).toThrow(
      /no patches between them that darken as the \d+ of the key do/,
    );
  });
});

describe('a lens that bends straight lines', () => {
  test.each([
    [0.05, 0.01],
    [-0.08, 0.02],
  ])('is told by the patches and taken out: k1 %d, k2 %d', (...lens) => {
    expect(reading.lens).toBe('straight');
    const bent = readPhoto(take({ lens }), scene.swatch);
    expect(bent.lens).toBe('bent');
    expect(photoWords(bent)).toMatch(/mm\. Its lens bends straight lines; that was taken out\.$/);
    expect(bent.code!.verdict).toBe('same');
    bent.patches.forEach(({ ratio }, k) => {
      ratio.forEach((each, c) => {
        expect(Math.abs(Math.log(each / reading.patches[k]!.ratio[c]!))).toBeLessThan(0.06);
      });
    });
    // As the lens shows them, by its definition.
    const truth = marksOn(CORNERS).map((mark) =>
      bentBy({ ...straightLens({ width: WIDTH, height: HEIGHT }), k1: lens[0], k2: lens[1] }, ...mark),
    );
    bent.cornersPx.forEach(([x, y], k) => {
      expect(Math.hypot(x - truth[k]![0], y - truth[k]![1])).toBeLessThan(0.8);
    });
  });

  test('is not told where hardly a patch shows, and that is said', () => {
    const { patches } = scene.swatch;
    const found = swatchLens(photo, homographyOf(scene.swatch.marks.at_mm, marksOn(CORNERS))!, {
      ...scene.swatch,
      patches: patches.filter((_, k) => k % 4 === 0),
    });
    expect(found).toEqual({ kind: 'untold' });
    const untold = { pxPerMm: 8, edgeMm: null, lens: 'untold' } as unknown as PhotoReading;
    expect(photoWords(untold)).toMatch(/bends straight lines is not told, as too few patches stand out/);
  });
});

test('what is read does not depend on exposure, white balance and uneven light', () => {
  const calm = readPhoto(
    take({ light: [0, 0, 0, 0, 0], noise: 0, quality: null, gain: [0.8, 0.8, 0.8] }),
    scene.swatch,
  );
  const wild = readPhoto(
    take({ light: [0.25, -0.2, -0.1, -0.08, 0.05], gain: [0.7, 0.62, 0.75] }),
    scene.swatch,
  );
  calm.patches.forEach(({ ratio }, k) => {
    ratio.forEach((each, c) => {
      expect(Math.abs(Math.log(wild.patches[k]!.ratio[c]! / each))).toBeLessThan(0.06);
    });
  });
});
