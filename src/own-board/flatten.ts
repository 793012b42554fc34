import { InputError } from '../errors.ts';
import { type Bounds, middleOf } from '../grid.ts';
import { greatestOf } from '../lists.ts';
import { type Homography, homographyOf, inverted, mapped } from '../photo/homography.ts';
import { LINEAR, type Photo } from '../photo/photo.ts';
import type { Polygon } from '../polygon.ts';
import type { KnownPoints } from './points.ts';
import { raised, risesOf } from './rise.ts';

/** A photo of the bed whose plane is known. */
export interface FlatPhoto {
  readonly photo: Photo;
  /** From places at a height above the bed, mm, to pixels. */
  at(heightMm: number): Homography;
  /** How far places at that height may lie from where {@link at} has them, mm: as far as any camera that fits would. */
  doubtMm(heightMm: number, placesMm: Polygon): number;
}

/**
 * Makes a photo flat by four points of known place on the bed.
 *
 * What lies higher than they do, as the upper side of a board does, is seen elsewhere. How far follows from where the
 * camera stood, which the map itself tells for square pixels and a lens without distortion whose axis meets the middle
 * of the photo (Z. Zhang, *A flexible new technique for camera calibration*, 2000, §3.1; reference from memory).
 * @throws {InputError} that says what is missing.
 */
export function flattened(photo: Photo, points: KnownPoints): FlatPhoto {
  refusePoints(photo, points);
  const map = homographyOf(points.onBedMm, points.onPhoto);
  if (map === null || !isOneView(map, points)) throw onOneLine();
  const { rise, others } = risesOf(map, photo, points);
  const at = (heightMm: number): Homography => raised(map, rise, heightMm);
  return {
    photo,
    at,
    doubtMm(heightMm, placesMm) {
      const there = at(heightMm);
      const seen = placesMm.map((place) => mapped(there, place));
      return greatestOf(
        others.flatMap((other) => {
          const back = inverted(raised(map, other, heightMm));
          return placesMm.map(([x, y], k) => {
            const [u, v] = mapped(back, seen[k]!);
            return Math.hypot(u - x, v - y);
          });
        }),
      );
    },
  };
}

const onOneLine = () =>
  new InputError(
    'found points of which three lie on one line, or that are not in the same order on the photo and on the bed; expected four corners of an area, each beside its own place',
  );

/** Points nearer to each other than this share of the photo's longer side tell too little of its slant. */
const LEAST_SPREAD = 0.05;

function refusePoints({ width, height }: Photo, { onPhoto, onBedMm }: KnownPoints): void {
  const beside = onPhoto.find(([x, y]) => x < 0 || y < 0 || x > width || y > height);
  if (beside)
    throw new InputError(
      `found the point ${beside.join(',')} beside a photo of ${width} × ${height} pixels; expected points on it, in pixels from its upper left corner`,
    );
  for (const [points, least] of [
    [onPhoto, LEAST_SPREAD * Math.max(width, height)],
    [onBedMm, 1],
  ] as const) {
    const isNear = points.some(([x, y], k) =>
      points.slice(0, k).some(([u, v]) => Math.hypot(x - u, y - v) < least),
    );
    if (isNear)
      throw new InputError(
        'found two points of known place that nearly coincide; expected four that lie well apart, on all sides of the board or of a sheet of paper',
      );
  }
  if (turn(onPhoto) * turn(onBedMm) > 0)
    throw new InputError(
      'found points that run round one way on the photo and the other way on the bed, as in a mirror; expected y to grow to the back of the bed, away from its front',
    );
}

/** Twice the area within the points, by sign which way they run round. */
function turn(points: readonly (readonly [number, number])[]): number {
  return points.reduce((sum, [x, y], k) => {
    const [u, v] = points[(k + 1) % points.length]!;
    return sum + x * v - u * y;
  }, 0);
}

/** Whether all points lie on one side of the horizon, and no three on a line. */
function isOneView(map: Homography, { onBedMm, onPhoto }: KnownPoints): boolean {
  const sides = onBedMm.map(([x, y]) => map[6] * x + map[7] * y + map[8]);
  const isSound = [onBedMm, onPhoto].every((four) =>
    four.every(([x, y], k) => {
      const [[u, v], [s, t]] = [four[(k + 1) % 4]!, four[(k + 2) % 4]!];
      const area = (u - x) * (t - y) - (s - x) * (v - y);
      return Math.abs(area) > 0.01 * Math.hypot(u - x, v - y) * Math.hypot(s - x, t - y);
    }),
  );
  return isSound && sides.every((w) => w * sides[0]! > 0);
}

/** Colours seen from straight above: linear R, G, B a pixel, row 0 at the front. NaN where the photo does not reach. */
export interface Plan {
  readonly x0Mm: number;
  readonly y0Mm: number;
  readonly stepMm: number;
  readonly nx: number;
  readonly ny: number;
  readonly light: Float32Array;
}

/**
 * The photo as seen from straight above, at the height the map is for; each pixel is the mean of up to nine looks.
 * @param mostPixels the step is made coarser rather than pass this many.
 */
export function planOver(photo: Photo, map: Homography, area: Bounds, mostPixels: number): Plan {
  const [wide, high] = [area.maxXMm - area.minXMm, area.maxYMm - area.minYMm];
  const back = inverted(map);
  const here = middleOf(area);
  const onePxMm = pixelMm(map, back, here);
  const stepMm = Math.max(Math.sqrt((wide * high) / mostPixels), onePxMm);
  const nx = Math.max(1, Math.round(wide / stepMm));
  const ny = Math.max(1, Math.round(high / stepMm));
  const light = new Float32Array(3 * nx * ny).fill(Number.NaN);
  const looks = Math.min(3, Math.max(1, Math.round(stepMm / onePxMm)));
  // Where in a pixel it is looked at, x and y.
  const offsets = Float64Array.from(
    { length: 2 * looks * looks },
    (_, k) => ((k % 2 === 0 ? (k >> 1) % looks : Math.floor((k >> 1) / looks)) + 0.5) / looks,
  );
  const side = Math.sign(map[6] * here[0] + map[7] * here[1] + map[8]);
  const { width, height, data } = photo;
  for (let j = 0, to = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, to += 3) {
      let r = 0;
      let g = 0;
      let b = 0;
      let seen = 0;
      for (let look = 0; look < offsets.length; look += 2) {
        const x = area.minXMm + (i + offsets[look]!) * stepMm;
        const y = area.minYMm + (j + offsets[look + 1]!) * stepMm;
        const w = map[6] * x + map[7] * y + map[8];
        if (w * side <= 0) continue;
        const u = Math.floor((map[0] * x + map[1] * y + map[2]) / w);
        const v = Math.floor((map[3] * x + map[4] * y + map[5]) / w);
        if (u < 0 || v < 0 || u >= width || v >= height) continue;
        const from = 4 * (v * width + u);
        r += LINEAR[data[from]!]!;
        g += LINEAR[data[from + 1]!]!;
        b += LINEAR[data[from + 2]!]!;
        seen++;
      }
      if (seen === 0) continue;
      light[to] = r / seen;
      light[to + 1] = g / seen;
      light[to + 2] = b / seen;
    }
  }
  return { x0Mm: area.minXMm, y0Mm: area.minYMm, stepMm, nx, ny, light };
}

/** How wide a pixel is on the bed at a place, mm. */
function pixelMm(map: Homography, back: Homography, here: [number, number]): number {
  const [u, v] = mapped(map, here);
  const [x, y] = mapped(back, [u + 1, v]);
  const [s, t] = mapped(back, [u, v + 1]);
  return Math.max(0.02, Math.hypot(x - here[0], y - here[1], s - here[0], t - here[1]) / Math.SQRT2);
}
