import { type Stock, stockBounds } from '../board.ts';
import { type Bounds, holdsPoint, isEmptyBounds, middleOf } from '../grid.ts';
import { isLit } from '../program/beam-on.ts';
import { dotsOf } from '../program/dots.ts';
import { numberWords } from '../words.ts';
import {
  bedBounds,
  boardBeyondBedWords,
  boundsOfMoves,
  ontoBothMm,
  staysOnBed,
} from './evidence/board-on-bed.ts';
import type { Evidence } from './evidence/evidence.ts';
import { edgeSlackMm } from './evidence/on-board.ts';
import { fitShiftMm, fitWords, overhang, type Shift, sizesWords, wayWords } from './evidence/overhang.ts';
import type { Finding } from './finding.ts';
import { NEAR_MM } from './near-edge.ts';
import { round } from './phrases.ts';

/** By how much to move a burn that lies partly beside a plain board so that all of it lies on it; null where it does not fit. */
export const ontoBoardMm = (burn: Bounds, stock: Stock): Shift | null =>
  fitShiftMm(burn, stockBounds(stock), NEAR_MM);

/** A rectangle turned by 90° about its middle. */
function turned(burn: Bounds): Bounds {
  const [x, y] = middleOf(burn);
  const [halfX, halfY] = [(burn.maxXMm - burn.minXMm) / 2, (burn.maxYMm - burn.minYMm) / 2];
  return { minXMm: x - halfY, minYMm: y - halfX, maxXMm: x + halfY, maxYMm: y + halfX };
}

/** As {@link ontoBoardMm} for a burn that fits only turned by 90° about its middle; null where it fits as it lies, or not so either. */
const turnedOntoBoardMm = (burn: Bounds, stock: Stock): Shift | null =>
  ontoBoardMm(burn, stock) ? null : fitShiftMm(turned(burn), stockBounds(stock), NEAR_MM, true);

interface Fit {
  readonly remedy: string;
  readonly shiftMm: Shift | null;
  readonly isTurned: boolean;
}

/** How the burn comes onto the board without sending the head off the bed. */
function fitOf(evidence: Evidence, stock: Stock): Fit {
  const { burnBounds: burn, machine } = evidence;
  const [board, bed] = [stockBounds(stock), bedBounds(machine)];
  const turnedMm = turnedOntoBoardMm(burn, stock);
  const least = turnedMm ?? ontoBoardMm(burn, stock);
  const sent = turnedMm ? turned(burn) : boundsOfMoves(evidence, false);
  if (!least || staysOnBed(sent, bed, least)) {
    const remedy = turnedMm
      ? turnWords(burn, board, turnedMm)
      : fitWords(burn, board, 'burn', 'board', NEAR_MM);
    return { remedy, shiftMm: least, isTurned: turnedMm !== null };
  }
  const ontoBoth = turnedMm ? null : ontoBothMm(evidence, sent, NEAR_MM);
  const remedy = ontoBoth
    ? `Move the burn ${wayWords(ontoBoth)}; it fits the bed and the board then.`
    : (boardBeyondBedWords(evidence) ??
      'Lay the board anew under the burn; where it lies now, the job does not fit both bed and board.');
  return { remedy, shiftMm: ontoBoth, isTurned: false };
}

/**
 * `off-stock`: the burn reaches beyond the board that was given. A line that lies on the very edge, half its spot
 * in the air, still counts as on it. One finding for the job, on the first move that burns outside.
 */
export function findOffStock(evidence: Evidence): Finding[] {
  const { program, machine, stock, burnBounds, dose } = evidence;
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
  const fit = fitOf(evidence, stock);
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
      remedy: fit.remedy,
      measure: {
        left_mm: round(over.leftMm),
        right_mm: round(over.rightMm),
        front_mm: round(over.frontMm),
        back_mm: round(over.backMm),
        energy_beside_j: round(dose.outsideJ),
        ...(fit.shiftMm ? { shift_mm: fit.shiftMm } : {}),
        ...(fit.isTurned ? { turn_degrees: 90 } : {}),
      },
    },
  ];
}

function turnWords(burn: Bounds, board: Bounds, shiftMm: Shift): string {
  const way = wayWords(shiftMm);
  return (
    `It does not fit as it lies: ${sizesWords(burn, board, 'burn', 'board')}. Turn it by 90°` +
    `${way === '' ? '' : ` and move it ${way}`}; it fits the board then.`
  );
}
