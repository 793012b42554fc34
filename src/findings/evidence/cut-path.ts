import { cellAt } from '../../grid.ts';
import type { Evidence } from './evidence.ts';
import { type Gathered, gatherPlaces } from './places.ts';

/** A bridge shorter than this breaks by itself; a longer one holds. */
const BRIDGE_MM = 0.5;
/** Bridges nearer than this are one place to look at. */
const APART_MM = 5;

/** How a path is cut, read off the forecast in pieces of {@link BRIDGE_MM}. */
export interface CutPath {
  readonly lengthMm: number;
  /** Length of the pieces that are through nowhere. */
  readonly uncutMm: number;
  /** Where; null when it is through all along. */
  readonly uncut: Gathered | null;
  /** The place that gets most in the piece that gets least of what it needs; null where nothing is burned. */
  readonly weakest: CutPlace | null;
  /** Greatest depth of the shallowest piece, mm; at most the thickness. */
  readonly shallowestMm: number;
}

/** What a place on a cut gets, and what it needs to be through. */
export interface CutPlace {
  readonly doseJPerMm2: number;
  readonly dwellS: number;
  /** Mean height of the head. */
  readonly headZMm: number;
  readonly neededJPerMm2: number;
  /**
   * How much more dose it gets than it needs, as a part of what it needs; through from 0 on. −1: no dose would do.
   */
  readonly margin: number;
}

/**
 * Follows the burning moves `first` … `last`. A piece counts as through where any cell on its path is, or the cell to
 * either side: the path may run between two cells.
 */
export function followCut(evidence: Evidence, first: number, last: number): CutPath {
  const { program, dose, energies, motion, wood } = evidence;
  const thicknessMm = evidence.stock!.thicknessMm!;
  const { xMm, yMm, line } = program.moves;
  const stepMm = Math.min(BRIDGE_MM / 2, Math.max(dose.grid.cellMm, BRIDGE_MM / 4));
  const uncut = gatherPlaces(APART_MM);
  const piece = openPiece(evidence);
  let lengthMm = 0;
  let uncutMm = 0;
  let weakest: CutPlace | null = null;
  let shallowestMm = thicknessMm;

  /** Judges the piece that ends at the end of a move, or within it, and begins the next. */
  const close = (x: number, y: number, move: number): void => {
    const { best } = piece;
    if (best) {
      lengthMm += piece.lengthMm;
      if (!weakest || best.margin < weakest.margin) weakest = best;
      if (best.margin < 0) {
        const depthMm = Math.min(thicknessMm, wood.depthMm(best.doseJPerMm2, best.dwellS, best.headZMm));
        shallowestMm = Math.min(shallowestMm, depthMm);
        uncutMm += piece.lengthMm;
        uncut.add(-depthMm, lengthMm, x, y, line[move]!, move);
      }
    }
    piece.clear();
  };

  for (let i = first; i <= last; i++) {
    if (energies.nominalMmPerS[i] !== 0) {
      const x0 = i > 0 ? xMm[i - 1]! : 0;
      const y0 = i > 0 ? yMm[i - 1]! : 0;
      const dx = xMm[i]! - x0;
      const dy = yMm[i]! - y0;
      const steep = Math.abs(dy) > Math.abs(dx);
      const steps = Math.max(1, Math.ceil(motion.lengthMm[i]! / stepMm));
      for (let k = 0; k < steps; k++) {
        const part = (k + 0.5) / steps;
        piece.look(x0 + dx * part, y0 + dy * part, steep, motion.lengthMm[i]! / steps);
        if (piece.lengthMm >= BRIDGE_MM) close(x0 + dx * part, y0 + dy * part, i);
      }
    }
    // The rest of a stroke counts only if it could hold; a shorter one hangs on the piece before.
    if (i === last || energies.nominalMmPerS[i + 1] === 0) {
      if (piece.lengthMm >= BRIDGE_MM / 2) close(xMm[i]!, yMm[i]!, i);
      else piece.clear();
    }
  }
  return { lengthMm, uncutMm, uncut: uncut.finish(), weakest, shallowestMm: weakest ? shallowestMm : 0 };
}

/** The piece under way, and the place on it that gets most of what it needs. */
function openPiece({ dose, wood, stock }: Evidence) {
  const { grid, doseLnDwell, height } = dose;
  const { data, nx, ny } = grid;
  const thicknessMm = stock!.thicknessMm!;
  const placeIn = (k: number): CutPlace => {
    const doseJPerMm2 = data[k]!;
    const dwellS = doseJPerMm2 > 0 ? Math.exp(doseLnDwell[k]! / doseJPerMm2) : 0;
    const aboveMm = height.doseAbove && doseJPerMm2 > 0 ? height.doseAbove[k]! / doseJPerMm2 : 0;
    const headZMm = height.lowestMm + aboveMm;
    const neededJPerMm2 = wood.doseForDepth(thicknessMm, dwellS, headZMm);
    return { doseJPerMm2, dwellS, headZMm, neededJPerMm2, margin: doseJPerMm2 / neededJPerMm2 - 1 };
  };
  return {
    lengthMm: 0,
    /** null: nothing on the grid yet. */
    best: null as CutPlace | null,
    clear(): void {
      this.lengthMm = 0;
      this.best = null;
    },
    /** Takes in `mm` of path around a point; `steep` where it runs along y rather than x. */
    look(x: number, y: number, steep: boolean, mm: number): void {
      this.lengthMm += mm;
      const cell = cellAt(grid, x, y);
      if (cell < 0) return;
      const place = steep ? cell % nx : Math.floor(cell / nx);
      const stride = steep ? 1 : nx;
      const from = place > 0 ? cell - stride : cell;
      const to = place < (steep ? nx : ny) - 1 ? cell + stride : cell;
      for (let k = from; k <= to; k += stride) {
        const there = placeIn(k);
        if (!this.best || there.margin > this.best.margin) this.best = there;
      }
    },
  };
}
