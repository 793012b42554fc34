import { median } from 'd3-array';
import { InputError } from '../../errors.ts';
import { greatestOf, leastOf } from '../../lists.ts';
import { type Homography, homographyOf, mapped, scaleAt, scaledBy } from '../../photo/homography.ts';
import {
  type GreyImage,
  luminanceAt,
  type Photo,
  type PhotoPoint,
  smallLuminance,
} from '../../photo/photo.ts';
import { wattsOf } from '../givens.ts';
import { gridPatches, type Swatch } from '../swatch.ts';
import { type Blob, findBlobs } from './blobs.ts';

/**
 * Where the swatch lies on a photo: the map from its millimetres to the photo's pixels, from the four corner
 * marks. Of all sets of four round blobs the one is taken whose patches darken with their dose.
 */

/** The photo is searched at this size. */
const SEARCH_PX = 1400;
/** Blobs that are tried, the roundest; more come from a restless background. */
const MOST_BLOBS = 18;
/** The largest mark's area over the smallest's: what a slanting view does to them. */
const MOST_UNLIKE = 6;
/** The ring's middle is at least this light, and by so much lighter than the discs'. */
const LEAST_MIDDLE = 0.2;
const LEAST_LEAD = 0.12;
/** Rank correlation of dose and darkness over the patches that a found swatch must have. */
const LEAST_AGREEMENT = 0.7;

/** @throws {InputError} when the marks are not found, or the photo is a mirror image. */
export function findSwatch(photo: Photo, swatch: Swatch): Homography {
  const image = smallLuminance(photo, SEARCH_PX);
  const blobs = findBlobs(image);
  const likely = blobs.toSorted((a, b) => a.corner - b.corner).slice(0, MOST_BLOBS);
  const marks = swatch.marks.at_mm;
  let best: { map: Homography; agreement: number; mirrored: boolean } | null = null;
  for (const four of foursOf(likely)) {
    const ordered = fromTheRing(four);
    if (!ordered) continue;
    const points = ordered.map(({ xPx, yPx }): PhotoPoint => [xPx, yPx]);
    for (const mirrored of [false, true]) {
      const map = homographyOf(marks, mirrored ? [points[0]!, ...points.slice(1).toReversed()] : points);
      if (!map || !seesAll(map, swatch)) continue;
      const agreement = agreementOf(map, image, swatch);
      if (!best || agreement > best.agreement) best = { map, agreement, mirrored };
    }
  }
  if (!best || best.agreement < LEAST_AGREEMENT) throw notFound(blobs.length, best !== null, swatch);
  if (best.mirrored) {
    throw new InputError(
      'found a mirror image of the swatch (the mark with the hole is on the wrong side); expected the photo as it was taken, not mirrored',
    );
  }
  return refined(scaledBy(best.map, image.factor), photo, swatch);
}

/**
 * The map by hand: the centres of the four marks in pixels, the one with the hole first, then on anticlockwise
 * as the board is seen.
 * @throws {InputError} when the patches found there do not darken with their dose.
 */
export function swatchAt(corners: readonly PhotoPoint[], photo: Photo, swatch: Swatch): Homography {
  const outside = corners.find(([x, y]) => !(x >= 0 && y >= 0 && x <= photo.width && y <= photo.height));
  if (outside) {
    throw new InputError(
      `found a corner at ${outside.join(',')}; expected places on the photo, which has ${photo.width} × ${photo.height} pixels`,
    );
  }
  const map = homographyOf(swatch.marks.at_mm, corners);
  if (!map || !isConvex(corners) || !seesAll(map, swatch)) {
    throw new InputError(
      'found four corners that do not span a board; expected the centres of the four marks, the one with the hole first, then anticlockwise',
    );
  }
  const whole = smallLuminance(photo, SEARCH_PX);
  if (agreementOf(scaledBy(map, 1 / whole.factor), whole, swatch) < LEAST_AGREEMENT) {
    throw new InputError(
      'found patches at the given corners that do not darken with their dose; expected the centres of the four marks, ' +
        'the one with the hole first, then anticlockwise',
    );
  }
  return map;
}

function notFound(blobs: number, some: boolean, swatch: Swatch): InputError {
  if (some) {
    return new InputError(
      `found four round marks, but no patches between them that darken as the ${gridPatches(swatch).length} of the key do; ` +
        'expected the swatch that was written with this key, whole, sharp, evenly lit; or give the marks’ centres with --corners',
    );
  }
  const found = blobs === 0 ? 'none' : blobs < 4 ? `only ${blobs}` : 'no fitting set';
  return new InputError(
    `found ${found} of the four corner marks; expected the whole swatch on the photo, sharp, evenly lit, filling at least a third of it; ` +
      'or give the marks’ centres with --corners',
  );
}

/** All sets of four blobs of like size. */
function* foursOf(blobs: readonly Blob[]): Generator<Blob[]> {
  const n = blobs.length;
  for (let a = 0; a < n; a++) {
    for (let b = a + 1; b < n; b++) {
      for (let c = b + 1; c < n; c++) {
        for (let d = c + 1; d < n; d++) {
          const four = [blobs[a]!, blobs[b]!, blobs[c]!, blobs[d]!];
          const sizes = four.map((blob) => blob.radiusPx ** 2);
          if (greatestOf(sizes) / leastOf(sizes) <= MOST_UNLIKE) yield four;
        }
      }
    }
  }
}

/** The four anticlockwise as seen, beginning with the one that has the hole; null when that is not one of them. */
function fromTheRing(four: readonly Blob[]): Blob[] | null {
  const byMiddle = four.toSorted((a, b) => b.middle - a.middle);
  const ring = byMiddle[0]!;
  if (ring.middle < LEAST_MIDDLE || ring.middle - byMiddle[1]!.middle < LEAST_LEAD) return null;
  const x = four.reduce((sum, blob) => sum + blob.xPx, 0) / 4;
  const y = four.reduce((sum, blob) => sum + blob.yPx, 0) / 4;
  // y points down on a photo: a growing angle is anticlockwise once y is turned round.
  const turned = four.toSorted((a, b) => Math.atan2(y - a.yPx, a.xPx - x) - Math.atan2(y - b.yPx, b.xPx - x));
  if (!isConvex(turned.map((blob) => [blob.xPx, blob.yPx]))) return null;
  const first = turned.indexOf(ring);
  return [...turned.slice(first), ...turned.slice(0, first)];
}

function isConvex(points: readonly PhotoPoint[]): boolean {
  const turns = points.map((point, k) => {
    const next = points[(k + 1) % 4]!;
    const after = points[(k + 2) % 4]!;
    return Math.sign(
      (next[0] - point[0]) * (after[1] - next[1]) - (next[1] - point[1]) * (after[0] - next[0]),
    );
  });
  return turns.every((turn) => turn !== 0 && turn === turns[0]);
}

/** Whether the map keeps the whole swatch in front of the camera: its denominator has one sign. */
function seesAll(map: Homography, { area }: Swatch): boolean {
  const [x, y] = area.at_mm;
  const [width, height] = area.size_mm;
  const signs = [
    [x, y],
    [x + width, y],
    [x, y + height],
    [x + width, y + height],
  ].map((corner) => map[6] * corner[0]! + map[7] * corner[1]! + map[8] > 1e-6);
  return signs.every(Boolean);
}

/** Spearman's rank correlation between the doses of the patches and how dark they are against the gaps beside them. */
function agreementOf(map: Homography, image: GreyImage, swatch: Swatch): number {
  const { machine, row_spacing_mm } = swatch;
  const light = ([x, y]: readonly [number, number]): number => {
    const [column, row] = mapped(map, [x, y]).map(Math.floor) as [number, number];
    if (!(column >= 0 && row >= 0 && column < image.width && row < image.height)) return Number.NaN;
    return image.values[row * image.width + column]!;
  };
  const doses: number[] = [];
  const darkness: number[] = [];
  for (const { at_mm, size_mm, s, speed_mm_s } of gridPatches(swatch)) {
    const [x, y] = at_mm;
    const [width, height] = size_mm;
    const inner = [0.3, 0.5, 0.7].map((part) => light([x + part * width, y + 0.5 * height]));
    const beside = [light([x - 1, y + 0.5 * height]), light([x + width + 1, y + 0.5 * height])];
    const ratio = inner.reduce((a, b) => a + b) / 3 / ((beside[0]! + beside[1]!) / 2);
    if (!Number.isFinite(ratio)) return -1;
    doses.push(wattsOf(s, machine) / (speed_mm_s * row_spacing_mm));
    darkness.push(-ratio);
  }
  return rankCorrelation(doses, darkness);
}

/** Spearman's ρ; ties keep their order, which is enough here. */
function rankCorrelation(a: readonly number[], b: readonly number[]): number {
  const ranks = (values: readonly number[]): number[] => {
    const order = values.map((_, k) => k).sort((i, j) => values[i]! - values[j]!);
    const rank = new Array<number>(values.length);
    for (const [place, k] of order.entries()) rank[k] = place;
    return rank;
  };
  const ra = ranks(a);
  const rb = ranks(b);
  const n = a.length;
  const apart = ra.reduce((sum, rank, k) => sum + (rank - rb[k]!) ** 2, 0);
  return 1 - (6 * apart) / (n * (n * n - 1));
}

const REFINEMENTS = 3;
/** How far from a mark's middle its darkness is gathered, in radii: clear of everything else that is burned. */
const GATHER_RADII = 1.4;
const GATHER_STEPS = 28;

/** The map with each mark's centre put where the middle of its darkness is, at the photo's full resolution. */
function refined(start: Homography, photo: Photo, swatch: Swatch): Homography {
  let map = start;
  const { at_mm, radius_mm } = swatch.marks;
  for (let round = 0; round < REFINEMENTS; round++) {
    const points = at_mm.map((mark) => mapped(map, middleOfDarkness(map, photo, mark, radius_mm)));
    map = homographyOf(at_mm, points) ?? map;
  }
  return map;
}

function middleOfDarkness(
  map: Homography,
  photo: Photo,
  [x, y]: readonly [number, number],
  radiusMm: number,
): [number, number] {
  const reach = GATHER_RADII * radiusMm;
  const most = (2 * GATHER_STEPS + 1) ** 2;
  const [dxs, dys, lights] = [new Float64Array(most), new Float64Array(most), new Float64Array(most)];
  let count = 0;
  for (let j = -GATHER_STEPS; j <= GATHER_STEPS; j++) {
    for (let i = -GATHER_STEPS; i <= GATHER_STEPS; i++) {
      const dx = (i / GATHER_STEPS) * reach;
      const dy = (j / GATHER_STEPS) * reach;
      if (Math.hypot(dx, dy) > reach) continue;
      const [u, v] = mapped(map, [x + dx, y + dy]);
      dxs[count] = dx;
      dys[count] = dy;
      lights[count++] = luminanceAt(photo, u, v);
    }
  }
  const sorted = lights.slice(0, count).sort();
  const [darkest, bare] = [sorted[Math.floor(count * 0.1)]!, sorted[Math.floor(count * 0.9)]!];
  let sum = 0;
  let sx = 0;
  let sy = 0;
  for (let k = 0; k < count; k++) {
    // Grain is lighter than half way to the mark's own darkness: it shall not pull.
    const weight = Math.max(0, (bare - lights[k]!) / (bare - darkest) - 0.4);
    if (!Number.isFinite(weight)) continue;
    sum += weight;
    sx += weight * dxs[k]!;
    sy += weight * dys[k]!;
  }
  return sum > 0 ? [x + sx / sum, y + sy / sum] : [x, y];
}

/**
 * How wide the photo blurs the rim of the marks: the distance, mm, over which it goes from 10 to 90 % of the way
 * from bare to burned, as the median of the four; null where the marks have no rim to be seen.
 */
export function edgeWidthMm(map: Homography, photo: Photo, swatch: Swatch): number | null {
  const { at_mm, radius_mm } = swatch.marks;
  const widths = at_mm.map((mark) => rimWidth(map, photo, mark, radius_mm)).filter((width) => width !== null);
  return widths.length < 2 ? null : median(widths)!;
}

const SPOKES = 72;

/** The light of a mark from its inside outwards, mean over the spokes whose angles are asked for; in steps. */
interface RimProfile {
  readonly fromMm: number;
  readonly stepMm: number;
  /** Where the light reaches this part of the way from the mark's own to the bare wood's, in steps from the first. */
  readonly crossing: (part: number) => number;
}

/** null where there is no rim to be seen. */
function rimProfile(
  map: Homography,
  photo: Photo,
  [x, y]: readonly [number, number],
  radiusMm: number,
  angles: readonly number[],
): RimProfile | null {
  const stepMm = Math.max(0.02, 0.4 / scaleAt(map, [x, y]));
  const fromMm = 0.6 * radiusMm;
  const count = Math.ceil((1.5 * radiusMm - fromMm) / stepMm);
  const profile = Array.from({ length: count }, (_, k) => {
    const r = fromMm + k * stepMm;
    const lights = angles.map((angle) =>
      luminanceAt(photo, ...mapped(map, [x + r * Math.cos(angle), y + r * Math.sin(angle)])),
    );
    return lights.reduce((sum, light) => sum + light, 0) / angles.length;
  });
  const dark = leastOf(profile);
  const bare = greatestOf(profile);
  if (!(bare > 1.5 * dark)) return null;
  const crossing = (part: number): number => {
    const level = dark + part * (bare - dark);
    const k = profile.findIndex((light) => light >= level);
    if (k <= 0) return 0;
    return k - 1 + (level - profile[k - 1]!) / (profile[k]! - profile[k - 1]!);
  };
  return { fromMm, stepMm, crossing };
}

const allAngles = Array.from({ length: SPOKES }, (_, spoke) => (2 * Math.PI * spoke) / SPOKES);

function rimWidth(
  map: Homography,
  photo: Photo,
  mark: readonly [number, number],
  radiusMm: number,
): number | null {
  const rim = rimProfile(map, photo, mark, radiusMm, allAngles);
  return rim && (rim.crossing(0.9) - rim.crossing(0.1)) * rim.stepMm;
}

/**
 * How large the marks are on the photo, along x and along y, mm as the key measures: half the way from dark to
 * bare, as the median of the four; null where they have no rim to be seen.
 */
export function markDiametersMm(map: Homography, photo: Photo, { marks }: Swatch): [number, number] | null {
  const along = (axis: (angle: number) => number) => {
    const angles = allAngles.filter((angle) => Math.abs(axis(angle)) > Math.cos(Math.PI / 8));
    const radii = marks.at_mm
      .map((mark) => rimProfile(map, photo, mark, marks.radius_mm, angles))
      .filter((rim) => rim !== null)
      .map(({ fromMm, stepMm, crossing }) => fromMm + crossing(0.5) * stepMm);
    return radii.length < 2 ? null : 2 * median(radii)!;
  };
  const [x, y] = [along(Math.cos), along(Math.sin)];
  return x === null || y === null ? null : [x, y];
}
