import { beforeAll, describe, expect, test } from 'vitest';
import { stockBounds } from '../../src/board.ts';
import { cornersOfBounds } from '../../src/grid.ts';
import { homographyOf, mapped } from '../../src/photo/homography.ts';
import type { PhotoPoint } from '../../src/photo/photo.ts';
import { readPiece } from '../../src/piece/read-piece.ts';
import { registerPiece } from '../../src/piece/register.ts';
import { seeded } from '../support/random.ts';
import { turned } from '../swatch/photograph.ts';
import {
  farthestOff,
  forecastOf,
  HALF_A_MM,
  isOnTag,
  type Piece,
  photoOfPiece,
  pieces,
  type Taken,
} from './pieces.ts';

/**
 * Photos by a camera of the tests' own (slant, uneven light, noise, JPEG, grain) of pieces that were burned with another wood
 * and machine than forecast; as they are commonly taken they are laid in `tones.test.ts`. `npx tsx tests/piece/fifty.ts` is the
 * same at length.
 */

const [tag, , label] = pieces as [Piece, Piece, Piece];
let taken: Taken;

beforeAll(() => {
  taken = photoOfPiece(tag, 0);
}, 300_000);

/** The tag's outline alone. */
const bareTag: Piece = {
  ...tag,
  name: 'a bare tag',
  text: `G21 G90\n${tag.text.slice(tag.text.indexOf('M3 S0'))}`,
};

const refusal = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    return (error as Error).message;
  }
  return 'nothing was refused';
};

/** Where the board's corners truly lie. */
const corners = ({ camera }: Taken): PhotoPoint[] => [...camera.corners];

describe('a photo is laid on its forecast by the job’s own marks', () => {
  test('whichever way up it is', () => {
    const { photo, camera } = taken;
    const upside = turned(photo, 2);
    const { view, isTakenUpright, isLensFitted } = registerPiece(upside, forecastOf(tag), null);
    const turnedCamera = {
      ...camera,
      corners: camera.corners.map(([x, y]): PhotoPoint => [photo.width - x, photo.height - y]),
    };
    expect(farthestOff(tag, forecastOf(tag), turnedCamera, view)).toBeLessThan(HALF_A_MM);
    expect(isTakenUpright).toBe(false);
    expect(isLensFitted).toBe(false);
  }, 300_000);

  test('through a lens that bends straight lines, which is told', () => {
    const lens = [-0.08, 0.01] as const;
    const { photo, camera } = photoOfPiece(tag, 3, { lens });
    const { view, isLensFitted } = registerPiece(photo, forecastOf(tag), null);
    expect(isLensFitted).toBe(true);
    expect(view.lens.k1).toBeLessThan(-0.04);
    expect(farthestOff(tag, forecastOf(tag), camera, view)).toBeLessThan(HALF_A_MM);
  }, 300_000);

  test('where the corners are given by hand, to some millimetres', () => {
    const { photo, camera } = taken;
    const points = corners(taken).map(([x, y], k): PhotoPoint => [x + (k % 2 === 0 ? 12 : -9), y + 8]);
    const { view } = registerPiece(photo, forecastOf(tag), points);
    expect(farthestOff(tag, forecastOf(tag), camera, view)).toBeLessThan(HALF_A_MM);
  }, 300_000);

  test('where the corners given are those of what is burned', () => {
    const { photo, camera } = taken;
    const { burnBounds } = forecastOf(tag);
    const truth = homographyOf(cornersOfBounds(stockBounds(tag.stock)), camera.corners)!;
    const points = cornersOfBounds(burnBounds).map((corner) => mapped(truth, corner));
    const { view } = registerPiece(photo, forecastOf(tag), points, 'burn');
    expect(farthestOff(tag, forecastOf(tag), camera, view)).toBeLessThan(HALF_A_MM);
  }, 300_000);
});

test('a piece that lies alone is asked to be laid back where nothing within its outline tells where it lies', () => {
  const { photo } = photoOfPiece(bareTag, 4, { table: [0.08, 0.07, 0.06], isWood: isOnTag });
  expect(refusal(() => readPiece(photo, forecastOf(bareTag)))).toMatch(
    /expected (it laid back|the whole piece lying) in its board/,
  );
}, 300_000);

describe('what a photo cannot tell is refused', () => {
  test('the photo of another job', () => {
    expect(refusal(() => registerPiece(taken.photo, forecastOf(label), null))).toMatch(
      /^found nothing on the photo that looks like the job; expected the whole piece lying in its board/,
    );
    expect(refusal(() => registerPiece(taken.photo, forecastOf(label), corners(taken)))).toMatch(
      /^found light and dark at the given corners that are not those of the job/,
    );
  }, 300_000);

  test('noise, and a photo without light', () => {
    const random = seeded(5);
    const noise = { width: 300, height: 220, data: new Uint8ClampedArray(300 * 220 * 4) };
    for (let k = 0; k < noise.data.length; k++) noise.data[k] = 120 + 80 * random();
    expect(refusal(() => readPiece(noise, forecastOf(tag)))).toMatch(/found nothing on the photo/);
    const dark = { ...noise, data: new Uint8ClampedArray(noise.data.length).fill(20) };
    expect(refusal(() => readPiece(dark, forecastOf(tag)))).toMatch(/found a photo that is too dark/);
  }, 300_000);

  test('corners that lie off the photo, or on one line', () => {
    const off: PhotoPoint[] = [
      [-5, 3],
      [400, 3],
      [400, 300],
      [3, 300],
    ];
    const line: PhotoPoint[] = [
      [10, 10],
      [20, 20],
      [30, 30],
      [40, 40],
    ];
    for (const points of [off, line])
      expect(refusal(() => registerPiece(taken.photo, forecastOf(tag), points))).toMatch(
        /^found corners that do not span a board on the photo/,
      );
  });

  test('a photo with too few pixels to a millimetre', () => {
    const { photo } = taken;
    const times = 5;
    const [width, height] = [Math.floor(photo.width / times), Math.floor(photo.height / times)];
    const data = new Uint8ClampedArray(4 * width * height).fill(255);
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++)
        for (let c = 0; c < 3; c++) {
          let sum = 0;
          for (let v = 0; v < times; v++)
            for (let u = 0; u < times; u++)
              sum += photo.data[4 * ((y * times + v) * photo.width + x * times + u) + c]!;
          data[4 * (y * width + x) + c] = sum / times ** 2;
        }
    const points = corners(taken).map(([x, y]): PhotoPoint => [x / times, y / times]);
    expect(refusal(() => readPiece({ width, height, data }, forecastOf(tag), { points }))).toMatch(
      /^found 1\.\d pixels per mm of the piece; expected at least 2, so go nearer/,
    );
  }, 300_000);
});

test('the camera’s corners are where its photo has them', () => {
  // The proof rests on this: the board's corners by the map that the camera was made with.
  const { camera } = taken;
  const map = homographyOf(
    [
      [0, 0],
      [76, 0],
      [76, 42],
      [0, 42],
    ],
    camera.corners,
  )!;
  for (const [k, corner] of (
    [
      [0, 0],
      [76, 0],
      [76, 42],
      [0, 42],
    ] as const
  ).entries())
    expect(mapped(map, corner)).toEqual([
      expect.closeTo(camera.corners[k]![0], 6),
      expect.closeTo(camera.corners[k]![1], 6),
    ]);
});
