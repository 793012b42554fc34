import { type Stock, stockBounds } from '../board.ts';
import { type Bounds, holdsPoint, isEmptyBounds, middleOf } from '../grid.ts';
import { isLit } from '../program/beam-on.ts';
import { dotsOf } from '../program/dots.ts';
import { numberWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import { edgeSlackMm } from './evidence/on-board.ts';
import { fitShiftMm, fitWords, overhang, sizesWords, wayWords } from './evidence/overhang.ts';
import type { Finding } from './finding.ts';
import { NEAR_MM } from './near-edge.ts';
import { round } from './phrases.ts';

/** By how much to move a burn that lies partly beside a plain board so that all of it lies on it; null where it does not fit. */
export const ontoBoardMm = (burn: Bounds, stock: Stock): readonly [xMm: number, yMm: number] | null =>
  fitShiftMm(burn, stockBounds(stock), NEAR_MM);

/** The same for a burn that fits a plain board only turned by 90° about its middle; null where it fits as it lies, or not so either. */
function turnedOntoBoardMm(burn: Bounds, stock: Stock): readonly [xMm: number, yMm: number] | null {
  if (ontoBoardMm(burn, stock)) return null;
  const [x, y] = middleOf(burn);
  const [halfX, halfY] = [(burn.maxXMm - burn.minXMm) / 2, (burn.maxYMm - burn.minYMm) / 2];
  const turned = { minXMm: x - halfY, minYMm: y - halfX, maxXMm: x + halfY, maxYMm: y + halfX };
  return fitShiftMm(turned, stockBounds(stock), NEAR_MM, true);
}

/**
 * `off-stock`: the burn reaches beyond the board that was given. A line that lies on the very edge, half its spot
 * in the air, still counts as on it. One finding for the job, on the first move that burns outside.
 */
export function findOffStock({ program, machine, stock, burnBounds, dose }: Evidence): Finding[] {
  // Where the true outline is known it counts, not the rectangle around it.
  if (!stock || stock.outline || isEmptyBounds(burnBounds)) return [];
  const board = stockBounds(stock);
  const slackMm = edgeSlackMm(machine);
  const over = overhang(burnBounds, board, slackMm);
  if (!over) return [];
  const { moves } = program;
  const { xMm, yMm } = moves;
  const isOff = (x: number, y: number) => !holdsPoint(board, x, y, slackMm);
  const isBurning = (i: number) => isLit(moves, i, machine.laser.fires_on_rapids);
  let move = 0;
  let [x, y] = [0, 0];
  for (; move < moves.count; move++) {
    if (!isBurning(move)) continue;
    // A stroke may come in from outside as well as go out.
    [x, y] = [move > 0 ? xMm[move - 1]! : 0, move > 0 ? yMm[move - 1]! : 0];
    if (!isOff(x, y)) [x, y] = [xMm[move]!, yMm[move]!];
    if (isOff(x, y)) break;
  }
  const dot =
    move < moves.count
      ? undefined
      : dotsOf(program, machine.laser.fires_on_rapids).find(({ xMm, yMm }) => isOff(xMm, yMm));
  if (dot) [x, y, move] = [dot.xMm, dot.yMm, dot.move];
  const turnedMm = turnedOntoBoardMm(burnBounds, stock);
  const shiftMm = turnedMm ?? ontoBoardMm(burnBounds, stock);
  const size = `${numberWords(stock.widthMm, 4)} × ${numberWords(stock.heightMm, 4)} mm`;
  return [
    {
      kind: 'off-stock',
      severity: 'stop',
      line: dot?.line ?? moves.line[move]!,
      atMm: [round(x, 3), round(y, 3)],
      operation: moves.operation[move]! || null,
      message:
        `The burn reaches beyond the board of ${size}, by ${over.sides.join(' and ')}: ` +
        'that part is missing from the piece and burns the bed instead.',
      remedy: turnedMm
        ? turnWords(burnBounds, board, turnedMm)
        : fitWords(burnBounds, board, 'burn', 'board', NEAR_MM),
      measure: {
        left_mm: round(over.leftMm),
        right_mm: round(over.rightMm),
        front_mm: round(over.frontMm),
        back_mm: round(over.backMm),
        energy_beside_j: round(dose.outsideJ),
        ...(shiftMm ? { shift_mm: shiftMm } : {}),
        ...(turnedMm ? { turn_degrees: 90 } : {}),
      },
    },
  ];
}

function turnWords(burn: Bounds, board: Bounds, shiftMm: readonly [xMm: number, yMm: number]): string {
  const way = wayWords(shiftMm);
  return (
    `It does not fit as it lies: ${sizesWords(burn, board, 'burn', 'board')}. Turn it by 90°` +
    `${way === '' ? '' : ` and move it ${way}`}; it fits the board then.`
  );
}
