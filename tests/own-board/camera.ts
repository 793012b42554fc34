import { holdsPoint } from '../../src/grid.ts';
import { codedOf, type Photo } from '../../src/photo/photo.ts';
import { depthInside, type Polygon } from '../../src/polygon.ts';
import { isInside } from '../support/inside.ts';
import { throughJpeg } from '../support/jpeg.ts';
import { seeded } from '../support/random.ts';

/** A pinhole camera made of arithmetic that photographs a board with sides on a bed: rays, not the code under test. */
export interface Shot {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Of the lens, as a share of the photo's longer side. */
  readonly focal: number;
  /** Where the camera stands, what it looks at, mm; z up. */
  readonly from: readonly [number, number, number];
  readonly at: readonly [number, number, number];
  readonly thicknessMm: number;
  readonly board: Polygon;
  readonly noise: number;
  readonly quality: number;
  readonly seed: number;
  /** How light the bed is, 0 … 1. */
  readonly bed?: number;
}

type Vector = readonly [number, number, number];
const minus = (a: Vector, b: Vector): Vector => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const cross = (a: Vector, b: Vector): Vector => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
const unit = (a: Vector): Vector => {
  const length = Math.hypot(...a);
  return [a[0] / length, a[1] / length, a[2] / length];
};
const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

function axesOf({ from, at }: Shot) {
  const forward = unit(minus(at, from));
  const right = unit(cross(forward, [0, 1, 0.001]));
  return { forward, right, down: cross(forward, right) };
}

/** Where a place is seen, in pixels. */
export function seenAt(shot: Shot, place: Vector): [number, number] {
  const { forward, right, down } = axesOf(shot);
  const away = minus(place, shot.from);
  const focalPx = shot.focal * Math.max(shot.widthPx, shot.heightPx);
  const depth = dot(away, forward);
  return [
    shot.widthPx / 2 + (focalPx * dot(away, right)) / depth,
    shot.heightPx / 2 + (focalPx * dot(away, down)) / depth,
  ];
}

/** Linear light, in the place of three numbers of its own for each of millions of looks. */
type Light = Float64Array;

/** The linear light of wood: grain along x, clouds, a knot. */
function setWood(light: Light, x: number, y: number, lamp: number): void {
  const grain = 0.06 * Math.sin(2.1 * y + 0.8 * Math.sin(0.05 * x)) + 0.04 * Math.sin(7.3 * y + 0.02 * x);
  const knot = Math.exp(-((x - 60) ** 2 + (y - 45) ** 2) / 18);
  const lit = lamp * (1 + grain + 0.05 * Math.sin(0.03 * x + 0.05 * y));
  light[0] = 0.6 * lit * (1 - 0.7 * knot);
  light[1] = 0.43 * lit * (1 - 0.8 * knot);
  light[2] = 0.25 * lit * (1 - 0.85 * knot);
}

/** A bed of slats. */
function setBed(light: Light, x: number, y: number, lamp: number): void {
  const slats = (x + y * 0.1) / 12;
  const lit = lamp * (Math.abs(slats - Math.trunc(slats) - 0.5) < 0.1 ? 1.8 : 1);
  light[0] = lit;
  light[1] = lit;
  light[2] = 1.05 * lit;
}

/** The sides are looked at in so many steps. */
const STEPS = 4;
/** How much of a lamp's light falls on them. */
const SIDE_LIGHT = 0.35;

/** Noise for millions of pixels, one standard deviation: 2¹⁶ grains, taken in an order of their own. */
const grainsFrom = (random: () => number): Float32Array =>
  Float32Array.from({ length: 1 << 16 }, () => (random() + random() + random() - 1.5) * 2);

export function photographed(shot: Shot): Photo {
  const { widthPx, heightPx, board, thicknessMm, from } = shot;
  const { forward, right, down } = axesOf(shot);
  const focalPx = shot.focal * Math.max(widthPx, heightPx);
  const grains = grainsFrom(seeded(shot.seed));
  let state = shot.seed;
  const around = {
    minXMm: Math.min(...board.map(([x]) => x)),
    minYMm: Math.min(...board.map(([, y]) => y)),
    maxXMm: Math.max(...board.map(([x]) => x)),
    maxYMm: Math.max(...board.map(([, y]) => y)),
  };
  const data = new Uint8Array(4 * widthPx * heightPx);
  const look = (light: Light, u: number, v: number): void => {
    const a = (u - widthPx / 2) / focalPx;
    const b = (v - heightPx / 2) / focalPx;
    const rayX = forward[0] + a * right[0] + b * down[0];
    const rayY = forward[1] + a * right[1] + b * down[1];
    const rayZ = forward[2] + a * right[2] + b * down[2];
    const lamp = 1 + 0.15 * ((u - widthPx / 2) / widthPx);
    // The upper side, then the sides from above down to the bed; most rays pass the board by.
    const [leanX, leanY] = [rayX / rayZ, rayY / rayZ];
    const bedX = from[0] - from[2] * leanX;
    const bedY = from[1] - from[2] * leanY;
    const passesBy =
      Math.max(bedX, bedX + thicknessMm * leanX) < around.minXMm ||
      Math.min(bedX, bedX + thicknessMm * leanX) > around.maxXMm ||
      Math.max(bedY, bedY + thicknessMm * leanY) < around.minYMm ||
      Math.min(bedY, bedY + thicknessMm * leanY) > around.maxYMm;
    for (let k = passesBy ? STEPS : 0; k <= STEPS; k++) {
      const t = (thicknessMm * (1 - k / STEPS) - from[2]) / rayZ;
      const x = from[0] + t * rayX;
      const y = from[1] + t * rayY;
      if (k === STEPS) setBed(light, x, y, lamp * (shot.bed ?? 0.08));
      else if (holdsPoint(around, x, y) && isInside(board, x, y)) {
        setWood(light, x, y, k === 0 ? lamp : SIDE_LIGHT * lamp);
        return;
      }
    }
  };
  const [upper, lower] = [new Float64Array(3), new Float64Array(3)];
  for (let v = 0, to = 0; v < heightPx; v++) {
    for (let u = 0; u < widthPx; u++, to += 4) {
      look(upper, u + 0.25, v + 0.3);
      look(lower, u + 0.75, v + 0.7);
      for (let c = 0; c < 3; c++) {
        const light = upper[c]! / 2 + lower[c]! / 2;
        state = (Math.imul(state, 1664525) + 1013904223) | 0; // a linear congruential step: its high bits are good
        const grain = shot.noise * grains[state >>> 16]!;
        data[to + c] = Math.min(255, Math.max(0, Math.round(coded(light) + 255 * grain)));
      }
      data[to + 3] = 255;
    }
  }
  return throughJpeg({ width: widthPx, height: heightPx, data }, shot.quality);
}

/** The sRGB curve by straight lines between 65,536 places, within 2e-5: it is asked for millions of times. */
const CODED_STEPS = 65_536;
const CODED = Float64Array.from({ length: CODED_STEPS + 2 }, (_, k) => codedOf(k / CODED_STEPS));
function coded(light: number): number {
  const at = Math.min(1, Math.max(0, light)) * CODED_STEPS;
  const below = Math.floor(at);
  return CODED[below]! + (CODED[below + 1]! - CODED[below]!) * (at - below);
}

/** The largest distance between two outlines, from points along either to the other, mm. */
export function outlinesApart(a: Polygon, b: Polygon): number {
  const along = (of: Polygon): [number, number][] =>
    of.flatMap(([x0, y0], k) => {
      const [x1, y1] = of[(k + 1) % of.length]!;
      const count = Math.ceil(Math.hypot(x1 - x0, y1 - y0));
      return Array.from({ length: count }, (_, n): [number, number] => [
        x0 + ((x1 - x0) * n) / count,
        y0 + ((y1 - y0) * n) / count,
      ]);
    });
  const from = (of: Polygon, to: Polygon) =>
    Math.max(...along(of).map(([x, y]) => Math.abs(depthInside(to, x, y))));
  return Math.max(from(a, b), from(b, a));
}
