import { describe, expect, test } from 'vitest';
import { flattened } from '../../src/own-board/flatten.ts';
import { inverted, mapped } from '../../src/photo/homography.ts';
import { type Shot, seenAt } from './camera.ts';

/** How well a photo tells where its camera stood, against cameras whose place is known. */

const MARKS: [number, number][] = [
  [-20, -20],
  [180, -20],
  [180, 130],
  [-20, 130],
];
const BOARD: [number, number][] = [
  [10, 5],
  [140, 5],
  [140, 90],
  [10, 90],
];
const HEIGHT_MM = 4;

const shotFrom = (from: Shot['from'], at: Shot['at'], widthPx = 1800): Shot => ({
  widthPx,
  heightPx: 0.75 * widthPx,
  focal: 0.75,
  from,
  at,
  thicknessMm: HEIGHT_MM,
  board: BOARD,
  noise: 0,
  quality: 100,
  seed: 1,
});

type See = (place: readonly [number, number, number]) => [number, number];

/** How far the board's corners are told beside their place, and how far they are said to be, mm. */
function doubtOf(see: See, width: number, height: number) {
  const flat = flattened(
    { width, height, data: new Uint8Array(0) },
    {
      onPhoto: MARKS.map(([x, y]) => see([x, y, 0]).map(Math.round) as [number, number]),
      onBedMm: MARKS,
    },
  );
  const back = inverted(flat.at(HEIGHT_MM));
  const off = BOARD.map(([x, y]) => {
    const [u, v] = mapped(back, see([x, y, HEIGHT_MM]));
    return Math.hypot(u - x, v - y);
  });
  return { offMm: Math.max(...off), doubtMm: flat.doubtMm(HEIGHT_MM, BOARD) };
}

/** The part of a large photo around the marks. */
function cutOut(shot: Shot) {
  const seen = MARKS.map(([x, y]) => seenAt(shot, [x, y, 0]));
  const [left, top] = [Math.min(...seen.map(([u]) => u)) - 30, Math.min(...seen.map(([, v]) => v)) - 30];
  const [right, below] = [Math.max(...seen.map(([u]) => u)) + 30, Math.max(...seen.map(([, v]) => v)) + 30];
  const see: See = (place) => {
    const [u, v] = seenAt(shot, place);
    return [u - left, v - top];
  };
  return doubtOf(see, Math.round(right - left), Math.round(below - top));
}

describe('where the camera stood', () => {
  test.each<[string, Shot['from'], Shot['at']]>([
    ['at 23°', [75, -60, 260], [75, 50, 0]],
    ['at 10°', [75, -20, 350], [75, 50, 0]],
    ['from the side', [-80, -40, 280], [75, 50, 0]],
    ['beside a sheet', [150, 0, 420], [150, 110, 0]],
  ])('a whole photo tells it: %s', (_, from, at) => {
    const shot = shotFrom(from, at);
    const { offMm, doubtMm } = doubtOf((place) => seenAt(shot, place), shot.widthPx, shot.heightPx);
    expect(offMm).toBeLessThan(0.15);
    expect(doubtMm).toBeLessThan(0.15);
  });

  test.each<[string, Shot['from'], Shot['at']]>([
    ['slanting', [-60, -40, 400], [-60, 40, 0]],
    ['slanting, the board in a corner', [-60, -40, 400], [-20, 120, 0]],
    ['askew', [-100, -120, 500], [-60, 20, 0]],
    ['from straight above', [75, 49, 300], [75, 50, 0]],
    ['from straight above, the board in a corner', [-60, 49, 500], [-60, 50, 0]],
  ])('a part of a photo does not, and what is said takes that in: %s', (_, from, at) => {
    const { offMm, doubtMm } = cutOut(shotFrom(from, at, 4000));
    expect(offMm).toBeGreaterThan(1);
    expect(doubtMm).toBeGreaterThan(offMm);
    expect(doubtMm).toBeLessThan(6);
  });

  test('a flatbed’s picture does not, either, nor a whole photo from straight above', () => {
    const flatbed = doubtOf(([x, y]) => [100 + 8 * (x + 20), 1300 - 8 * (y + 20)], 1800, 1350);
    expect(flatbed.offMm).toBeGreaterThan(1.5);
    expect(flatbed.doubtMm).toBeGreaterThan(flatbed.offMm);
    const above = shotFrom([75, 49, 300], [75, 50, 0]);
    const told = doubtOf((place) => seenAt(above, place), 1800, 1350);
    expect(told.doubtMm).toBeGreaterThan(1);
  });
});
