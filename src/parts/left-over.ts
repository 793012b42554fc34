import { type Spot, type Stock, stockBounds } from '../board.ts';
import { clearanceOn } from '../findings/evidence/on-board.ts';
import { type AtEdge, atEdge, NEAR_MM } from '../findings/near-edge.ts';
import type { Forecast } from '../forecast.ts';
import { type Bounds, type GridFrame, isEmptyBounds, middleOfCell, overlaps } from '../grid.ts';
import { depthInside } from '../polygon.ts';
import { numberWords } from '../words.ts';
import { awayFromBurns, type BurnsInSight, burnsInSight } from './away.ts';
import { flood } from './flood.ts';
import { grownToBurns, largestRectangle, rectangleOf, worthKeeping } from './rectangle.ts';

/** What a job leaves of its board for the next piece. */
export interface LeftOver {
  /** Wood that nothing is burned on, that no burn goes round, and that is no marked place, mm². */
  readonly areaMm2: number;
  /** The largest rectangle along x and y of it; null: none that is worth keeping. */
  readonly rectangle: Bounds | null;
  /** How far the burn keeps from the board's edge, mm; less than 0 where it leaves it; null: nothing burns. */
  readonly clearanceMm: number | null;
  /** What that means for the burn; null: nothing burns. */
  readonly atEdge: AtEdge | null;
}

/** The board is looked at in cells of this, mm, or in so many of them. */
const CELL_MM = 0.5;
const MOST_CELLS = 120_000;
/** Less area than this is none, mm² (a judgement, no source). */
const LEAST_MM2 = 100;

/** Report, summary and page ask for the same. */
const known = new WeakMap<Forecast, LeftOver | null>();

/**
 * What is left over: the wood outside of all that burns, {@link NEAR_MM} away from it. A cell that this runs through counts by
 * the part of it that is free, so that the area does not hang on how cells lie.
 * @returns null where the board is not known, or all that burns lies beside it.
 */
export function leftOver(forecast: Forecast): LeftOver | null {
  const told = known.get(forecast);
  if (told !== undefined) return told;
  const { stock, burnBounds } = forecast;
  const isBeside = stock && !isEmptyBounds(burnBounds) && !overlaps(burnBounds, stockBounds(stock));
  const left = stock && !isBeside ? leftOn(forecast, stock) : null;
  known.set(forecast, left);
  return left;
}

function leftOn(forecast: Forecast, stock: Stock): LeftOver {
  const frame = framedWithin(stockBounds(stock));
  const rimmed = withRim(frame);
  const burns = burnsInSight(forecast, rimmed);
  const reachMm = reachOf(forecast);
  const room = roomBesideBurns(burns, frame, rimmed, reachMm);
  const { part, isWhole } = freeCells(room, stock, frame);
  const clearance = clearanceOn(forecast, stock);
  return {
    areaMm2: areaOf(part, frame, stock),
    rectangle: worthKeeping(
      grownToBurns(rectangleOf(largestRectangle(isWhole, frame.nx, frame.ny), frame), stock, frame, {
        pieces: burns.pieces,
        reachMm,
      }),
    ),
    clearanceMm: clearance?.leastMm ?? null,
    atEdge: clearance && atEdge(clearance.leastMm, forecast.machine, stock),
  };
}

/** The area of parts of cells; what is left of the board above the last whole cells is like these. */
function areaOf(part: Float64Array, { nx, ny, cellMm }: GridFrame, stock: Stock): number {
  const { minYMm, maxYMm } = stockBounds(stock);
  const above = (maxYMm - minYMm) / cellMm - ny;
  let cells = 0;
  for (let k = 0; k < part.length; k++) cells += part[k]! * (k < (ny - 1) * nx ? 1 : 1 + above);
  return cells * cellMm ** 2;
}

/** So small a part of a cell is how inches are written. */
const ROUNDING = 1e-3;

/** Whole cells only: none reaches beyond the board. */
function framedWithin({ minXMm, minYMm, maxXMm, maxYMm }: Bounds): GridFrame {
  const [width, height] = [maxXMm - minXMm, maxYMm - minYMm];
  const wishMm = Math.max(CELL_MM, Math.sqrt((width * height) / MOST_CELLS));
  const nx = Math.max(1, Math.ceil(width / wishMm - ROUNDING));
  const cellMm = width / nx;
  return { x0Mm: minXMm, y0Mm: minYMm, cellMm, nx, ny: Math.max(1, Math.floor(height / cellMm + ROUNDING)) };
}

/** How far what burns reaches, and the distance that is kept from it, mm. */
const reachOf = ({ machine }: Forecast): number => NEAR_MM + Math.max(...machine.spot.width_mm) / 2;

/**
 * Per cell the part of it that is free wood, and 1 where all of it is. Where burns go round nothing is: no way leads from
 * there to beside the board.
 */
function freeCells(room: Float64Array, stock: Stock, frame: GridFrame) {
  const { cellMm } = frame;
  const half = (cellMm * Math.SQRT2) / 2;
  const spots: readonly Spot[] = stock.avoid ?? [];
  const part = new Float64Array(room.length);
  const isWhole = new Uint8Array(room.length);
  for (let k = 0; k < room.length; k++) {
    if (!(room[k]! > -half)) continue;
    const [x, y] = middleOfCell(frame, k);
    const depth = stock.outline ? depthInside(stock.outline, x, y) : Infinity;
    const free = spots.reduce(
      (least, { xMm, yMm, radiusMm }) => Math.min(least, Math.hypot(x - xMm, y - yMm) - radiusMm),
      Math.min(depth, room[k]!),
    );
    // The border runs nearly straight through a cell, so far from its middle.
    part[k] = Math.min(1, Math.max(0, free / cellMm + 0.5));
    if (free >= half) isWhole[k] = 1;
  }
  return { part, isWhole };
}

/** A rim of cells around the board, so that all that lies outside of the burns hangs together. */
const withRim = ({ x0Mm, y0Mm, cellMm, nx, ny }: GridFrame): GridFrame => ({
  x0Mm: x0Mm - cellMm,
  y0Mm: y0Mm - cellMm,
  cellMm,
  nx: nx + 2,
  ny: ny + 2,
});

/** How much farther from what burns than must be kept the middles of cells lie, mm; −∞ where burns go round. */
function roomBesideBurns(
  burns: BurnsInSight,
  frame: GridFrame,
  rimmed: GridFrame,
  reachMm: number,
): Float64Array {
  const { nx, ny, cellMm } = rimmed;
  const away = awayFromBurns(burns, rimmed, reachMm + cellMm);
  // No way from cell to cell across a stroke keeps half a cell away from it.
  const least = Math.max(reachMm, cellMm) - cellMm / 2;
  const isTaken = new Uint8Array(away.length);
  for (let j = 1; j < ny - 1; j++)
    for (let k = j * nx + 1; k < (j + 1) * nx - 1; k++) if (away[k]! <= least) isTaken[k] = 1;
  const { label } = flood(isTaken, nx, ny);
  const room = new Float64Array(frame.nx * frame.ny);
  for (let j = 0, k = 0; j < frame.ny; j++) {
    const row = (j + 1) * nx + 1;
    for (let at = row; at < row + frame.nx; at++, k++)
      room[k] = label[at] === label[0] ? away[at]! - reachMm : -Infinity;
  }
  return room;
}

/** How far the burn keeps from the edge. */
function edgeWords({ clearanceMm, atEdge: at }: LeftOver): string {
  if (clearanceMm === null) return '';
  const mm = `${numberWords(Math.abs(clearanceMm), 2)} mm`;
  if (at === 'beyond') return `The burn reaches ${mm} beyond the board’s edge. `;
  return at === 'on' ? 'The burn lies on the board’s edge. ' : `The burn keeps ${mm} from the board’s edge. `;
}

/** What is said of it, in one sentence. */
export function leftOverSentence(left: LeftOver): string {
  const { areaMm2, rectangle } = left;
  const keeps = edgeWords(left);
  if (areaMm2 < LEAST_MM2) return `${keeps}Nothing of the board is left over for another piece.`;
  const area = `About ${numberWords(areaMm2 / 100, 2)} cm² of the board are left over`;
  const clear = `${numberWords(NEAR_MM)} mm away from all that burns`;
  if (!rectangle) return `${keeps}${area} at least ${clear}, in no rectangle worth keeping.`;
  const { minXMm, minYMm, maxXMm, maxYMm } = rectangle;
  const [width, height] = [maxXMm - minXMm, maxYMm - minYMm].map((mm) => Math.floor(10 * mm + 1e-6) / 10);
  return `${keeps}${area}; the largest rectangle of that is ${width} × ${height} mm, from x ${numberWords(minXMm, 4)}, y ${numberWords(minYMm, 4)} mm, at least ${clear}.`;
}
