import { asksForLight, burnsAtFeed } from '../program/beam-on.ts';
import type { Operation, Program } from '../program/program.ts';
import { startAnew } from './anew.ts';
import type { Settings, Wishes } from './change.ts';
import { type Changed, firstStopAt, stopSource } from './changed.ts';
import { outlineRoute } from './outline-route.ts';
import { lapsFor } from './repeat-passes.ts';
import { moveOf, type Route, stopOf } from './route-steps.ts';
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
  const anew = startAnew();
  const operations: Operation[] = [];

  const addStopsBefore = (k: number) => {
    const end = firstStopAt(stops.beforeMove, stops.count, k + 1);
    for (let j = firstStopAt(stops.beforeMove, stops.count, k); j < end; j++)
      anew.stop(stopSource(settled, j), stops.dwellS[j]!, stopOf(program, j));
  };
  const keep = (from: number, to: number) => {
    for (let k = from; k <= to; k++) {
      addStopsBefore(k);
      anew.add(moveOf(program, k));
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
      else for (const move of step.moves) anew.add(move);
    }
    next = route.nextMove;
    operations.push({ ...operation, passes: wish.passes ?? operation.passes });
  }
  keep(next, moves.count - 1);
  addStopsBefore(moves.count);

  const made = anew.finish(program, operations);
  return { ...made, program: { ...made.program, endsWithBeamOn: beamAtEnd(program, made.program.moves) } };
}

function routeOf(program: Program, operation: Operation, wish: Settings): Route {
  const laps = lapsFor(program.moves, operation, wish.passes ?? operation.passes);
  return operation.kind === 'rows'
    ? rowsRoute(program, operation, wish, laps)
    : outlineRoute(program, operation, laps);
}

/** A run-out at the very end leaves the beam off where the job left it on. */
function beamAtEnd(program: Program, moves: Program['moves']): Program['endsWithBeamOn'] {
  const end = program.endsWithBeamOn;
  const k = moves.count - 1;
  return end && !asksForLight(moves, k) && burnsAtFeed(program.moves, program.moves.count - 1) ? null : end;
}
