import {
  areaMm2,
  type Bounds,
  EMPTY_BOUNDS,
  frameOver,
  type GridFrame,
  grownBounds,
  isEmptyBounds,
  meetOf,
  reach,
  windowWithin,
} from './grid.ts';
import { lightReachMm } from './laser/reach.ts';
import type { Machine } from './machine/profile.ts';
import type { Polygon } from './polygon.ts';
import { isLit } from './program/beam-on.ts';
import { dotsOf } from './program/dots.ts';
import type { Program } from './program/program.ts';
import { numberWords } from './words.ts';

/** The piece of wood: its size, and where its lower left corner lies in the job's coordinates. */
export interface Stock {
  readonly widthMm: number;
  readonly heightMm: number;
  /** null: not known; nothing is said about cutting through. */
  readonly thicknessMm: number | null;
  /** One standard uncertainty of it, mm; null or left out: 3 % of it (`sure/boards.ts`). */
  readonly thicknessPlusMinusMm?: number | null;
  readonly xMm: number;
  readonly yMm: number;
  /** Its true outline within that rectangle, where it is known: of an offcut, say. Left out: the rectangle. */
  readonly outline?: Polygon | null;
  /** How well that outline is known, mm; left out or null: {@link OUTLINE_PLUS_MINUS_MM}. */
  readonly outlinePlusMinusMm?: number | null;
  /** Places that the burn should keep off: knots, old holes. */
  readonly avoid?: readonly Spot[] | null;
}

/** An outline that is found on a photo is known to this at best, mm (on rendered photos; what else is in doubt: `own-board/own-board.ts`). */
export const OUTLINE_PLUS_MINUS_MM = 0.5;

/** How well the outline of a board is known, mm; 0 of a plain one, which is taken to lie where it was said. */
export const outlinePlusMinusMm = ({ outline, outlinePlusMinusMm: mm }: Stock): number =>
  outline ? (mm ?? OUTLINE_PLUS_MINUS_MM) : 0;

/** A round place on the board, mm in the job's coordinates. */
export interface Spot {
  readonly xMm: number;
  readonly yMm: number;
  readonly radiusMm: number;
}

export const stockBounds = (stock: Stock): Bounds => ({
  minXMm: stock.xMm,
  minYMm: stock.yMm,
  maxXMm: stock.xMm + stock.widthMm,
  maxYMm: stock.yMm + stock.heightMm,
});

/** Wood shown around the burn when no stock is given. */
export const MARGIN_MM = 3;
/** The grid is coarsened rather than pass this many cells. */
export const MAX_CELLS = 64_000_000;

/** Where a job goes and burns. */
export interface JobBounds {
  /** The extent of the head's whole way, from the origin, where it starts. */
  readonly all: Bounds;
  /** … and of what burns, lines and dots; empty when nothing does. */
  readonly burn: Bounds;
  /** Least and greatest height at which it burns, mm. */
  readonly burnZMm: readonly [leastMm: number, mostMm: number];
}

/** The bounds of a program, where it has the beam on; of lines and of dots. */
export function jobBounds(program: Pick<Program, 'moves' | 'stops'>, firesOnRapids: boolean): JobBounds {
  const { moves } = program;
  const all = { ...EMPTY_BOUNDS, minXMm: 0, minYMm: 0, maxXMm: 0, maxYMm: 0 };
  const burn = { ...EMPTY_BOUNDS };
  let [leastMm, mostMm] = [Infinity, -Infinity];
  const burnsAt = (xMm: number, yMm: number, zMm: number): void => {
    reach(burn, xMm, yMm);
    if (zMm < leastMm) leastMm = zMm;
    if (zMm > mostMm) mostMm = zMm;
  };
  let x = 0;
  let y = 0;
  let z = 0;
  for (let i = 0; i < moves.count; i++) {
    const x1 = moves.xMm[i]!;
    const y1 = moves.yMm[i]!;
    const z1 = moves.zMm[i]!;
    reach(all, x1, y1);
    if (isLit(moves, i, firesOnRapids)) {
      burnsAt(x, y, z);
      burnsAt(x1, y1, z1);
    }
    x = x1;
    y = y1;
    z = z1;
  }
  for (const { xMm, yMm, zMm } of dotsOf(program, firesOnRapids)) burnsAt(xMm, yMm, zMm);
  return { all, burn, burnZMm: leastMm <= mostMm ? [leastMm, mostMm] : [0, 0] };
}

/** Room around where light may fall, in spot widths: the maps of firings reach farther than the dose. */
const AROUND_WIDTHS = 3;

/**
 * The grid the dose is worked out on: of the board (the stock's rectangle, or without a stock the burn's bounds with a
 * margin) what light can fall on, in cells of the board from its lower left corner. The cell is a third of the smaller
 * spot width unless asked for, and coarser where the grid would pass {@link MAX_CELLS}. `notes` says in plain sentences
 * what was decided.
 */
export function chooseFrame(
  { burn, burnZMm }: Pick<JobBounds, 'burn' | 'burnZMm'>,
  stock: Stock | null,
  machine: Machine,
  wantedCellMm: number | null,
): { frame: GridFrame; board: Bounds; notes: string[] } {
  const notes: string[] = [];
  const fallback = isEmptyBounds(burn) ? { minXMm: 0, minYMm: 0, maxXMm: 0, maxYMm: 0 } : burn;
  const board = stock ? stockBounds(stock) : grownBounds(fallback, MARGIN_MM);
  if (!stock) {
    notes.push(`No stock was given: the board is the burn's own bounds with ${MARGIN_MM} mm around it.`);
  }
  const fineMm = wantedCellMm ?? Math.min(...machine.spot.width_mm) / 3;
  const spotMm = Math.min(...machine.spot.width_mm);
  if (fineMm > spotMm) {
    notes.push(
      `Cells of ${numberWords(fineMm)} mm are wider than the spot (${numberWords(spotMm)} mm): a line is spread over whole cells, ` +
        'so doses, tones and depths of the picture come out too low; cuts are judged on their path all the same.',
    );
  }
  const aroundMm = lightReachMm(machine, burnZMm) + AROUND_WIDTHS * Math.max(...machine.spot.width_mm);
  const lit = grownBounds(burn, aroundMm);
  const frameOf = (cellMm: number): GridFrame => windowWithin(frameOver(board, cellMm), lit).frame;
  let cellMm = fineMm;
  const area = areaMm2(meetOf(board, lit));
  if (area / (cellMm * cellMm) > MAX_CELLS) cellMm = Math.sqrt(area / MAX_CELLS);
  let frame = frameOf(cellMm);
  while (frame.nx * frame.ny > MAX_CELLS) frame = frameOf((cellMm *= 1.0005));
  if (cellMm !== fineMm) {
    notes.push(
      `Cells of ${fineMm.toPrecision(3)} mm would make a grid of more than ${MAX_CELLS / 1e6} million cells; ` +
        `it was coarsened to ${cellMm.toPrecision(3)} mm, so fine detail and peaks are blurred.`,
    );
  }
  return { frame, board, notes };
}
