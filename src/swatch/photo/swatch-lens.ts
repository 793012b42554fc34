import { greatestOf } from '../../lists.ts';
import { fitView, isLensTold, type SeenPlace } from '../../photo/fit-lens.ts';
import { type Homography, mapped, scaleAt } from '../../photo/homography.ts';
import { type CameraView, seenAt, straightLens } from '../../photo/lens.ts';
import { luminanceAt, type Photo } from '../../photo/photo.ts';
import type { Swatch } from '../swatch.ts';

/**
 * What a photo of a swatch tells of its lens: the middles of its patches lie between the marks, on both axes, and straight
 * lines through them are straight on the board.
 */
export type SwatchLens =
  | { readonly kind: 'bent'; readonly view: CameraView }
  /** The patches lie where a lens that bends nothing shows them. */
  | { readonly kind: 'straight' }
  /** Too few of them stand out from the wood. */
  | { readonly kind: 'untold' };

/** Fewer patches than this tell no lens; four marks take up the slant. */
const LEAST_PLACES = 12;
const ROUNDS = 3;
/** A lens that moves nothing by more than this, mm, changes nothing that is read. */
const LEAST_BEND_MM = 0.1;
/** Free wood around a patch that is looked at with it, mm: less than lies between two of them. */
const AROUND_MM = 0.8;
/** Places looked at along the longer side of a window. */
const ACROSS = 36;
/** A patch takes at least this part of the wood's light where its middle is to be told. */
const LEAST_DARKNESS = 0.2;
/** Grain and noise are lighter than this part of the way to a patch's darkness. */
const GRAIN = 0.4;

/** @param map where the marks are, or were said to be. */
export function swatchLens(photo: Photo, map: Homography, swatch: Swatch): SwatchLens {
  const marks = swatch.marks.at_mm.map((atMm): SeenPlace => ({ atMm, atPx: mapped(map, atMm) }));
  let view: CameraView = { map, lens: straightLens(photo) };
  for (let round = 0; round < ROUNDS; round++) {
    const patches = middlesOfPatches(photo, view, swatch);
    if (patches.length < LEAST_PLACES) return { kind: 'untold' };
    const places = [...marks, ...patches];
    const straight = fitView(places, { map, lens: straightLens(photo) }, false);
    const bent = fitView(places, view, true);
    if (!straight || !bent) return { kind: 'untold' };
    if (!isLensTold(straight, bent)) return { kind: 'straight' };
    const most = greatestOf(places.map(({ atMm }) => apart(straight.view, bent.view, atMm)));
    if (most < LEAST_BEND_MM * scaleAt(map, marks[0]!.atMm)) return { kind: 'straight' };
    view = bent.view;
  }
  return { kind: 'bent', view };
}

/** How far two views see a place apart, px. */
function apart(a: CameraView, b: CameraView, atMm: SeenPlace['atMm']): number {
  const [x, y] = seenAt(a, ...atMm);
  const [u, v] = seenAt(b, ...atMm);
  return Math.hypot(x - u, y - v);
}

/** Where the photo shows the middles of the patches that stand out. */
function middlesOfPatches(photo: Photo, view: CameraView, { patches }: Swatch): SeenPlace[] {
  return patches.flatMap(({ at_mm: [x, y], size_mm: [width, height] }) => {
    const atMm = [x + width / 2, y + height / 2] as const;
    const off = middleOf(photo, view, atMm, [width / 2 + AROUND_MM, height / 2 + AROUND_MM]);
    return off ? [{ atMm, atPx: seenAt(view, atMm[0] + off[0], atMm[1] + off[1]) }] : [];
  });
}

/** How far the middle of what is dark in a window lies from its middle, mm; null where nothing stands out. */
function middleOf(
  photo: Photo,
  view: CameraView,
  [x, y]: readonly [number, number],
  [halfX, halfY]: readonly [number, number],
): [xMm: number, yMm: number] | null {
  const stepMm = (2 * Math.max(halfX, halfY)) / ACROSS;
  const [columns, rows] = [halfX, halfY].map((half) => Math.round(half / stepMm)) as [number, number];
  const lights = new Float64Array((2 * columns + 1) * (2 * rows + 1));
  for (let j = -rows, k = 0; j <= rows; j++) {
    for (let i = -columns; i <= columns; i++, k++) {
      const [u, v] = seenAt(view, x + i * stepMm, y + j * stepMm);
      lights[k] = luminanceAt(photo, u, v);
    }
  }
  const sorted = lights.toSorted();
  const darkest = sorted[Math.floor(sorted.length * 0.1)]!;
  const bare = sorted[Math.floor(sorted.length * 0.9)]!;
  if (!(bare - darkest >= LEAST_DARKNESS * bare)) return null;
  let [sum, sx, sy] = [0, 0, 0];
  for (let j = -rows, k = 0; j <= rows; j++) {
    for (let i = -columns; i <= columns; i++, k++) {
      // No darker place counts more than the patch's own darkness: warm ends of rows shall not pull.
      const weight = Math.min(1, (bare - lights[k]!) / (bare - darkest)) - GRAIN;
      if (weight <= 0) continue;
      sum += weight;
      sx += weight * (i * stepMm);
      sy += weight * (j * stepMm);
    }
  }
  return sum > 0 ? [sx / sum, sy / sum] : null;
}
