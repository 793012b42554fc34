import { describe, expect, test } from 'vitest';
import { flattened } from '../../src/own-board/flatten.ts';
import { findOutline } from '../../src/own-board/outline.ts';
import { readPoints } from '../../src/own-board/points.ts';
import { readSpots } from '../../src/own-board/spots.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { depthInside, signedArea } from '../../src/polygon.ts';

const grey = (width: number, height: number, level: (x: number, y: number) => number): Photo => {
  const pixels = Uint32Array.from(
    { length: width * height },
    (_, k) => 0x01010101 * level(k % width, Math.floor(k / width)),
  );
  return { width, height, data: new Uint8Array(pixels.buffer) };
};

describe('points of known place', () => {
  test('four points, or the corners of a sheet', () => {
    expect(readPoints('1,2=3,4; 5,6 = 7,8;9.5,10=-11,12 ; 13,14=15,16;')).toEqual({
      onPhoto: [
        [1, 2],
        [5, 6],
        [9.5, 10],
        [13, 14],
      ],
      onBedMm: [
        [3, 4],
        [7, 8],
        [-11, 12],
        [15, 16],
      ],
    });
    // ISO 216: 210 × 297 mm; ANSI/ASME Y14.1: 8.5 × 11 inches.
    expect(readPoints('A4 at 220,-5: 1,1; 2,1; 2,2; 1,2').onBedMm[2]).toEqual([430, 292]);
    expect(readPoints('letter lying: 1,1; 2,1; 2,2; 1,2').onBedMm).toEqual([
      [0, 0],
      [279.4, 0],
      [279.4, 215.9],
      [0, 215.9],
    ]);
  });

  test.each([
    ['', /found 0 points of known place; expected four points/],
    ['1,2=3,4', /found one point of known place; expected four points as X,Y of the photo/],
    ['1,2=3,4; 5,6=7,8; 9,10=11,12', /found 3 points of known place/],
    ['1,2; 3,4; 5,6; 7,8', /found “1,2” among the points; expected four points/],
    ['a4: 1,2; 3,4=5,6; 7,8; 9,10', /found “3,4=5,6” among the points/],
  ])('“%s” is refused', (text, sentence) => {
    expect(() => readPoints(text)).toThrow(sentence);
  });

  const photo = grey(1000, 800, () => 128);
  test.each([
    [
      '100,700=0,0; 900,700=100,0; 900,1100=100,80; 100,100=0,80',
      /found the point 900,1100 beside a photo of 1000 × 800/,
    ],
    [
      '100,700=0,0; 110,705=100,0; 900,100=100,80; 100,100=0,80',
      /found two points of known place that nearly coincide/,
    ],
    ['100,700=0,0; 500,400=50,40; 900,100=100,80; 100,100=0,80', /three lie on one line/],
    [
      '100,100=0,0; 900,100=100,0; 900,700=100,80; 100,700=0,80',
      /run round one way on the photo and the other way/,
    ],
    ['100,700=0,0; 900,100=100,0; 900,700=100,80; 100,100=0,80', /not in the same order|other way/],
  ])('a photo is not made flat by %s', (text, sentence) => {
    expect(() => flattened(photo, readPoints(text))).toThrow(sentence);
  });

  test('places to keep off', () => {
    expect(readSpots('40,25,6; -1,2.5,.5')).toEqual([
      { xMm: 40, yMm: 25, radiusMm: 6 },
      { xMm: -1, yMm: 2.5, radiusMm: 0.5 },
    ]);
    expect(() => readSpots('40,25')).toThrow(
      /found “40,25” among the places to keep off; expected X,Y,RADIUS/,
    );
    for (const nothing of ['', ' ; '])
      expect(() => readSpots(nothing)).toThrow(
        /found no place to keep off; expected X,Y,RADIUS in mm, as in 40,25,6/,
      );
    expect(() => readSpots('40,25,0')).toThrow(/expected X,Y,RADIUS/);
  });
});

describe('a photo on which no board can be found says why', () => {
  // 5 pixels a millimetre.
  const [WIDTH, HEIGHT] = [600, 500];
  const points = '50,450=0,0; 550,450=100,0; 550,50=100,80; 50,50=0,80';
  const found = (photo: Photo, on: [number, number]) => {
    const flat = flattened(photo, readPoints(points));
    return findOutline(photo, flat.at(0), on);
  };

  test('all of one colour', () => {
    expect(() =>
      found(
        grey(WIDTH, HEIGHT, () => 128),
        [50, 40],
      ),
    ).toThrow(/edge cannot be seen for 100 % of its way/);
  });
  test('beyond its edge', () => {
    const half = grey(WIDTH, HEIGHT, (x) => (x < 300 ? 200 : 60));
    expect(() => found(half, [15, 40])).toThrow(
      /edge cannot be seen for \d+ % of its way; expected all of it on the photo/,
    );
  });
  test('hardly another colour than the bed', () => {
    const pale = grey(WIDTH, HEIGHT, (x, y) => (x > 150 && x < 450 && y > 150 && y < 400 ? 130 : 126));
    expect(() => found(pale, [50, 35])).toThrow(/edge cannot be seen for 100 % of its way/);
  });
  test('beside the board, or in its notch, with where that lies', () => {
    // From (20, 10) to (80, 60) mm, but for its upper right quarter.
    const notched = grey(WIDTH, HEIGHT, (x, y) =>
      x >= 150 && x < 450 && y >= 150 && y < 400 && (x < 300 || y >= 275) ? 200 : 60,
    );
    for (const on of [
      [94, 74],
      [68, 50],
      [50, 35],
    ] as [number, number][]) {
      const told =
        /found no board around x (\d+), y (\d+) mm, where the middle of the job lies: that is (?:\d+ mm beyond|only \d mm within) the edge of .* x (\d+) to (\d+), y (\d+) to (\d+) mm/;
      let said = '';
      try {
        found(notched, on);
      } catch (error) {
        said = String(error);
      }
      const numbers = told.exec(said)?.slice(1).map(Number) ?? expect.fail(said);
      [...on, 20, 80, 10, 60].forEach((mm, k) => {
        expect(Math.abs(numbers[k]! - mm), said).toBeLessThanOrEqual(2);
      });
    }
    // The same photo does where the job lies on the wood.
    expect(signedArea(found(notched, [35, 25]))).toBeCloseTo(60 * 50 - 30 * 25, -1);
  });
  test('elsewhere than the job', () => {
    expect(() =>
      found(
        grey(WIDTH, HEIGHT, () => 128),
        [5000, 60],
      ),
    ).toThrow(/found nothing of the board on the photo at x 5000/);
  });
  test('a plain one, seen from straight above, to a tenth of a millimetre', () => {
    // From (20, 10) to (80, 60) mm.
    const plain = grey(WIDTH, HEIGHT, (x, y) => (x >= 150 && x < 450 && y >= 150 && y < 400 ? 200 : 60));
    const outline = found(plain, [50, 35]);
    expect(signedArea(outline)).toBeCloseTo(60 * 50, -1);
    for (const [x, y] of [
      [20, 10],
      [80, 10],
      [80, 60],
      [20, 60],
    ] as const)
      expect(Math.min(...outline.map(([u, v]) => Math.hypot(u - x, v - y)))).toBeLessThan(0.15);
  });
});

test('how deep a place lies within an outline: a unit square, closed form', () => {
  const square = [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 1],
  ] as const;
  expect(signedArea(square)).toBe(1);
  expect(depthInside(square, 0.5, 0.25)).toBeCloseTo(0.25, 12);
  expect(depthInside(square, 2, 2)).toBeCloseTo(-Math.SQRT2, 12);
  expect(depthInside(square, 0.3, -0.1)).toBeCloseTo(-0.1, 12);
});
