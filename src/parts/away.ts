import { eachBurnPlace } from '../findings/evidence/burn-places.ts';
import type { Forecast } from '../forecast.ts';
import { cellAt, cellsAlong, type GridFrame } from '../grid.ts';
import { grown } from '../nearby.ts';

/** Is handed a straight piece of what burns, or a dot, both ends of which are the same; mm. */
type VisitPiece = (fromX: number, fromY: number, toX: number, toY: number) => void;

/** Calls `visit` for all that burns, in pieces of at most a millimetre. */
function eachBurnPiece(forecast: Forecast, visit: VisitPiece): void {
  let [x, y, from] = [0, 0, -1];
  let isAlone = false;
  eachBurnPlace(forecast, (xMm, yMm, move) => {
    if (move === from) {
      visit(x, y, xMm, yMm);
      isAlone = false;
    } else {
      if (isAlone) visit(x, y, x, y);
      isAlone = true;
    }
    x = xMm;
    y = yMm;
    from = move;
  });
  if (isAlone) visit(x, y, x, y);
}

/** What burns as it is seen from where nothing does. */
export interface BurnsInSight {
  /** Per cell: 1 where a piece runs through. */
  readonly isBurned: Uint8Array;
  /** From where to where its pieces run, four numbers each, mm: all but those that lie behind others. */
  readonly pieces: readonly number[];
}

/** Pieces so many cells deep in what is all burned lie behind others, seen from anywhere that nothing burns. */
const BEHIND_CELLS = 2;

/** @param frame cells about half a millimetre wide. */
export function burnsInSight(forecast: Forecast, frame: GridFrame): BurnsInSight {
  const { nx, ny } = frame;
  const isBurned = new Uint8Array(nx * ny);
  const burn = (cell: number): void => {
    if (cell >= 0) isBurned[cell] = 1;
  };
  eachBurnPiece(forecast, (fromX, fromY, toX, toY) => {
    const from = cellAt(frame, fromX, fromY);
    const to = cellAt(frame, toX, toY);
    burn(from);
    if (from === to && from >= 0) return;
    burn(to);
    cellsAlong(frame, fromX, fromY, toX, toY, burn);
  });
  const isInSight = grown(
    isBurned.map((burned) => 1 - burned),
    frame,
    BEHIND_CELLS,
  );
  const sees = (cell: number): boolean => cell < 0 || isInSight[cell] === 1;
  const pieces: number[] = [];
  eachBurnPiece(forecast, (fromX, fromY, toX, toY) => {
    if (sees(cellAt(frame, fromX, fromY)) || sees(cellAt(frame, toX, toY)))
      pieces.push(fromX, fromY, toX, toY);
  });
  return { isBurned, pieces };
}

/**
 * How far the middles of cells lie from the middle of the nearest stroke, mm; 0 in cells that one runs through, and ∞ beyond
 * `mostMm`.
 */
export function awayFromBurns(
  { isBurned, pieces }: BurnsInSight,
  frame: GridFrame,
  mostMm: number,
): Float64Array {
  const squares = new Float64Array(isBurned.length).fill(Infinity);
  for (let k = 0; k < pieces.length; k += 4)
    nearer(squares, frame, [pieces[k]!, pieces[k + 1]!, pieces[k + 2]!, pieces[k + 3]!], mostMm);
  return squares.map((square, k) => (isBurned[k] === 1 ? 0 : Math.sqrt(square)));
}

/** Lowers the squares of distances to what they are from a piece. */
function nearer(
  squares: Float64Array,
  { nx, ny, x0Mm, y0Mm, cellMm }: GridFrame,
  [fromX, fromY, toX, toY]: Parameters<VisitPiece>,
  mostMm: number,
): void {
  const [dx, dy] = [toX - fromX, toY - fromY];
  const square = dx * dx + dy * dy;
  const columnOf = (xMm: number): number => Math.floor((xMm - x0Mm) / cellMm);
  const rowOf = (yMm: number): number => Math.floor((yMm - y0Mm) / cellMm);
  const firstI = Math.max(0, columnOf(Math.min(fromX, toX) - mostMm));
  const lastI = Math.min(nx - 1, columnOf(Math.max(fromX, toX) + mostMm));
  const firstJ = Math.max(0, rowOf(Math.min(fromY, toY) - mostMm));
  const lastJ = Math.min(ny - 1, rowOf(Math.max(fromY, toY) + mostMm));
  for (let j = firstJ; j <= lastJ; j++) {
    const y = y0Mm + (j + 0.5) * cellMm - fromY;
    for (let i = firstI; i <= lastI; i++) {
      const x = x0Mm + (i + 0.5) * cellMm - fromX;
      const part = square > 0 ? Math.min(1, Math.max(0, (x * dx + y * dy) / square)) : 0;
      const off = (x - part * dx) ** 2 + (y - part * dy) ** 2;
      if (off < squares[j * nx + i]! && off <= mostMm * mostMm) squares[j * nx + i] = off;
    }
  }
}
