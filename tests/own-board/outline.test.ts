import { describe, expect, test } from 'vitest';
import { flattened } from '../../src/own-board/flatten.ts';
import { findOutline } from '../../src/own-board/outline.ts';
import { ownBoard } from '../../src/own-board/own-board.ts';
import { mapped } from '../../src/photo/homography.ts';
import { seeded } from '../support/random.ts';
import { outlinesApart, photographed, type Shot, seenAt } from './camera.ts';

/** An offcut with a slanting side, a notch and a rounded corner, lying askew. */
const OFFCUT: [number, number][] = [
  [12, 8],
  [131, 3],
  [138, 52],
  [104, 88],
  [80, 88],
  [78, 70],
  [58, 71],
  [60, 90],
  ...Array.from({ length: 9 }, (_, k): [number, number] => [
    20 + 14 * Math.cos(Math.PI / 2 + (k * Math.PI) / 16),
    76 + 14 * Math.sin(Math.PI / 2 + (k * Math.PI) / 16),
  ]),
];
/** Marks on the bed's rules. */
const MARKS: [number, number][] = [
  [-20, -20],
  [180, -20],
  [180, 130],
  [-20, 130],
];

const shot: Shot = {
  widthPx: 1500,
  heightPx: 1125,
  focal: 0.9,
  from: [75, -60, 260],
  at: [75, 50, 0],
  thicknessMm: 4,
  board: OFFCUT,
  noise: 0.03,
  quality: 80,
  seed: 3,
};

const pointsOf = (of: Shot) => ({
  onPhoto: MARKS.map(([x, y]) => seenAt(of, [x, y, 0]).map(Math.round) as [number, number]),
  onBedMm: MARKS,
});

interface Found {
  readonly corners: number;
  /** How far the outline is found beside the true one, and how far it is told to be, mm. */
  readonly offMm: number;
  readonly toldMm: number;
}

/** By the shot: several tests ask for the same. */
const found = new Map<string, Found>();

function foundOn(of: Shot): Found {
  const key = JSON.stringify(of);
  const known = found.get(key);
  if (known) return known;
  const { stock } = ownBoard(flattened(photographed(of), pointsOf(of)), {
    onMm: [75, 40],
    thicknessMm: of.thicknessMm,
    avoid: [],
  });
  const made = {
    corners: stock.outline!.length,
    offMm: outlinesApart(stock.outline!, OFFCUT),
    toldMm: stock.outlinePlusMinusMm!,
  };
  found.set(key, made);
  return made;
}

describe('a board seen at a slant', () => {
  test.each([
    ['thick, at 23°', { thicknessMm: 12 }],
    ['from the side', { from: [-80, -40, 280] as const, seed: 8 }],
    ['from straight above, on a bright bed', { from: [75, 49, 300] as const, bed: 0.75, seed: 6 }],
    // There the steepest line is the one between the sides of the board, which lie in their own shade, and the bed.
    ['on a bright bed', { bed: 0.75 }],
  ])('%s: its outline is found within half a millimetre', (_, other) => {
    const { corners, offMm } = foundOn({ ...shot, ...other });
    expect(offMm).toBeLessThan(0.5);
    expect(corners).toBeLessThan(40);
  });

  test.each([
    ['840 pixels wide', { widthPx: 840, heightPx: 630 }],
    ['600 pixels wide', { widthPx: 600, heightPx: 450 }],
    ['840 pixels wide, from the side', { widthPx: 840, heightPx: 630, from: [-80, -40, 280] as const }],
    ['at 40°, on a bright bed', { from: [75, -150, 230] as const, bed: 0.75 }],
  ])(
    '%s: its outline is found as well as it is told to be, which is less than half a millimetre',
    (_, other) => {
      const of: Shot = { ...shot, ...other };
      const { toldMm, offMm } = foundOn(of);
      expect(offMm).toBeLessThan(toldMm);
      expect(toldMm).toBeGreaterThan(0.65);
      // No more is told than it takes.
      expect(toldMm).toBeLessThan(4.5 * offMm);
    },
  );

  test('its outline is known the less the coarser the photo, and the more of its sides is seen', () => {
    const fine = foundOn(shot).toldMm;
    expect(fine).toBeLessThan(0.65);
    const [some, many] = [840, 600].map(
      (widthPx) => foundOn({ ...shot, widthPx, heightPx: 0.75 * widthPx }).toldMm,
    ) as [number, number];
    expect(some / fine).toBeCloseTo(1.8, 1);
    expect(many / some).toBeCloseTo(840 / 600, 1);
    expect(foundOn({ ...shot, thicknessMm: 12 }).toldMm).toBeGreaterThan(1.8 * fine);
  });

  test('how much higher the upper side lies is worked out from where the camera stood', () => {
    for (const height of [0, 4, 20]) {
      const flat = flattened(
        { width: shot.widthPx, height: shot.heightPx, data: new Uint8Array(0) },
        {
          onPhoto: MARKS.map(([x, y]) => seenAt(shot, [x, y, 0])),
          onBedMm: MARKS,
        },
      );
      const [u, v] = mapped(flat.at(height), [40, 60]);
      const [x, y] = seenAt(shot, [40, 60, height]);
      expect(u).toBeCloseTo(x, 4);
      expect(v).toBeCloseTo(y, 4);
    }
  });
});

describe('noise is no board', () => {
  test.each([
    ['colours', 1, 1],
    ['greys', 3, 1],
    ['blots of 3 pixels', 1, 3],
  ])('%s drawn at random', (_, alike, blot) => {
    const [width, height] = [400, 270];
    const random = seeded(11);
    const data = new Uint8Array(4 * width * height).fill(255);
    for (let v = 0; v < height; v++) {
      for (let u = 0; u < width; u++) {
        const at = 4 * (v * width + u);
        const from = 4 * ((v - (v % blot)) * width + u - (u % blot));
        const isNew = from === at;
        for (let c = 0; c < 3; c++) {
          const drawn = c % alike === 0 ? Math.floor(256 * random()) : data[at]!;
          data[at + c] = isNew ? drawn : data[from + c]!;
        }
      }
    }
    const points = {
      onPhoto: [
        [50, 235],
        [350, 235],
        [350, 35],
        [50, 35],
      ] as [number, number][],
      onBedMm: [
        [0, 0],
        [75, 0],
        [75, 50],
        [0, 50],
      ] as [number, number][],
    };
    const flat = flattened({ width, height, data }, points);
    expect(() => findOutline(flat.photo, flat.at(4), [37, 25])).toThrow(/found no board on the photo: /);
  });
});
