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
  /** The piece that got least: its greatest dose, and the dwell with it. */
  readonly leastDoseJPerMm2: number;
  readonly leastDwellS: number;
  /** Greatest depth of the shallowest piece, mm. */
  readonly shallowestMm: number;
}

/**
 * Follows the burning moves `first` … `last`. A piece counts as through where any cell on its path is, or the cell to
 * either side: the path may run between two cells.
 */
export function followCut(evidence: Evidence, first: number, last: number): CutPath {
  const { program, dose, energies, motion } = evidence;
  const { xMm, yMm, line } = program.moves;
  const stepMm = Math.min(BRIDGE_MM / 2, Math.max(dose.grid.cellMm, BRIDGE_MM / 4));
  const uncut = gatherPlaces(APART_MM);
  const piece = openPiece(evidence);
  let lengthMm = 0;
  let uncutMm = 0;
  let leastDose = Infinity;
  let leastCell = -1;
  let shallowestMm = Infinity;

  /** Judges the piece that ends at the end of a move, or within it, and begins the next. */
  const close = (x: number, y: number, move: number): void => {
    if (piece.cell >= 0) {
      lengthMm += piece.lengthMm;
      shallowestMm = Math.min(shallowestMm, piece.depthMm);
      if (piece.dose < leastDose) {
        leastDose = piece.dose;
        leastCell = piece.cell;
      }
      if (!piece.through) {
        uncutMm += piece.lengthMm;
        uncut.add(-piece.depthMm, lengthMm, x, y, line[move]!, move);
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
  const met = leastCell >= 0;
  return {
    lengthMm,
    uncutMm,
    uncut: uncut.finish(),
    leastDoseJPerMm2: met ? leastDose : 0,
    leastDwellS: met ? Math.exp(dose.doseLnDwell[leastCell]! / leastDose) : 0,
    shallowestMm: met ? shallowestMm : 0,
  };
}

/** The piece under way: the greatest dose and depth met on it, and whether it is through anywhere. */
function openPiece({ burn, dose: { grid } }: Evidence) {
  const { data, nx, ny } = grid;
  const { depthMm, through } = burn;
  return {
    lengthMm: 0,
    dose: 0,
    depthMm: 0,
    through: false,
    /** Where the greatest dose is; −1: nothing on the grid yet. */
    cell: -1,
    clear(): void {
      this.lengthMm = this.dose = this.depthMm = 0;
      this.through = false;
      this.cell = -1;
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
        if (this.cell < 0 || data[k]! > this.dose) {
          this.cell = k;
          this.dose = data[k]!;
        }
        if (depthMm[k]! > this.depthMm) this.depthMm = depthMm[k]!;
        if (through?.[k]) this.through = true;
      }
    },
  };
}
