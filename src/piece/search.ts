import type { Grid, GridFrame } from '../grid.ts';
import { type Homography, homographyOf, mapped } from '../photo/homography.ts';
import type { PhotoPoint } from '../photo/photo.ts';
import { withoutLight } from './light-terms.ts';
import { coarser } from './marks.ts';
import { bestPlaces, patternOf, searchedOf } from './places.ts';
import type { Shown } from './shown.ts';

/**
 * Where on a photo the marks may lie: every size, turn and place is tried on coarse squares, and how well light and marks
 * go together is told by their correlation, the marks freed of what uneven light could be.
 */
export interface Candidate {
  /** Where the marks' corners lie, px: lower left, lower right, upper right, upper left as the job has them. */
  readonly corners: readonly PhotoPoint[];
  readonly correlation: number;
}

/** So many squares stand for the marks. */
const SQUARES = 240;
/** The marks' longer side, as a part of the photo's, at least; and by how much sizes differ that are tried. */
export const LEAST_SIDE = 0.25;
const SIZE_STEP = 1.05;
/** Every quarter turn, and as many degrees off it. */
const TILTS_DEG = [-10, -7.5, -5, -2.5, 0, 2.5, 5, 7.5, 10] as const;
/** Candidates whose corners lie nearer than this part of the marks' longer side are one. */
const SAME = 0.1;
const MOST_CANDIDATES = 40;

/** @param marks light over bare wood, finer than what is searched with; NaN: not looked at. @returns the best first. */
export function searchMarks(marks: Grid, shown: Shown): Candidate[] {
  const wide = marks.nx * marks.ny;
  const coarse = coarser(marks, Math.max(1, Math.round(Math.sqrt(wide / SQUARES))));
  const logs = coarse.data.map((light) => Math.log(Math.max(0.01, light)));
  const pattern = patternOf(coarse, withoutLight(coarse, logs));
  const longCells = Math.max(coarse.nx, coarse.ny);
  const longPx = Math.max(shown.width, shown.height);
  const found: Candidate[] = [];
  for (let side = longPx; side >= LEAST_SIDE * longPx; side /= SIZE_STEP) {
    const sidePx = side / longCells;
    const image = searchedOf(shown.squares(sidePx));
    for (let quarter = 0; quarter < 4; quarter++) {
      for (const tilt of TILTS_DEG) {
        const angle = ((quarter * 90 + tilt) * Math.PI) / 180;
        for (const { x, y, correlation } of bestPlaces(pattern, angle, image)) {
          found.push({ corners: cornersAt(coarse, angle, x, y, sidePx), correlation });
        }
      }
    }
  }
  found.sort((a, b) => b.correlation - a.correlation);
  const kept: Candidate[] = [];
  for (const each of found) {
    if (kept.length >= MOST_CANDIDATES) break;
    if (!kept.some((other) => isSame(each.corners, other.corners))) kept.push(each);
  }
  return kept.flatMap(({ corners, correlation }) => {
    const map = mapToCorners(coarse, corners);
    return map ? [{ corners: cornersIn(marks, map), correlation }] : [];
  });
}

/** The longer side of a frame whose corners these are, px. */
export const sideOf = (corners: readonly PhotoPoint[]): number =>
  Math.max(
    Math.hypot(corners[1]![0] - corners[0]![0], corners[1]![1] - corners[0]![1]),
    Math.hypot(corners[3]![0] - corners[0]![0], corners[3]![1] - corners[0]![1]),
  );

/** Whether two ways of lying are one but for what refining makes good. @param part of the longer side. */
export function isSame(a: readonly PhotoPoint[], b: readonly PhotoPoint[], part = SAME): boolean {
  const side = sideOf(a);
  return a.every(([x, y], k) => Math.hypot(x - b[k]![0], y - b[k]![1]) < part * side);
}

/** Where the corners of a frame lie, px, in the order of {@link Candidate}. */
export function cornersIn(frame: GridFrame, map: Homography): PhotoPoint[] {
  return cornersOfFrame(frame).map((corner) => mapped(map, corner));
}

const cornersOfFrame = ({ nx, ny, x0Mm, y0Mm, cellMm }: GridFrame): [xMm: number, yMm: number][] => {
  const [right, top] = [x0Mm + nx * cellMm, y0Mm + ny * cellMm];
  return [
    [x0Mm, y0Mm],
    [right, y0Mm],
    [right, top],
    [x0Mm, top],
  ];
};

/** The map from the marks' millimetres to the photo that puts its corners there. */
export const mapToCorners = (frame: GridFrame, corners: readonly PhotoPoint[]): Homography | null =>
  homographyOf(cornersOfFrame(frame), corners);

function cornersAt({ nx, ny }: Grid, angle: number, x: number, y: number, sidePx: number): PhotoPoint[] {
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return [
    [-nx / 2, -ny / 2],
    [nx / 2, -ny / 2],
    [nx / 2, ny / 2],
    [-nx / 2, ny / 2],
  ].map(
    ([u, v]): PhotoPoint => [
      (x + 0.5 + u! * cos - v! * sin) * sidePx,
      (y + 0.5 - (u! * sin + v! * cos)) * sidePx,
    ],
  );
}
