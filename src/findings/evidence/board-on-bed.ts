import { stockBounds } from '../../board.ts';
import { type Bounds, EMPTY_BOUNDS, isEmptyBounds, reach } from '../../grid.ts';
import type { Machine } from '../../machine/profile.ts';
import { isLit } from '../../program/beam-on.ts';
import { numberWords } from '../../words.ts';
import { edgeSlackMm } from './on-board.ts';
import { fitShiftMm, overhang, type Shift } from './overhang.ts';
import type { Told } from './told.ts';

/** Where a job can lie so that the head stays on the bed and the burn on the board, and what to say where it nowhere can. */

type Laid = Pick<Told, 'program' | 'machine' | 'stock' | 'burnBounds'>;

/** Less than the last decimal of a file is rounding. */
export const ROUNDING_MM = 0.01;

/** Where the head can go: the origin is taken for the lower left corner of the bed. */
export const bedBounds = ({ work_area_mm: [width, height] }: Machine): Bounds => ({
  minXMm: 0,
  minYMm: 0,
  maxXMm: width,
  maxYMm: height,
});

/**
 * The extent of where the job sends the head. Where the head stands before it is no part of that: it stays.
 * @param withHome also of moves to the origin that burn nothing.
 */
export function boundsOfMoves({ program: { moves }, machine }: Laid, withHome: boolean): Bounds {
  const { xMm, yMm, count } = moves;
  const burns = (i: number) => i < count && isLit(moves, i, machine.laser.fires_on_rapids);
  const bounds = { ...EMPTY_BOUNDS };
  // The job may burn from where the head stands.
  if (burns(0)) reach(bounds, 0, 0);
  for (let i = 0; i < count; i++) {
    const isHome = xMm[i] === 0 && yMm[i] === 0 && !burns(i) && !burns(i + 1);
    if (withHome || !isHome) reach(bounds, xMm[i]!, yMm[i]!);
  }
  return bounds;
}

const shifted = ({ minXMm, minYMm, maxXMm, maxYMm }: Bounds, [x, y]: Shift): Bounds => ({
  minXMm: minXMm + x,
  minYMm: minYMm + y,
  maxXMm: maxXMm + x,
  maxYMm: maxYMm + y,
});

/** Whether a way leaves the head on the bed. @param sent where the job sends it now. */
export const staysOnBed = (sent: Bounds, bed: Bounds, by: Shift): boolean =>
  overhang(shifted(sent, by), bed, ROUNDING_MM) === null;

/** Whether a way leaves the burn on the board that was told, or on the rectangle around it; of no board, and of no burn, any does. */
export const staysOnBoard = ({ stock, burnBounds, machine }: Laid, by: Shift): boolean =>
  !stock ||
  isEmptyBounds(burnBounds) ||
  overhang(shifted(burnBounds, by), stockBounds(stock), edgeSlackMm(machine)) === null;

/**
 * The least way to a place where the head stays on the bed and the burn on a plain board; null where there is none.
 * @param sent where the job sends the head now.
 * @param keepMm how far the burn should keep from each side, where there is room for that.
 */
export function ontoBothMm(laid: Laid, sent: Bounds, keepMm: number): Shift | null {
  const { stock, burnBounds: burn, machine } = laid;
  if (!stock || stock.outline || isEmptyBounds(burn)) return null;
  const [board, bed] = [stockBounds(stock), bedBounds(machine)];
  // The head goes beyond the burn on its way: so much less than the bed is left for the burn.
  const room = {
    minXMm: Math.max(board.minXMm, bed.minXMm + burn.minXMm - sent.minXMm),
    minYMm: Math.max(board.minYMm, bed.minYMm + burn.minYMm - sent.minYMm),
    maxXMm: Math.min(board.maxXMm, bed.maxXMm + burn.maxXMm - sent.maxXMm),
    maxYMm: Math.min(board.maxYMm, bed.maxYMm + burn.maxYMm - sent.maxYMm),
  };
  const by = fitShiftMm(burn, room, keepMm);
  return by && staysOnBed(sent, bed, by) && staysOnBoard(laid, by) ? by : null;
}

/**
 * That the board which was told lies beyond the bed, and what may be wrong then: no way of the job mends it.
 * @returns null where it lies on the bed, or none was told.
 */
export function boardBeyondBedWords({
  stock,
  machine,
  bedIsAssumed,
}: Pick<Told, 'stock' | 'machine' | 'bedIsAssumed'>): string | null {
  if (!stock) return null;
  const [board, bed] = [stockBounds(stock), bedBounds(machine)];
  const over = overhang(board, bed, ROUNDING_MM);
  if (!over) return null;
  const isWholly =
    board.maxXMm <= bed.minXMm ||
    board.minXMm >= bed.maxXMm ||
    board.maxYMm <= bed.minYMm ||
    board.minYMm >= bed.maxYMm;
  const mm = (value: number) => numberWords(value, 4);
  return (
    `The board that was told (${mm(stock.widthMm)} × ${mm(stock.heightMm)} mm from x ${mm(stock.xMm)}, y ${mm(stock.yMm)} mm) ` +
    `itself lies ${isWholly ? 'wholly' : 'partly'} beyond the bed (${mm(bed.maxXMm)} × ${mm(bed.maxYMm)} mm from x 0, y 0 mm${bedIsAssumed ? ', its size assumed' : ''}), ` +
    `by ${over.sides.join(' and ')}: the job fits both nowhere. Either the origin is not the bed’s lower left corner (a work origin set ` +
    'elsewhere, or homing to another corner), or the board’s place is wrong; put that right before you move the job.'
  );
}
