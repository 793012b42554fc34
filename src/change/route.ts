import { asksForLight, burnsAtFeed } from '../program/beam-on.ts';
import { addMove, addStop, createMoves, createStops, finishMoves, finishStops } from '../program/moves.ts';
import type { Operation, Program } from '../program/program.ts';
import type { Settings, Wishes } from './change.ts';
import { type Changed, firstStopAt } from './changed.ts';
import { outlineRoute } from './outline-route.ts';
import { lapsFor } from './repeat-passes.ts';
import { moveOf, type NewMove, type Route } from './route-steps.ts';
import { rowsRoute } from './rows-route.ts';

export const changesRoute = ({ passes, overscanMm, rowOrder }: Settings, operation: Operation): boolean =>
  (passes !== undefined && passes !== operation.passes) || overscanMm !== undefined || rowOrder !== undefined;

/**
 * Changes that send the head another way: passes, overscan and row order. All else keeps its moves, in order.
 * @param settled the program with its other settings changed; its moves are those of the job, one by one.
 */
export function changeRoute(settled: Changed, wishes: Wishes): Changed {
  const { program } = settled;
  const { moves, stops } = program;
  const out = createMoves();
  const outStops = createStops();
  const moveFrom: number[] = [];
  const stopFrom: number[] = [];
  const numbers: number[] = [];
  const operations: Operation[] = [];

  const add = (move: NewMove) => {
    const before = out.count;
    addMove(out, [move.xMm, move.yMm, move.zMm], move.feedMmPerS, move);
    if (out.count === before) return; // the head is there already
    moveFrom.push(move.from);
    numbers.push(move.operation);
  };
  const addStopsBefore = (k: number) => {
    const end = firstStopAt(stops.beforeMove, stops.count, k + 1);
    for (let j = firstStopAt(stops.beforeMove, stops.count, k); j < end; j++) {
      const rapid = stops.rapid[j] === 0 ? 0 : 1;
      addStop(outStops, out.count, stops.dwellS[j]!, {
        s: stops.s[j]!,
        powerMode: stops.powerMode[j]!,
        rapid,
        line: stops.line[j]!,
      });
      stopFrom.push(settled.stopFrom === null ? j : settled.stopFrom[j]!);
    }
  };
  const keep = (from: number, to: number) => {
    for (let k = from; k <= to; k++) {
      addStopsBefore(k);
      add(moveOf(program, k));
    }
  };

  let next = 0;
  for (const operation of program.operations) {
    const wish = wishes[operation.n - 1];
    if (!wish || !changesRoute(wish, operation)) {
      operations.push(operation);
      continue;
    }
    const route = routeOf(program, operation, wish);
    keep(next, route.keptTo);
    for (const step of route.steps) {
      if (step.kind === 'keep') keep(step.from, step.to);
      else if (step.kind === 'stops') addStopsBefore(step.before);
      else for (const move of step.moves) add(move);
    }
    next = route.nextMove;
    operations.push({ ...operation, passes: wish.passes ?? operation.passes });
  }
  keep(next, moves.count - 1);
  addStopsBefore(moves.count);

  const finished = { ...finishMoves(out), operation: Uint32Array.from(numbers) };
  return {
    program: {
      ...program,
      moves: finished,
      stops: finishStops(outStops),
      operations: spans(operations, finished.operation),
      endsWithBeamOn: beamAtEnd(program, finished),
    },
    moveFrom: Int32Array.from(moveFrom),
    stopFrom: Int32Array.from(stopFrom),
  };
}

function routeOf(program: Program, operation: Operation, wish: Settings): Route {
  const laps = lapsFor(program.moves, operation, wish.passes ?? operation.passes);
  return operation.kind === 'rows'
    ? rowsRoute(program, operation, wish, laps)
    : outlineRoute(program, operation, laps);
}

/** Finds each operation's first and last move again. */
export function spans(operations: readonly Operation[], numbers: Uint32Array): Operation[] {
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

/** A run-out at the very end leaves the beam off where the job left it on. */
function beamAtEnd(program: Program, moves: Program['moves']): Program['endsWithBeamOn'] {
  const end = program.endsWithBeamOn;
  const k = moves.count - 1;
  return end && !asksForLight(moves, k) && burnsAtFeed(program.moves, program.moves.count - 1) ? null : end;
}
