import { defocus } from '../laser/spot.ts';
import type { Spot } from '../machine/profile.ts';
import { degToRad, sigmaFromWidthMm } from '../units.ts';
import { phi, REACH_SIGMA } from './normal.ts';

/**
 * The beam's dose at a point in closed form, J/mm² per J. Along the spot's own axes, in units of its half-widths (σ for
 * a Gaussian), every spot is round or square and a straight stroke stays straight:
 *
 * - Gaussian: E/(σ₁σ₂·L)·φ(c)·[Φ(b) − Φ(a)], c how far the point lies off the stroke, a and b how far its ends lie
 *   before and behind, L its length (all in σ): the line integral of a normal density;
 * - evenly lit: E/area times the part of the stroke whose spot covers the point.
 */
export interface BeamKernel {
  /** Takes up a stroke from (x0, y0) to (x1, y1), mm; a point where both are the same. */
  aim(x0: number, y0: number, x1: number, y1: number): void;
  /** What the stroke taken up gives to the points `from` … `to` − 1, written to the beginning of `out`. */
  at(xMm: Float64Array, yMm: Float64Array, from: number, to: number, out: Float64Array): void;
  /** Nothing farther away than this gets anything, mm. */
  readonly reachMm: number;
}

/** The kernel of a spot with the head at height z. */
export function beamKernel(spot: Spot, zMm: number): BeamKernel {
  const scale = defocus(spot, zMm);
  const gaussian = spot.shape === 'gaussian';
  const unit = (widthMm: number): number => scale * (gaussian ? sigmaFromWidthMm(widthMm) : widthMm / 2);
  const u = unit(spot.width_mm[0]);
  const v = unit(spot.width_mm[1]);
  const turn = degToRad(spot.rotation_deg);
  const frame: SpotFrame = {
    ux: Math.cos(turn) / u,
    uy: Math.sin(turn) / u,
    vx: -Math.sin(turn) / v,
    vy: Math.cos(turn) / v,
  };
  if (gaussian) return { ...gaussianKernel(frame, u * v), reachMm: REACH_SIGMA * Math.max(u, v) };
  if (spot.shape === 'uniform-ellipse')
    return { ...discKernel(frame, Math.PI * u * v), reachMm: Math.max(u, v) };
  return { ...squareKernel(frame, 4 * u * v), reachMm: Math.hypot(u, v) };
}

/** From mm to the spot's own axes and half-widths. */
interface SpotFrame {
  readonly ux: number;
  readonly uy: number;
  readonly vx: number;
  readonly vy: number;
}

type Kernel = Omit<BeamKernel, 'reachMm'>;

/** The stroke taken up, in half-widths: where it begins, which way it goes and how far. Kept as doubles throughout. */
interface Aimed {
  a: number;
  b: number;
  da: number;
  db: number;
  length: number;
}

const aimed = (): Aimed => ({ a: 0.5, b: 0.5, da: 0.5, db: 0.5, length: 0.5 });

/** Takes up a stroke; (da, db) becomes a unit vector where it has a length. */
function takeUp(
  to: Aimed,
  { ux, uy, vx, vy }: SpotFrame,
  x0: number,
  y0: number,
  dx: number,
  dy: number,
): void {
  to.a = ux * x0 + uy * y0;
  to.b = vx * x0 + vy * y0;
  const da = ux * dx + uy * dy;
  const db = vx * dx + vy * dy;
  to.length = Math.sqrt(da * da + db * db);
  const per = to.length > 0 ? 1 / to.length : 0;
  to.da = da * per;
  to.db = db * per;
}

const PER_ROOT_TWO_PI = 1 / Math.sqrt(2 * Math.PI);
/** A stroke this short, in σ, counts as a point at its middle: off by (length/σ)²/24 of what it adds. */
const POINT_LIKE = 0.03;

function gaussianKernel(frame: SpotFrame, unitsMm2: number): Kernel {
  const { ux, uy, vx, vy } = frame;
  const density = PER_ROOT_TWO_PI / unitsMm2;
  const now = aimed();
  // What each point is asked by, as plain numbers: the loop over them is the hot one.
  const given = (a: number, b: number, da: number, db: number, length: number): number => {
    if (length < POINT_LIKE) {
      const ma = a + (da * length) / 2;
      const mb = b + (db * length) / 2;
      const squared = ma * ma + mb * mb;
      return squared >= REACH_SIGMA * REACH_SIGMA ? 0 : density * PER_ROOT_TWO_PI * Math.exp(-squared / 2);
    }
    const from = a * da + b * db;
    if (from >= REACH_SIGMA || from + length <= -REACH_SIGMA) return 0;
    const off = a * db - b * da;
    const squared = off * off;
    if (squared >= REACH_SIGMA * REACH_SIGMA) return 0;
    return ((density * (phi(from + length) - phi(from))) / length) * Math.exp(-squared / 2);
  };
  return {
    aim: (x0, y0, x1, y1) => takeUp(now, frame, x0, y0, x1 - x0, y1 - y0),
    at(xMm, yMm, from, to, out) {
      const { a, b, da, db, length } = now;
      for (let k = from; k < to; k++) {
        const x = xMm[k]!;
        const y = yMm[k]!;
        out[k - from] = given(a - (ux * x + uy * y), b - (vx * x + vy * y), da, db, length);
      }
    },
  };
}

/**
 * The kernel of an evenly lit spot, whose shape is told by two answers about a point at (a, b) from where the stroke
 * begins: whether the spot covers it, and how much of the stroke's length does.
 */
function evenKernel(
  frame: SpotFrame,
  areaMm2: number,
  covers: (a: number, b: number) => boolean,
  coveredOf: (stroke: Aimed, a: number, b: number) => number,
): Kernel {
  const { ux, uy, vx, vy } = frame;
  const now = aimed();
  const given = (x: number, y: number): number => {
    const a = now.a - (ux * x + uy * y);
    const b = now.b - (vx * x + vy * y);
    if (now.length === 0) return covers(a, b) ? 1 / areaMm2 : 0;
    const covered = coveredOf(now, a, b);
    return covered > 0 ? covered / now.length / areaMm2 : 0;
  };
  return {
    aim: (x0, y0, x1, y1) => takeUp(now, frame, x0, y0, x1 - x0, y1 - y0),
    at(xMm, yMm, from, to, out) {
      for (let k = from; k < to; k++) out[k - from] = given(xMm[k]!, yMm[k]!);
    },
  };
}

const discKernel = (frame: SpotFrame, areaMm2: number): Kernel =>
  evenKernel(
    frame,
    areaMm2,
    (a, b) => a * a + b * b <= 1,
    ({ da, db, length }, a, b) => {
      const off = a * db - b * da;
      if (off >= 1 || off <= -1) return 0;
      const half = Math.sqrt(1 - off * off);
      const from = a * da + b * db;
      return Math.min(from + length, half) - Math.max(from, -half);
    },
  );

const squareKernel = (frame: SpotFrame, areaMm2: number): Kernel =>
  evenKernel(
    frame,
    areaMm2,
    (a, b) => Math.abs(a) <= 1 && Math.abs(b) <= 1,
    ({ da, db, length }, a, b) =>
      Math.min(length, leaves(a, da), leaves(b, db)) - Math.max(0, enters(a, da), enters(b, db)),
  );

/** How far along `from + s × slope` comes into −1 … 1, and goes out; never, as ±∞. */
const enters = (from: number, slope: number): number =>
  slope === 0 ? (Math.abs(from) <= 1 ? -Infinity : Infinity) : (-Math.sign(slope) - from) / slope;
const leaves = (from: number, slope: number): number =>
  slope === 0 ? (Math.abs(from) <= 1 ? Infinity : -Infinity) : (Math.sign(slope) - from) / slope;
