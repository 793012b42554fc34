import type { Forecast } from '../../src/forecast.ts';
import { type HeldOutline, heldOutlines } from '../../src/parts/held.ts';
import { type FreePart, partsOf } from '../../src/parts/parts.ts';
import type { Arrival } from './arrival.ts';

/** What comes free of the board and when, for the stage. */
export interface Pieces {
  /**
   * Per texel of the arrival's frame: 0 the board, else the part by {@link markOf}; null where nothing comes free.
   */
  readonly marks: Uint8Array | null;
  readonly free: readonly TimedPart[];
  /** Closed outlines that are meant to come free and do not. */
  readonly held: readonly HeldOutline[];
}

/** A part, and when the last of what held it has been cut, s. */
export interface TimedPart extends FreePart {
  readonly freeS: number;
}

/** A part's mark: a byte, shared by every 255th part. */
export const markOf = ({ n }: Pick<FreePart, 'n'>): number => 1 + ((n - 1) % 255);

/** Whether a part has come free by t, in a job that takes `durationS`; once it is over, all have. */
export const isFreeBy = ({ freeS }: Pick<TimedPart, 'freeS'>, tS: number, durationS: number): boolean =>
  tS >= durationS || freeS <= tS;

/** Whether a board goes on beyond so many cells. */
const goesOn = (boardMm: number, cells: number, cellMm: number): boolean => boardMm > (cells + 1e-6) * cellMm;

/** The parts of a forecast, on the frame on which its arrivals stand. */
export function piecesOf(forecast: Forecast, arrival: Arrival): Pieces {
  const held = heldOutlines(forecast);
  const { frame, spanS } = arrival;
  const parts = partsOf(forecast, Math.round(frame.cellMm / forecast.burn.frame.cellMm));
  if (!parts || parts.free.length === 0) return { marks: null, free: [], held };
  const { piece, frame: own } = parts;
  const marks = new Uint8Array(frame.nx * frame.ny);
  const lastS = new Float64Array(parts.free.length + 1);
  const visit = (n: number, of: number, at: number): void => {
    // Next to another piece the kerf between them has been cut.
    if (n === of) return;
    const last = spanS[2 * at + 1]!;
    if (last > lastS[n]!) lastS[n] = last;
    if (last > lastS[of]!) lastS[of] = last;
  };
  // Where the board goes on beyond the cells that light falls on, so do their pieces.
  const { maxXMm, maxYMm } = forecast.board;
  const [columns, rows] = [
    goesOn(maxXMm - own.x0Mm, own.nx, own.cellMm) ? frame.nx : Math.min(own.nx, frame.nx),
    goesOn(maxYMm - own.y0Mm, own.ny, own.cellMm) ? frame.ny : Math.min(own.ny, frame.ny),
  ];
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const k = Math.min(j, own.ny - 1) * own.nx + Math.min(i, own.nx - 1);
      const n = piece[k]!;
      const at = j * frame.nx + i;
      if (i > 0 && i < own.nx) visit(n, piece[k - 1]!, at);
      if (j > 0 && j < own.ny) visit(n, piece[k - own.nx]!, at);
      if (n > 0) marks[at] = markOf({ n });
    }
  }
  const free = parts.free.map((part) => ({ ...part, freeS: lastS[part.n]! }));
  return { marks, free, held };
}
