import { addMove, addStop, createMoves, createStops, finishMoves, finishStops } from '../program/moves.ts';
import type { Operation, Program } from '../program/program.ts';
import type { Changed } from './changed.ts';
import type { NewMove } from './route-steps.ts';

/** A program written anew, move by move and stop by stop, that keeps where each of them comes from. */
export function startAnew() {
  const moves = createMoves();
  const stops = createStops();
  const moveFrom: number[] = [];
  const stopFrom: number[] = [];
  const numbers: number[] = [];
  return {
    moves,
    stops,
    /** Adds a move, unless the head is there already. */
    add(move: NewMove): void {
      const before = moves.count;
      addMove(moves, [move.xMm, move.yMm, move.zMm], move.feedMmPerS, move);
      if (moves.count === before) return;
      moveFrom.push(move.from);
      numbers.push(move.operation);
    },
    /** Adds a stop of `dwellS` seconds before the move that comes next, with what is in force in it. */
    stop(from: number, dwellS: number, inForce: Parameters<typeof addStop>[3]): void {
      addStop(stops, moves.count, dwellS, inForce);
      stopFrom.push(from);
    },
    /**
     * The program with what was added, and where that came from.
     * @param operations each with moves among those that were added.
     */
    finish(program: Program, operations: readonly Operation[]): Changed {
      const finished = { ...finishMoves(moves), operation: Uint32Array.from(numbers) };
      return {
        program: {
          ...program,
          moves: finished,
          stops: finishStops(stops),
          operations: spans(operations, finished.operation),
        },
        moveFrom: Int32Array.from(moveFrom),
        stopFrom: Int32Array.from(stopFrom),
      };
    },
  };
}

/** Finds each operation's first and last move again. */
function spans(operations: readonly Operation[], numbers: Uint32Array): Operation[] {
  const first = new Map<number, number>();
  const last = new Map<number, number>();
  numbers.forEach((n, k) => {
    if (!first.has(n)) first.set(n, k);
    last.set(n, k);
  });
  return operations.map((operation) => {
    const firstMove = first.get(operation.n);
    if (firstMove === undefined) throw new Error(`operation ${operation.n} lost its moves`);
    return { ...operation, firstMove, lastMove: last.get(operation.n)! };
  });
}
