import { burnsAtFeed } from '../program/beam-on.ts';
import type { Operation, Program } from '../program/program.ts';

/** The program with another S on each move, and its operations with the least and greatest of theirs. */
export function withPower(program: Program, s: Float64Array): Program {
  const powered = { ...program, moves: { ...program.moves, s } };
  return { ...powered, operations: program.operations.map((each) => withRange(each, powered)) };
}

/** An operation with the least and greatest S that its moves have now. */
function withRange(operation: Operation, { moves }: Pick<Program, 'moves'>): Operation {
  let sMin = Infinity;
  let sMax = 0;
  for (let k = operation.firstMove; k <= operation.lastMove; k++) {
    if (moves.operation[k] !== operation.n || !burnsAtFeed(moves, k)) continue;
    sMin = Math.min(sMin, moves.s[k]!);
    sMax = Math.max(sMax, moves.s[k]!);
  }
  return { ...operation, sMin, sMax };
}
