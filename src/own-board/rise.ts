import { type Homography, homographyOf } from '../photo/homography.ts';
import type { PhotoPoint } from '../photo/photo.ts';
import type { KnownPoints } from './points.ts';

/** What lies higher than the points a photo was made flat by is seen elsewhere; how far hangs on where the camera stood. */

/** By how much the map's last column grows with each mm of height. */
export type Rise = readonly [number, number, number];

type Size = { readonly width: number; readonly height: number };

/** A telephone’s usual lens sees as if it were 26 mm before 36 mm of film: common practice, no source. */
const USUAL_FOCAL_LENGTH = 0.75;
/** A camera's focal lengths, as shares of the photo's longer side; outside of them the map tells none. */
const SHORTEST = 0.4;
const LONGEST = 4;
/**
 * One between these is that of a lens as telephones have it: the photo is whole, and what the map tells of its camera can be
 * believed. A longer one is that of a part cut out of a photo, whose middle may have lain anywhere, or of another lens
 * (judgements, no source).
 */
const USUAL_FROM = 0.55;
const USUAL_TO = 1;
/** So many pixels off is how well a point is pointed at on a photo (a judgement). */
const POINTED_PX = 1.5;
/** A view that is off by more than so many times what pointing makes of it is none. */
const SURE_TIMES = 3;
/** The middle of the lens may lie so far from the middle of what was cut out, as a share of its sides (judgements). */
const OFF_MIDDLE = 0.25;
const FAR_OFF_MIDDLE = 0.75;
/** Its place is tried so coarsely that the right one may still be off by this. */
const COARSE = 0.02;
/** Focal lengths a photo may have that tells none: from a wide lens to one as far away as a scanner's. */
const ANY_FOCAL_LENGTH = [0.6, USUAL_FOCAL_LENGTH, 1.5, 8];

/** The map for what lies higher by so much. */
export const raised = ([a, b, c, d, e, f, g, h, i]: Homography, rise: Rise, heightMm: number): Homography => [
  a,
  b,
  c + heightMm * rise[0],
  d,
  e,
  f + heightMm * rise[1],
  g,
  h,
  i + heightMm * rise[2],
];

/** The likeliest camera's rise, and those of others that the photo leaves open. */
export function risesOf(
  map: Homography,
  photo: Size,
  points: KnownPoints,
): { readonly rise: Rise; readonly others: readonly Rise[] } {
  const long = Math.max(photo.width, photo.height);
  const middle = [photo.width / 2, photo.height / 2] as const;
  const isTold = ({ focalPx }: View): boolean => focalPx > SHORTEST * long && focalPx < LONGEST * long;
  const told = viewOf(map, middle);
  const likely = isTold(told) ? told.focalPx : USUAL_FOCAL_LENGTH * long;
  const rise = riseOf(map, middle, likely);
  const shaken = shakenMaps(points).map((each) => viewOf(each, middle));
  // What the views differ by tells how far pointing can turn them.
  const most = SURE_TIMES * Math.sqrt(shaken.reduce((sum, each) => sum + apart(each, told) ** 2, 0) / 2);
  const isUsual = told.focalPx >= USUAL_FROM * long && told.focalPx <= USUAL_TO * long;
  const isSlanting = isTold(told) && shaken.every(isTold);
  if (isUsual && isSlanting && misfit(told) <= most)
    return { rise, others: shaken.map(({ focalPx }) => riseOf(map, middle, focalPx)) };
  const cutOut = middlesOf(photo, FAR_OFF_MIDDLE, 0.25).flatMap((at) => {
    const view = viewOf(map, at);
    return isTold(view) && misfit(view) <= Math.max(most, COARSE) ? [riseOf(map, at, view.focalPx)] : [];
  });
  const anyFocal = middlesOf(photo, OFF_MIDDLE, OFF_MIDDLE).flatMap((at) =>
    ANY_FOCAL_LENGTH.map((each) => riseOf(map, at, each * long)),
  );
  return { rise, others: [rise, ...cutOut, ...(isSlanting ? [] : anyFocal)] };
}

/** Places where the middle of the lens may lie, up to `most` of the photo's sides off its own. */
const middlesOf = ({ width, height }: Size, most: number, step: number): [number, number][] => {
  const off = Array.from({ length: 2 * Math.round(most / step) + 1 }, (_, k) => 0.5 - most + k * step);
  return off.flatMap((x) => off.map((y): [number, number] => [width * x, height * y]));
};

/** The maps with one point after the other pointed at a little beside. */
function shakenMaps({ onPhoto, onBedMm }: KnownPoints): Homography[] {
  return onPhoto.flatMap((_, k) =>
    [
      [POINTED_PX, 0],
      [-POINTED_PX, 0],
      [0, POINTED_PX],
      [0, -POINTED_PX],
    ].flatMap(([dx, dy]) => {
      const beside = onPhoto.map(([x, y], n): PhotoPoint => (n === k ? [x + dx!, y + dy!] : [x, y]));
      const map = homographyOf(onBedMm, beside);
      return map ? [map] : [];
    }),
  );
}

/** The columns of the map seen from the middle of the lens. */
function columnsFrom([a, b, , d, e, , g, h]: Homography, [cx, cy]: readonly [number, number]) {
  return { one: [a - cx * g, d - cy * g, g] as const, two: [b - cx * h, e - cy * h, h] as const };
}

/** A camera that sees the bed as the map has it. */
interface View {
  /** Pixels; NaN where the map tells none: seen nearly from straight above any lens would do. */
  readonly focalPx: number;
  /** How far the bed's two axes are from square to each other, and from equally long, as that camera has them. */
  readonly skew: number;
  readonly stretch: number;
}

/**
 * The view of a lens whose middle is known, with square pixels: u/f² + v = 0 of both equations, that the axes are square to
 * each other and equally long. What is left of the two tells whether the lens had its middle there.
 */
function viewOf(map: Homography, middle: readonly [number, number]): View {
  const { one, two } = columnsFrom(map, middle);
  const u1 = one[0] * two[0] + one[1] * two[1];
  const v1 = one[2] * two[2];
  const u2 = one[0] ** 2 + one[1] ** 2 - two[0] ** 2 - two[1] ** 2;
  const v2 = one[2] ** 2 - two[2] ** 2;
  const inverse = -(u1 * v1 + u2 * v2) / Math.max(1e-30, u1 * u1 + u2 * u2);
  const focalPx = inverse > 0 ? 1 / Math.sqrt(inverse) : Number.NaN;
  const long1 = lengthOf(seenThrough(one, focalPx));
  const long2 = lengthOf(seenThrough(two, focalPx));
  return {
    focalPx,
    skew: (u1 / focalPx ** 2 + v1) / (long1 * long2),
    stretch: Math.log(long1 / long2),
  };
}

type Direction = readonly [x: number, y: number, z: number];

/** A column of the map as the camera has it: pixels as parts of the focal length. */
const seenThrough = ([x, y, w]: Direction, focalPx: number): Direction => [x / focalPx, y / focalPx, w];

const lengthOf = ([x, y, z]: Direction): number => Math.hypot(x, y, z);

const misfit = ({ skew, stretch }: View): number => Math.hypot(skew, stretch);

const apart = (a: View, b: View): number => Math.hypot(a.skew - b.skew, a.stretch - b.stretch);

function riseOf(map: Homography, middle: readonly [number, number], focalPx: number): Rise {
  const { one, two } = columnsFrom(map, middle);
  const r1 = seenThrough(one, focalPx);
  const r2 = seenThrough(two, focalPx);
  const scale = Math.sqrt(lengthOf(r1) * lengthOf(r2));
  const up = [
    (r1[1] * r2[2] - r1[2] * r2[1]) / scale,
    (r1[2] * r2[0] - r1[0] * r2[2]) / scale,
    (r1[0] * r2[1] - r1[1] * r2[0]) / scale,
  ] as const;
  const [cx, cy] = middle;
  return [focalPx * up[0] + cx * up[2], focalPx * up[1] + cy * up[2], up[2]];
}
