import { cellAt } from '../grid.ts';
import type { Evidence } from './evidence.ts';
import { type Gathered, gatherPlaces } from './places.ts';

/** A bridge shorter than this breaks by itself; a longer one holds. */
export const BRIDGE_MM = 0.5;
/** Bridges nearer than this are one place to look at. */
const APART_MM = 5;

/** How a path is cut, read off the forecast in pieces of {@link BRIDGE_MM}. */
export interface CutPath {
  readonly lengthMm: number;
  /** Length of the pieces that are through nowhere. */
  readonly uncutMm: number;
  /** Where; null when it is through all along. */
  readonly uncut: Gathered | null;
  /** The piece that got least: its greatest dose, and the dwell with it. */
  readonly leastDoseJPerMm2: number;
  readonly leastDwellS: number;
  /** Greatest depth of the shallowest and of the deepest piece, mm. */
  readonly shallowestMm: number;
  readonly deepestMm: number;
}

/**
 * Follows the burning moves `first` … `last`. A piece counts as through where any cell on it, or beside it, is:
 * the path may run between two cells.
 */
export function followCut(evidence: Evidence, first: number, last: number): CutPath {
  const { program, burn, dose, energies, motion } = evidence;
  const { grid } = dose;
  const { xMm, yMm, line } = program.moves;
  const { nx, ny, cellMm } = grid;
  const stepMm = Math.min(BRIDGE_MM / 2, Math.max(cellMm, BRIDGE_MM / 4));
  const uncut = gatherPlaces(APART_MM);
  let lengthMm = 0;
  let uncutMm = 0;
  let leastDoseJPerMm2 = Infinity;
  let leastCell = -1;
  let shallowestMm = Infinity;
  let deepestMm = 0;

  let pieceMm = 0;
  let through = false;
  let bestCell = -1;
  let depth = 0;
  const close = (x: number, y: number, move: number) => {
    if (pieceMm > 0 && bestCell >= 0) {
      lengthMm += pieceMm;
      const most = grid.data[bestCell]!;
      if (most < leastDoseJPerMm2) {
        leastDoseJPerMm2 = most;
        leastCell = bestCell;
      }
      shallowestMm = Math.min(shallowestMm, depth);
      deepestMm = Math.max(deepestMm, depth);
      if (!through) {
        uncutMm += pieceMm;
        uncut.add(-depth, lengthMm, x, y, line[move]!, move);
      }
    }
    pieceMm = 0;
    through = false;
    bestCell = -1;
    depth = 0;
  };
  const look = (x: number, y: number) => {
    const cell = cellAt(grid, x, y);
    if (cell < 0) return;
    const i = cell % nx;
    const j = (cell - i) / nx;
    for (let b = Math.max(0, j - 1); b <= Math.min(ny - 1, j + 1); b++) {
      for (let a = Math.max(0, i - 1); a <= Math.min(nx - 1, i + 1); a++) {
        const k = b * nx + a;
        if (bestCell < 0 || grid.data[k]! > grid.data[bestCell]!) bestCell = k;
        depth = Math.max(depth, burn.depthMm[k]!);
        if (burn.through?.[k]) through = true;
      }
    }
  };

  for (let i = first; i <= last; i++) {
    if (energies.nominalMmPerS[i] === 0) {
      // What is left of a stroke counts only if it could hold: shorter ends hang on the piece before.
      if (pieceMm >= BRIDGE_MM / 2) close(xMm[i - 1]!, yMm[i - 1]!, i - 1);
      pieceMm = 0;
      through = false;
      bestCell = -1;
      depth = 0;
      continue;
    }
    const x0 = i > 0 ? xMm[i - 1]! : 0;
    const y0 = i > 0 ? yMm[i - 1]! : 0;
    const length = motion.lengthMm[i]!;
    const steps = Math.max(1, Math.ceil(length / stepMm));
    for (let k = 0; k < steps; k++) {
      const part = (k + 0.5) / steps;
      const x = x0 + (xMm[i]! - x0) * part;
      const y = y0 + (yMm[i]! - y0) * part;
      look(x, y);
      pieceMm += length / steps;
      if (pieceMm >= BRIDGE_MM) close(x, y, i);
    }
  }
  if (pieceMm >= BRIDGE_MM / 2) close(xMm[last]!, yMm[last]!, last);
  return {
    lengthMm,
    uncutMm,
    uncut: uncut.finish(),
    leastDoseJPerMm2: leastCell < 0 ? 0 : leastDoseJPerMm2,
    leastDwellS: leastCell < 0 ? 0 : Math.exp(dose.doseLnDwell[leastCell]! / leastDoseJPerMm2),
    shallowestMm: leastCell < 0 ? 0 : shallowestMm,
    deepestMm,
  };
}
