import { greatestOf, leastOf } from '../lists.ts';
import type { Spot } from '../machine/profile.ts';
import { degToRad } from '../units.ts';
import type { Brush, Canvas } from './brush.ts';
import { pointBrush } from './gaussian.ts';

/** Level bands the spot is cut into over its height. */
const CHORDS = 48;

/**
 * The brush of a spot that is evenly bright over an ellipse or a rectangle, turned by its rotation. Each point
 * is laid down as thin level bands of the shape, each shared out among the cells it covers by area, all
 * scaled so that the point's energy is kept exactly; what rounding to single precision takes from one cell is given to
 * the next.
 */
export function makeUniformBrush(canvas: Canvas, spot: Spot, scale: number): Brush {
  const { nx, ny, x0Mm, y0Mm, cellMm, dose, doseLnDwell } = canvas;
  const chords = chordsOf(spot, scale);
  const leastMm = leastOf(chords.map(({ fromMm }) => fromMm));
  const mostMm = greatestOf(chords.map(({ toMm }) => toMm));
  const count = chords.length;
  const chordMm = {
    from: Float64Array.from(chords, ({ fromMm }) => fromMm),
    to: Float64Array.from(chords, ({ toMm }) => toMm),
    low: Float64Array.from(chords, ({ lowMm }) => lowMm),
    high: Float64Array.from(chords, ({ highMm }) => highMm),
    share: Float64Array.from(chords, ({ share }) => share),
  };
  const room = () => new Float64Array(count);
  // Where the chords of the point under way lie, in cells, and what they give to each cell that they cover.
  const [from, to, low, high, perCell] = [room(), room(), room(), room(), room()];
  /** What a row of cells gets of all its chords, so that each cell is rounded to single precision but once. */
  const row = new Float64Array(Math.min(nx, Math.ceil((mostMm - leastMm) / cellMm) + 2));
  const perArea = 1 / (cellMm * cellMm);
  const point = (xMm: number, yMm: number, energyJ: number, lnDwell: number): void => {
    const left = Math.max(0, Math.floor((xMm + leastMm - x0Mm) / cellMm));
    const right = Math.min(nx - 1, Math.floor((xMm + mostMm - x0Mm) / cellMm));
    if (left > right) return;
    for (let k = 0; k < count; k++) {
      from[k] = (xMm + chordMm.from[k]! - x0Mm) / cellMm;
      to[k] = (xMm + chordMm.to[k]! - x0Mm) / cellMm;
      low[k] = (yMm + chordMm.low[k]! - y0Mm) / cellMm;
      high[k] = (yMm + chordMm.high[k]! - y0Mm) / cellMm;
      perCell[k] = (energyJ * chordMm.share[k]!) / ((to[k]! - from[k]!) * (high[k]! - low[k]!));
    }
    let landed = 0;
    let rest = 0;
    let restLnDwell = 0;
    let first = 0;
    const top = Math.min(ny - 1, Math.floor(high[count - 1]!));
    for (let j = Math.max(0, Math.floor(low[0]!)); j <= top; j++) {
      while (first < count && high[first]! <= j) first++;
      for (let k = first; k < count && low[k]! < j + 1; k++) {
        const perWide = perCell[k]! * (Math.min(high[k]!, j + 1) - Math.max(low[k]!, j));
        const begins = from[k]!;
        const ends = to[k]!;
        const last = Math.min(right, Math.floor(ends));
        for (let i = Math.max(left, Math.floor(begins)); i <= last; i++)
          row[i - left] = row[i - left]! + perWide * (Math.min(ends, i + 1) - Math.max(begins, i));
      }
      for (let i = left; i <= right; i++) {
        const add = row[i - left]!;
        if (add === 0) continue;
        row[i - left] = 0;
        landed += add;
        const cell = j * nx + i;
        const sum = dose[cell]! + add * perArea + rest;
        dose[cell] = sum;
        rest = sum - dose[cell]!;
        const sumLnDwell = doseLnDwell[cell]! + add * perArea * lnDwell + restLnDwell;
        doseLnDwell[cell] = sumLnDwell;
        restLnDwell = sumLnDwell - doseLnDwell[cell]!;
      }
    }
    canvas.depositedJ += landed;
  };
  return pointBrush(cellMm / 2, point);
}

/** A thin level band of the spot, relative to its centre. */
interface Chord {
  readonly lowMm: number;
  readonly highMm: number;
  readonly fromMm: number;
  readonly toMm: number;
  /** Part of the spot's energy on this chord. */
  readonly share: number;
}

/** Level chords at the middles of {@link CHORDS} equal bands over the shape's height, about its centre. */
function chordsOf(spot: Spot, scale: number): Chord[] {
  const u = (spot.width_mm[0] * scale) / 2;
  const v = (spot.width_mm[1] * scale) / 2;
  const turn = degToRad(spot.rotation_deg);
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const ellipse = spot.shape === 'uniform-ellipse';
  const halfHeight = ellipse ? Math.hypot(u * sin, v * cos) : Math.abs(u * sin) + Math.abs(v * cos);
  const chordAt = ellipse
    ? (y: number) => ellipseChord(y, u, v, cos, sin)
    : (y: number) => rectangleChord(y, u, v, cos, sin);

  const raw = [];
  for (let k = 0; k < CHORDS; k++) {
    const yMm = halfHeight * ((2 * k + 1) / CHORDS - 1);
    const [fromMm, toMm] = chordAt(yMm);
    if (toMm > fromMm)
      raw.push({ lowMm: yMm - halfHeight / CHORDS, highMm: yMm + halfHeight / CHORDS, fromMm, toMm });
  }
  const total = raw.reduce((sum, chord) => sum + chord.toMm - chord.fromMm, 0);
  return raw.map((chord) => ({ ...chord, share: (chord.toMm - chord.fromMm) / total }));
}

/** Where the level line y crosses ((x cos + y sin)/u)² + ((y cos − x sin)/v)² = 1. */
function ellipseChord(y: number, u: number, v: number, cos: number, sin: number): [number, number] {
  const a = (cos / u) ** 2 + (sin / v) ** 2;
  const b = y * sin * cos * (1 / (u * u) - 1 / (v * v));
  const c = ((y * sin) / u) ** 2 + ((y * cos) / v) ** 2 - 1;
  const root = Math.sqrt(Math.max(0, b * b - a * c));
  return [(-b - root) / a, (-b + root) / a];
}

/** Where the level line y lies within |x cos + y sin| ≤ u and |y cos − x sin| ≤ v. */
function rectangleChord(y: number, u: number, v: number, cos: number, sin: number): [number, number] {
  let from = -Infinity;
  let to = Infinity;
  const within = (slope: number, offset: number, half: number): void => {
    if (Math.abs(slope) < 1e-12) {
      if (Math.abs(offset) > half) to = -Infinity;
      return;
    }
    const one = (-half - offset) / slope;
    const two = (half - offset) / slope;
    from = Math.max(from, Math.min(one, two));
    to = Math.min(to, Math.max(one, two));
  };
  within(cos, y * sin, u);
  within(-sin, y * cos, v);
  return [from, to];
}
