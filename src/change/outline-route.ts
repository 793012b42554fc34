import { addAll } from '../lists.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import type { Lap } from './repeat-passes.ts';
import { darkMove, type Route, type Step, travelTo } from './route-steps.ts';

/** Laps of outlines, with a rapid back to the start where a lap does not end there. */
export function outlineRoute({ moves }: Program, operation: Operation, laps: readonly Lap[]): Route {
  const steps: Step[] = [{ kind: 'stops', before: operation.firstMove }];
  let furthest = -1;
  let end = -1;
  for (const { first, last } of laps) {
    if (furthest >= 0) {
      addAll(steps, first > furthest ? travelTo(moves, first) : backTo(moves, operation, first, end));
    }
    steps.push({ kind: 'keep', from: first, to: last });
    end = last;
    furthest = Math.max(furthest, last);
  }
  return { steps, keptTo: operation.firstMove - 1, nextMove: operation.lastMove + 1 };
}

/** A rapid from the end of move `end` to the start of move `first`. */
function backTo(moves: Moves, operation: Operation, first: number, end: number): Step[] {
  const at = first - 1;
  const start =
    at < 0 ? { xMm: 0, yMm: 0, zMm: 0 } : { xMm: moves.xMm[at]!, yMm: moves.yMm[at]!, zMm: moves.zMm[at]! };
  return [{ kind: 'make', moves: [darkMove(moves, operation, start, 1, end)] }];
}
