import { type Stock, stockBounds } from '../../board.ts';
import { type Bounds, holdsPoint, isEmptyBounds } from '../../grid.ts';
import type { Machine } from '../../machine/profile.ts';
import { depthInside } from '../../polygon.ts';
import { isLit } from '../../program/beam-on.ts';
import { dotsOf } from '../../program/dots.ts';
import { percentWords } from '../../words.ts';
import { eachBurnPlace } from './burn-places.ts';
import type { Told } from './told.ts';

/** What lies on the wood and what beside it: the one rule for findings, cuts, engravings and what is left over. */

type OnBoard = Pick<Told, 'program' | 'machine' | 'burnBounds'>;

/** How far the burn keeps from the board's edge, mm; less than 0 where it leaves it; and where it comes nearest, by which move. */
export interface Clearance {
  readonly leastMm: number;
  readonly xMm: number;
  readonly yMm: number;
  readonly move: number;
}

/** A line on the very edge, half its spot in the air, still counts as on the board: so far beyond it, mm. */
export const edgeSlackMm = ({ spot }: Machine): number => Math.max(...spot.width_mm) / 2;

/** @returns null where nothing burns. */
export function clearanceOn({ program, machine, burnBounds }: OnBoard, stock: Stock): Clearance | null {
  if (isEmptyBounds(burnBounds)) return null;
  let nearest: Clearance = { leastMm: Infinity, xMm: 0, yMm: 0, move: 0 };
  const look = (leastMm: number, xMm: number, yMm: number, move: number): void => {
    if (leastMm < nearest.leastMm) nearest = { leastMm, xMm, yMm, move };
  };
  const { outline } = stock;
  if (outline) {
    eachBurnPlace({ program, machine }, (x, y, move) => look(depthInside(outline, x, y), x, y, move));
    return nearest;
  }
  // Of a straight move one of its ends lies nearest to a rectangle's sides; of all of them those of the whole burn.
  const board = stockBounds(stock);
  const leastMm = Math.min(
    depthWithin(board, burnBounds.minXMm, burnBounds.minYMm),
    depthWithin(board, burnBounds.maxXMm, burnBounds.maxYMm),
  );
  const isThere = (x: number, y: number): boolean => depthWithin(board, x, y) <= leastMm + 1e-9;
  const { count, xMm, yMm } = program.moves;
  for (let k = 0; k < count; k++) {
    if (!isLit(program.moves, k, machine.laser.fires_on_rapids)) continue;
    const x0 = k > 0 ? xMm[k - 1]! : 0;
    const y0 = k > 0 ? yMm[k - 1]! : 0;
    if (isThere(x0, y0)) return { leastMm, xMm: x0, yMm: y0, move: k };
    if (isThere(xMm[k]!, yMm[k]!)) return { leastMm, xMm: xMm[k]!, yMm: yMm[k]!, move: k };
  }
  const dot = dotsOf(program, machine.laser.fires_on_rapids).find((each) => isThere(each.xMm, each.yMm));
  return dot ? { leastMm, xMm: dot.xMm, yMm: dot.yMm, move: dot.move } : null;
}

/** How far a place lies within a rectangle; outside it the farthest that it lies beyond one of the sides. */
const depthWithin = ({ minXMm, minYMm, maxXMm, maxYMm }: Bounds, x: number, y: number): number =>
  Math.min(x - minXMm, maxXMm - x, y - minYMm, maxYMm - y);

/** Whether a place lies beside the board. */
export type IsBeside = (xMm: number, yMm: number) => boolean;

/** @returns null where nothing of the burn lies beside the board, or no board is known. */
export function besideBoard(
  { stock, machine }: Pick<Told, 'stock' | 'machine'>,
  clearance: Clearance | null,
): IsBeside | null {
  const slackMm = edgeSlackMm(machine);
  if (!stock || !clearance || clearance.leastMm >= -slackMm) return null;
  const { outline } = stock;
  if (outline) return (x, y) => depthInside(outline, x, y) < -slackMm;
  const board = stockBounds(stock);
  return (x, y) => !holdsPoint(board, x, y, slackMm);
}

/** A part of a way beside the board is told to this, mm. */
const STEP_MM = 0.5;

/** The part of what some moves burn that lies beside the board, 0 … 1. */
export function shareBeside(
  { program: { moves }, machine }: Pick<Told, 'program' | 'machine'>,
  isBeside: IsBeside | null,
  { n, firstMove, lastMove }: { readonly n: number; readonly firstMove: number; readonly lastMove: number },
): number {
  if (!isBeside) return 0;
  let [allMm, besideMm] = [0, 0];
  for (let k = firstMove; k <= lastMove; k++) {
    if (moves.operation[k] !== n || !isLit(moves, k, machine.laser.fires_on_rapids)) continue;
    const [x, y] = k > 0 ? [moves.xMm[k - 1]!, moves.yMm[k - 1]!] : [0, 0];
    const [dx, dy] = [moves.xMm[k]! - x, moves.yMm[k]! - y];
    const lengthMm = Math.hypot(dx, dy);
    const steps = Math.max(1, Math.ceil(lengthMm / STEP_MM));
    allMm += lengthMm;
    for (let step = 0; step < steps; step++) {
      const part = (step + 0.5) / steps;
      if (isBeside(x + part * dx, y + part * dy)) besideMm += lengthMm / steps;
    }
  }
  return allMm > 0 ? besideMm / allMm : 0;
}

/** Said of an operation of which nothing lies on the board. */
export const besideSentence = (operation: number): string =>
  `Operation ${operation} lies beside the board: nothing of it comes onto the wood.`;

/** Said of one that lies on it in part. */
export const partBesideSentence = (share: number): string =>
  `${percentWords(Math.min(0.99, Math.max(0.01, Number(share.toFixed(2)))))} of its path lies beside the board.`;
