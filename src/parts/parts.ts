import { eachPiece, pathAnswerOf } from '../findings/evidence/cut-path.ts';
import type { Forecast } from '../forecast.ts';
import { type Bounds, cellAt, cellsAlong, type GridFrame } from '../grid.ts';
import { flood, spread } from './flood.ts';

/** What falls out of the board once the job is done. */
export interface FreePart {
  /** From 1, the largest first. */
  readonly n: number;
  readonly areaMm2: number;
  /** Its extent, to the edge of its outermost cells. */
  readonly bounds: Bounds;
}

/** Which wood hangs together. */
export interface Parts {
  /**
   * The cells that pieces are told apart on: the forecast's, or so many of them joined. They hold what light falls on; the
   * wood beyond belongs to the piece of the nearest cell (`nearestCell`).
   */
  readonly frame: GridFrame;
  /** Per cell: 0 the board and all that hangs on it, n the n-th free part; where nothing is left, the piece nearest. */
  readonly piece: Uint16Array;
  readonly free: readonly FreePart[];
}

/** What is smaller than this is a splinter in the kerf, no part, mm². */
const SPLINTER_MM2 = 0.25;
/** More parts than this are not told apart: the smallest ones stay where they are. */
const MOST_PARTS = 65_000;

/**
 * Which parts come free: wood that no wood holds any more is found by filling, from cell to cell across their edges, all
 * that is not cut through. Of what reaches the board's border the largest piece is the board. Cut is what the forecast
 * says is through; along an operation that is meant to cut, a bridge of less than half a millimetre breaks by itself, as
 * in its findings.
 *
 * @param times cells that are joined into one along each side: it is cut where one of them is, so that no kerf is lost.
 * @returns null where the board's thickness is not known or nothing is cut.
 */
export function partsOf(forecast: Forecast, times = 1): Parts | null {
  const { burn } = forecast;
  if (!burn.through?.includes(1)) return null;
  const frame = joined(burn.frame, times);
  const isCut = joinedCuts(burn.frame, burn.through, frame, times);
  cutAlongPaths(forecast, frame, isCut);
  return partsAmong(frame, isCut, forecast.board);
}

/**
 * The parts among cells of which some are cut.
 * @param isCut per cell of `frame`: not 0 where nothing is left.
 * @param board where wood goes on beyond the frame, uncut.
 */
export function partsAmong(frame: GridFrame, isCut: Uint8Array, board: Bounds): Parts {
  const { nx, ny, cellMm } = frame;
  const rim = rimOf(frame, board);
  const { label, pieces } = floodWithRim(isCut, frame, rim);
  const cellMm2 = cellMm * cellMm;
  const xOf = edgeOf(frame.x0Mm, nx, cellMm, rim.left, rim.right);
  const yOf = edgeOf(frame.y0Mm, ny, cellMm, rim.below, rim.above);
  let held = -1;
  for (const [k, { cells, isAtBorder }] of pieces.entries())
    if (isAtBorder && (held < 0 || cells > pieces[held]!.cells)) held = k;
  const loose = pieces
    .map((piece, k) => ({ ...piece, k }))
    .filter(({ cells, k }) => k !== held && cells * cellMm2 >= SPLINTER_MM2)
    .sort((a, b) => b.cells - a.cells)
    .slice(0, MOST_PARTS);
  // By label: the piece's number + 1, 0 for what belongs to whatever is nearest.
  const numbers = new Uint16Array(pieces.length + 1);
  if (held >= 0) numbers[held + 1] = 1;
  loose.forEach(({ k }, at) => {
    numbers[k + 1] = at + 2;
  });
  const piece = new Uint16Array(nx * ny);
  for (let j = 0, k = 0; j < ny; j++) {
    const row = (j + rim.below.count) * (nx + rim.left.count + rim.right.count) + rim.left.count;
    for (let i = 0; i < nx; i++, k++) piece[k] = numbers[label[row + i]!]!;
  }
  spread(piece, nx, ny);
  for (let k = 0; k < piece.length; k++) piece[k] = Math.max(0, piece[k]! - 1);
  const free = loose.map(({ cells, minI, minJ, maxI, maxJ }, at) => ({
    n: at + 1,
    areaMm2: cells * cellMm2,
    bounds: { minXMm: xOf(minI), minYMm: yOf(minJ), maxXMm: xOf(maxI + 1), maxYMm: yOf(maxJ + 1) },
  }));
  return { frame, piece, free };
}

/** The wood beyond one side of a frame: one line of cells stands for it (0 where there is none), so many cells deep. */
interface Rim {
  readonly count: 0 | 1;
  readonly cells: number;
}

/** Less of a cell than this is rounding. */
const NO_CELL = 1e-6;

function rimOf({ nx, ny, x0Mm, y0Mm, cellMm }: GridFrame, board: Bounds) {
  const rim = (beyondMm: number): Rim => {
    const cells = beyondMm / cellMm;
    return cells > NO_CELL ? { count: 1, cells } : { count: 0, cells: 0 };
  };
  return {
    left: rim(x0Mm - board.minXMm),
    right: rim(board.maxXMm - (x0Mm + nx * cellMm)),
    below: rim(y0Mm - board.minYMm),
    above: rim(board.maxYMm - (y0Mm + ny * cellMm)),
  };
}

/** Where the n-th edge between cells lies, the first rim's outer one being the 0th, mm. */
const edgeOf =
  (zeroMm: number, count: number, cellMm: number, before: Rim, after: Rim) =>
  (n: number): number => {
    const cells = n - before.count;
    if (cells < 0) return zeroMm - before.cells * cellMm;
    return zeroMm + (cells > count ? count + after.cells : cells) * cellMm;
  };

/** Which cells hang together, those of the rim among them, which count for as many as they stand for. */
function floodWithRim(isCut: Uint8Array, { nx, ny }: GridFrame, rim: ReturnType<typeof rimOf>) {
  const { left, right, below, above } = rim;
  const width = left.count + nx + right.count;
  const height = below.count + ny + above.count;
  if (width === nx && height === ny) return flood(isCut, nx, ny);
  const rimmed = new Uint8Array(width * height);
  for (let j = 0; j < ny; j++)
    rimmed.set(isCut.subarray(j * nx, (j + 1) * nx), (j + below.count) * width + left.count);
  const { label, pieces } = flood(rimmed, width, height);
  const more = new Float64Array(pieces.length);
  const wide = (i: number): number => (i < left.count ? left.cells : i >= left.count + nx ? right.cells : 1);
  const high = (j: number): number =>
    j < below.count ? below.cells : j >= below.count + ny ? above.cells : 1;
  for (let j = 0; j < height; j++) {
    const isRim = j < below.count || j >= below.count + ny;
    for (let i = 0; i < width; i += isRim || i === width - 1 ? 1 : width - 1) {
      const of = label[j * width + i]! - 1;
      if (of >= 0) more[of] = more[of]! + wide(i) * high(j) - 1;
    }
  }
  return { label, pieces: pieces.map((piece, k) => ({ ...piece, cells: piece.cells + more[k]! })) };
}

const joined = (frame: GridFrame, times: number): GridFrame => ({
  ...frame,
  nx: Math.ceil(frame.nx / times),
  ny: Math.ceil(frame.ny / times),
  cellMm: frame.cellMm * times,
});

function joinedCuts(of: GridFrame, through: Uint8Array, { nx, ny }: GridFrame, times: number): Uint8Array {
  if (times === 1) return through.slice();
  const isCut = new Uint8Array(nx * ny);
  for (let j = 0; j < of.ny; j++) {
    const row = Math.floor(j / times) * nx;
    for (let i = 0, k = j * of.nx; i < of.nx; i++, k++)
      if (through[k] === 1) isCut[row + Math.floor(i / times)] = 1;
  }
  return isCut;
}

/** Cuts the cells under every piece of path that counts as through. */
function cutAlongPaths(forecast: Forecast, frame: GridFrame, isCut: Uint8Array): void {
  const { program, lines, stock, cuts } = forecast;
  const answer = pathAnswerOf(forecast);
  const { xMm, yMm } = lines.places;
  const cut = (cell: number): void => {
    isCut[cell] = 1;
  };
  for (const { operation } of cuts) {
    const { firstMove, lastMove } = program.operations.find(({ n }) => n === operation)!;
    eachPiece(answer, stock!.thicknessMm!, firstMove, lastMove, ({ from, to, best }) => {
      if (best.margin < 0) return;
      for (let k = from; k <= to; k++) {
        const cell = cellAt(frame, xMm[k]!, yMm[k]!);
        if (cell >= 0) cut(cell);
        if (k > from) cellsAlong(frame, xMm[k - 1]!, yMm[k - 1]!, xMm[k]!, yMm[k]!, cut);
      }
    });
  }
}
