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
  readonly shape: Spot['shape'];
  readonly frame: SpotFrame;
  /** Nothing farther away than this gets anything, mm. */
  readonly reachMm: number;
  /** The stroke taken up. */
  readonly stroke: Aimed;
}

/** From mm to the spot's own axes and half-widths. */
interface SpotFrame {
  readonly ux: number;
  readonly uy: number;
  readonly vx: number;
  readonly vy: number;
  /** The half-widths times each other, mm². */
  readonly unitMm2: number;
}

/** A stroke in half-widths: where it begins, which way it goes and how far. Kept as doubles throughout. */
interface Aimed {
  a: number;
  b: number;
  da: number;
  db: number;
  length: number;
}

/** The kernel of a spot with the head at height z, for strokes to be taken up one after the other. */
export function beamKernel(spot: Spot, zMm: number): BeamKernel {
  const { shape } = spot;
  const scale = defocus(spot, zMm);
  const unit = (widthMm: number): number =>
    scale * (shape === 'gaussian' ? sigmaFromWidthMm(widthMm) : widthMm / 2);
  const u = unit(spot.width_mm[0]);
  const v = unit(spot.width_mm[1]);
  const turn = degToRad(spot.rotation_deg);
  const frame: SpotFrame = {
    ux: Math.cos(turn) / u,
    uy: Math.sin(turn) / u,
    vx: -Math.sin(turn) / v,
    vy: Math.cos(turn) / v,
    unitMm2: u * v,
  };
  const farthest = shape === 'uniform-rectangle' ? Math.hypot(u, v) : Math.max(u, v);
  const reachMm = shape === 'gaussian' ? REACH_SIGMA * farthest : farthest;
  return { shape, frame, reachMm, stroke: { a: 0.5, b: 0.5, da: 0.5, db: 0.5, length: 0.5 } };
}

/** Takes up a stroke from (x0, y0) to (x1, y1), mm; a point where both are the same. */
export function aimBeam({ frame, stroke }: BeamKernel, x0: number, y0: number, x1: number, y1: number): void {
  const { ux, uy, vx, vy } = frame;
  const dx = x1 - x0;
  const dy = y1 - y0;
  stroke.a = ux * x0 + uy * y0;
  stroke.b = vx * x0 + vy * y0;
  const da = ux * dx + uy * dy;
  const db = vx * dx + vy * dy;
  stroke.length = Math.sqrt(da * da + db * db);
  // A unit vector where it has a length.
  const per = stroke.length > 0 ? 1 / stroke.length : 0;
  stroke.da = da * per;
  stroke.db = db * per;
}

/** What the stroke taken up gives to the points `from` … `to` − 1, J/mm² per J, written to the beginning of `out`. */
export function beamAt(
  kernel: BeamKernel,
  xMm: Float64Array,
  yMm: Float64Array,
  from: number,
  to: number,
  out: Float64Array,
): void {
  const { shape, stroke } = kernel;
  const { ux, uy, vx, vy, unitMm2 } = kernel.frame;
  const { a, b, da, db, length } = stroke;
  if (shape === 'gaussian') {
    const density = PER_ROOT_TWO_PI / unitMm2;
    for (let k = from; k < to; k++) {
      const x = xMm[k]!;
      const y = yMm[k]!;
      out[k - from] = gaussianAt(a - (ux * x + uy * y), b - (vx * x + vy * y), da, db, length, density);
    }
    return;
  }
  const isRound = shape === 'uniform-ellipse';
  const areaMm2 = (isRound ? Math.PI : 4) * unitMm2;
  for (let k = from; k < to; k++) {
    const x = xMm[k]!;
    const y = yMm[k]!;
    const pa = a - (ux * x + uy * y);
    const pb = b - (vx * x + vy * y);
    const part = isRound ? partOfRound(pa, pb, da, db, length) : partOfSquare(pa, pb, da, db, length);
    out[k - from] = part / areaMm2;
  }
}

const PER_ROOT_TWO_PI = 1 / Math.sqrt(2 * Math.PI);
/** A stroke this short, in σ, counts as a point at its middle: off by (length/σ)²/24 of what it adds. */
const POINT_LIKE = 0.03;

/** Closer to its middle than this, in σ, nothing falls off: exp(−off²/2) is 1 to the last digit. */
const IN_THE_MIDDLE = 1e-8;

/** What a point gets that lies at the origin of the spot's axes when the stroke begins at (a, b). */
function gaussianAt(a: number, b: number, da: number, db: number, length: number, density: number): number {
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
  const along = (density * (phi(from + length) - phi(from))) / length;
  // Most that are asked about lie on the stroke's own path.
  return squared < IN_THE_MIDDLE * IN_THE_MIDDLE ? along : along * Math.exp(-squared / 2);
}

/** The part of the stroke during which an evenly lit round spot covers such a point; a point's is all or nothing. */
function partOfRound(a: number, b: number, da: number, db: number, length: number): number {
  if (length === 0) return a * a + b * b <= 1 ? 1 : 0;
  const off = a * db - b * da;
  if (off >= 1 || off <= -1) return 0;
  const half = Math.sqrt(1 - off * off);
  const from = a * da + b * db;
  return Math.max(0, Math.min(from + length, half) - Math.max(from, -half)) / length;
}

/** The same of a square one. */
function partOfSquare(a: number, b: number, da: number, db: number, length: number): number {
  if (length === 0) return Math.abs(a) <= 1 && Math.abs(b) <= 1 ? 1 : 0;
  const end = Math.min(length, leaves(a, da), leaves(b, db));
  return Math.max(0, end - Math.max(0, enters(a, da), enters(b, db))) / length;
}

/** How far along `from + s × slope` comes into −1 … 1, and goes out; never, as ±∞. */
const enters = (from: number, slope: number): number =>
  slope === 0 ? (Math.abs(from) <= 1 ? -Infinity : Infinity) : (-Math.sign(slope) - from) / slope;
const leaves = (from: number, slope: number): number =>
  slope === 0 ? (Math.abs(from) <= 1 ? Infinity : -Infinity) : (Math.sign(slope) - from) / slope;
