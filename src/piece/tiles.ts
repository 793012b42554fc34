import { needTimesAt } from '../burn/firing.ts';
import type { Material } from '../burn/material.ts';
import { needAt, needOf } from '../burn/need.ts';
import { plainDoseForTone } from '../burn/tone.ts';
import type { Forecast } from '../forecast.ts';
import { cellAt, type GridFrame } from '../grid.ts';
import type { Areas } from './areas.ts';
import type { EvenLight } from './even-light.ts';
import { startLightSeen } from './marks.ts';

/** Doses are counted in bins of their logarithm, between these multiples of first mark and full char. */
export const BINS = 160;
const BELOW = 1 / 12;
const ABOVE = 40;
/** Tiles along either side of an operation's marks, by whose differences its own uncertainty is told. */
const TILES = 4;

/** The marks of one tile of an operation. */
export interface Tile {
  /** Cells of the burn in each bin, and those that are bare whatever happens. */
  readonly bins: Float64Array;
  seen: number;
  cells: number;
}

/** Where bin 0 lies: its dose, and by what the next is larger. */
export function binsOf({ first_mark_j_mm2: first, full_char_j_mm2: full }: Material) {
  const least = BELOW * first.value;
  return { least, perLn: (BINS - 2) / Math.log((ABOVE * full.value) / least) };
}

/** The cells by which an operation is read, and the box about them. */
interface Read {
  readonly isInsideOnly: boolean;
  readonly box: [i0: number, j0: number, i1: number, j1: number];
}

/** Operations of which so much lies inside their own marks are read there alone. */
const LEAST_INSIDE = 1 / 3;

/**
 * Where each operation is read: fields within their marks, where neither their edges' place nor bare wood beside them counts;
 * all else wherever its marks show.
 */
function whereRead({ owner, isInside }: Areas, { nx }: GridFrame): Map<number, Read> {
  const counts = new Map<number, { all: number; inside: number }>();
  for (let k = 0; k < owner.length; k++) {
    const n = owner[k]!;
    if (n === 0) continue;
    const count = counts.get(n) ?? counts.set(n, { all: 0, inside: 0 }).get(n)!;
    count.all++;
    count.inside += isInside[k]!;
  }
  const read = new Map<number, Read>(
    [...counts].map(([n, { all, inside }]) => [
      n,
      { isInsideOnly: inside >= LEAST_INSIDE * all, box: [Infinity, Infinity, -1, -1] },
    ]),
  );
  for (let k = 0; k < owner.length; k++) {
    const each = read.get(owner[k]!);
    if (!each || (each.isInsideOnly && isInside[k] !== 1)) continue;
    const { box } = each;
    const [i, j] = [k % nx, Math.floor(k / nx)];
    box[0] = Math.min(box[0], i);
    box[1] = Math.min(box[1], j);
    box[2] = Math.max(box[2], i);
    box[3] = Math.max(box[3], j);
  }
  return read;
}

/** The marks of all operations, tile by tile: what they got, and what the photo shows of them. */
export function countTiles(
  { dose, burn, firings, material, machine }: Forecast,
  frame: GridFrame,
  areas: Areas,
  { ratio }: EvenLight,
): Map<number, Tile[]> {
  const { owner, isInside } = areas;
  const read = whereRead(areas, frame);
  const tiles = new Map<number, Tile[]>();
  for (const n of read.keys())
    tiles.set(
      n,
      Array.from({ length: TILES * TILES }, () => ({ bins: new Float64Array(BINS), seen: 0, cells: 0 })),
    );
  const lightSeen = startLightSeen(material);
  const tileAt = (cell: number): Tile | null => {
    const n = owner[cell]!;
    if (n === 0 || Number.isNaN(ratio[3 * cell]!)) return null;
    const { isInsideOnly, box } = read.get(n)!;
    if (isInsideOnly && isInside[cell] !== 1) return null;
    const [i0, j0, i1, j1] = box;
    const u = Math.floor((TILES * ((cell % frame.nx) - i0)) / (i1 - i0 + 1));
    const v = Math.floor((TILES * (Math.floor(cell / frame.nx) - j0)) / (j1 - j0 + 1));
    return tiles.get(n)![v * TILES + u]!;
  };
  for (let k = 0; k < owner.length; k++) {
    const tile = tileAt(k);
    if (!tile) continue;
    tile.seen += lightSeen(ratio, k);
    tile.cells++;
  }
  const { least, perLn } = binsOf(material);
  const need = needOf(material, machine.laser.wavelength_nm);
  const { nx, ny, x0Mm, y0Mm, cellMm, data } = dose.grid;
  const timesAt = needTimesAt(firings, material);
  for (let j = 0, k = 0; j < ny; j++) {
    const yMm = y0Mm + (j + 0.5) * cellMm;
    for (let i = 0; i < nx; i++, k++) {
      const cell = cellAt(frame, x0Mm + (i + 0.5) * cellMm, yMm);
      const tile = cell < 0 ? null : tileAt(cell);
      if (!tile) continue;
      const got = data[k]!;
      const dwellS = got > 0 ? Math.exp(dose.doseLnDwell[k]! / got) : 0;
      const asked = needAt(need, dwellS) * timesAt(x0Mm + (i + 0.5) * cellMm, yMm);
      // Cells along lines show what the line's own path gets, which is more than their mean.
      const tone = burn.tone[k]!;
      const shown = tone > 0 ? plainDoseForTone(tone, material) : 0;
      const plain = Math.max(got / asked, shown);
      // A cell between the middles of two bins counts for both by how near it is to each.
      const at = plain > least ? 0.5 + Math.log(plain / least) * perLn : 0;
      const bin = at < 1 ? 0 : Math.min(BINS - 2, Math.floor(at));
      const beyond = at < 1 ? 0 : Math.min(1, at - bin);
      tile.bins[bin]! += 1 - beyond;
      tile.bins[bin + 1]! += beyond;
    }
  }
  return tiles;
}
