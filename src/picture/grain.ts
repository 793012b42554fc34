import { createNoise2D } from 'simplex-noise';
import { lately } from '../lately.ts';
import type { View } from './view.ts';

/**
 * The grain of a flat-cut board, along x, as a brightness between about −1 (dark streak) and 1. It belongs
 * to the place in mm, not to the pixel: a close-up shows the same streaks as the whole board. It is there for
 * the look alone; no forecast rests on it.
 */
interface Grain {
  /** Fills `out` (one number per pixel) with the grain of a pixel row, row 0 at the top. */
  readonly row: (row: number, out: Float32Array) => void;
}

/** One layer of streaks: how long and wide they are, and how strongly they show. */
interface Layer {
  readonly lengthMm: number;
  readonly widthMm: number;
  readonly strength: number;
  readonly shape: (xMm: number, yMm: number) => number;
}

/** A layer whose streaks are thinner than this many pixels is left out: it would only flicker. */
const THINNEST_STREAK_PX = 2;
/** Noise is worked out at so many places per streak, lengthwise and crosswise, and joined by straight lines. */
const PLACES_PER_STREAK = 4;

/** Several pictures of one board show the same streaks. */
const latticesLately = lately<Lattice[]>(2);

export function grainOver(view: View, seed = 7): Grain {
  const { leftMm, bottomMm, pxPerMm, widthPx, heightPx } = view;
  const lattices = latticesLately([leftMm, bottomMm, pxPerMm, widthPx, heightPx, seed], () =>
    layersOf(seed)
      .filter((layer) => layer.widthMm * pxPerMm >= THINNEST_STREAK_PX)
      .map((layer) => latticeOf(layer, view)),
  );
  return {
    row: (row, out) => {
      out.fill(0);
      for (const lattice of lattices) addLatticeRow(lattice, row, out);
    },
  };
}

function layersOf(seed: number): Layer[] {
  const random = mulberry32(seed);
  const cloud = createNoise2D(random);
  const bend = createNoise2D(random);
  const fibre = createNoise2D(random);
  const pore = createNoise2D(random);
  return [
    { lengthMm: 70, widthMm: 9, strength: 0.3, shape: (x, y) => cloud(x / 70, y / 9) },
    { lengthMm: 14, widthMm: 1.2, strength: 0.42, shape: (x, y) => ring((y + bow(bend, x, y)) / 3.4) },
    { lengthMm: 16, widthMm: 0.55, strength: 0.16, shape: (x, y) => fibre(x / 16, y / 0.55) },
    { lengthMm: 5, widthMm: 0.16, strength: 0.12, shape: (x, y) => fibre(x / 5 + 31, y / 0.16) },
    {
      lengthMm: 1.6,
      widthMm: 0.11,
      strength: 0.3,
      shape: (x, y) => -Math.max(0, pore(x / 1.6, y / 0.11) - 0.55),
    },
  ];
}

/** How far, in mm, a growth line wanders from straight: long arches with a slight waver. */
const bow = (bend: (x: number, y: number) => number, x: number, y: number): number =>
  9 * bend(x / 160, y / 46) + 0.7 * bend(x / 26 + 9, y / 11);

/** One growth ring: pale early wood that darkens slowly into a thin late line. */
function ring(turns: number): number {
  const phase = turns - Math.floor(turns);
  const late = phase < 0.82 ? (phase / 0.82) ** 3 : ((1 - phase) / 0.18) ** 1.5;
  return 0.35 - 1.1 * late;
}

/** Values at whole multiples of the steps from the job's origin, so that every view finds the same ones. */
interface Lattice {
  readonly columns: number;
  readonly values: Float32Array;
  /** Lattice columns from the first one to the view's left edge, rows from the first one to its top. */
  readonly startColumn: number;
  readonly startRow: number;
  readonly columnsPerPx: number;
  readonly rowsPerPx: number;
}

/** The layer's values on a coarse lattice over the view, from the top row down. */
function latticeOf({ lengthMm, widthMm, strength, shape }: Layer, view: View): Lattice {
  const pxMm = 1 / view.pxPerMm;
  const stepXMm = Math.max(pxMm, lengthMm / PLACES_PER_STREAK);
  const stepYMm = Math.max(pxMm, widthMm / PLACES_PER_STREAK);
  const topMm = view.bottomMm + view.heightPx * pxMm;
  const firstColumn = Math.floor(view.leftMm / stepXMm);
  const firstRow = Math.ceil(topMm / stepYMm);
  const columns = Math.ceil((view.widthPx * pxMm) / stepXMm) + 2;
  const rows = Math.ceil((view.heightPx * pxMm) / stepYMm) + 2;
  const values = new Float32Array(columns * rows);
  for (let r = 0, k = 0; r < rows; r++) {
    const yMm = (firstRow - r) * stepYMm;
    for (let c = 0; c < columns; c++, k++) values[k] = strength * shape((firstColumn + c) * stepXMm, yMm);
  }
  return {
    columns,
    values,
    startColumn: view.leftMm / stepXMm - firstColumn,
    startRow: firstRow - topMm / stepYMm,
    columnsPerPx: pxMm / stepXMm,
    rowsPerPx: pxMm / stepYMm,
  };
}

/** Adds one pixel row of a layer: between two lattice rows, then straight from column to column. */
function addLatticeRow(lattice: Lattice, row: number, out: Float32Array): void {
  const { columns, values, startColumn, startRow, columnsPerPx, rowsPerPx } = lattice;
  const at = startRow + row * rowsPerPx;
  const above = Math.floor(at);
  const down = at - above;
  for (let c = 0, k = above * columns, p = 0; c + 1 < columns; c++, k++) {
    const cellPx = (c - startColumn) / columnsPerPx;
    const end = Math.min(out.length, Math.ceil((c + 1 - startColumn) / columnsPerPx));
    const left = values[k]! + down * (values[k + columns]! - values[k]!);
    const right = values[k + 1]! + down * (values[k + 1 + columns]! - values[k + 1]!);
    const slope = (right - left) * columnsPerPx;
    let value = left + slope * (p - cellPx);
    for (; p < end; p++, value += slope) out[p]! += value;
  }
}

/** A small seeded generator of numbers in 0…1 (mulberry32, public domain, T. Ettinger). */
function mulberry32(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
