import { spans } from '../change/anew.ts';
import { type Changed, MADE, moveSource } from '../change/changed.ts';
import { roundMm } from '../change/rounding.ts';
import { addMove, createMoves, finishMoves } from '../program/moves.ts';
import type { Program } from '../program/program.ts';

/** A program whose moves are cut into pieces, with the move of the program before that each is a piece of. */
export interface Split {
  readonly changed: Changed;
  readonly pieceOf: Uint32Array;
}

/**
 * Cuts moves into pieces, so that each can have a power of its own. The way stays the same to half a micrometre; the
 * piece that ends where the move ended comes from the move, those before it are new.
 * @param cutsOf where move k is cut, as parts of its length, from its start on; none for moves that stay whole.
 */
export function splitMoves(changed: Changed, cutsOf: (k: number) => readonly number[]): Split {
  const { program } = changed;
  const { moves, stops } = program;
  const out = createMoves();
  const moveFrom: number[] = [];
  const pieceOf: number[] = [];
  const numbers: number[] = [];
  const firstPiece = new Uint32Array(moves.count + 1);
  const add = (k: number, end: readonly number[], from: number) => {
    const before = out.count;
    addMove(out, end, moves.feedMmPerS[k]!, {
      s: moves.s[k]!,
      powerMode: moves.powerMode[k]!,
      rapid: moves.rapid[k] === 1 ? 1 : 0,
      line: moves.line[k]!,
    });
    if (out.count === before) return;
    moveFrom.push(from);
    pieceOf.push(k);
    numbers.push(moves.operation[k]!);
  };
  for (let k = 0; k < moves.count; k++) {
    firstPiece[k] = out.count;
    for (const part of cutsOf(k)) add(k, pointAt(program, k, part), MADE);
    add(k, [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!], moveSource(changed, k));
  }
  firstPiece[moves.count] = out.count;
  const finished = { ...finishMoves(out), operation: Uint32Array.from(numbers) };
  return {
    changed: {
      program: {
        ...program,
        moves: finished,
        stops: { ...stops, beforeMove: stops.beforeMove.map((k) => firstPiece[k]!) },
        operations: spans(program.operations, finished.operation),
      },
      moveFrom: Int32Array.from(moveFrom),
      stopFrom: changed.stopFrom ?? Int32Array.from({ length: stops.count }, (_, k) => k),
    },
    pieceOf: Uint32Array.from(pieceOf),
  };
}

/** The point a part of the way along a move, mm; on axes along which it does not go, exactly where it is. */
function pointAt({ moves }: Program, k: number, part: number): number[] {
  return [moves.xMm, moves.yMm, moves.zMm].map((axis) => {
    const from = k > 0 ? axis[k - 1]! : 0;
    const to = axis[k]!;
    return from === to ? to : roundMm(from + (to - from) * part);
  });
}
