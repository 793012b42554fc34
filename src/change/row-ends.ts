import { burnsAtFeed } from '../program/beam-on.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import { endOf, isDarkFeed, type Point, type Row, straightOnMm } from './burned-rows.ts';
import { firstStopAt } from './changed.ts';
import { beside, darkMove, moveOf, type Step } from './route-steps.ts';

/** A row as it shall be burned now. */
export interface Pass {
  readonly row: Row;
  readonly backwards: boolean;
  readonly start: Point;
  readonly end: Point;
  readonly ux: number;
  readonly uy: number;
}

/** The way up to the first row: the move that leads there is sent to where the run-up begins. */
export function runUpTo(
  program: Program,
  operation: Operation,
  pass: Pass,
  overscanMm: number,
): { keptTo: number; steps: Step[] } {
  const { moves, stops } = program;
  const { first } = pass.row;
  const { ux, uy } = pass;
  const zMm = moves.zMm[first]!;
  const begin = { ...beside(pass.start, -overscanMm * ux, -overscanMm * uy), zMm };
  const stopsHere = stops.beforeMove[firstStopAt(stops.beforeMove, stops.count, first)] === first;
  const last = first - 1;
  const hasRunUp =
    !stopsHere && isFree(moves, last) && isDarkFeed(moves, last) && straightOnMm(moves, last, ux, uy) > 0;
  const approach = hasRunUp ? last - 1 : last;
  const steps: Step[] = [];
  if (isFree(moves, approach)) {
    steps.push({ kind: 'stops', before: approach });
    steps.push({ kind: 'make', moves: [{ ...moveOf(program, approach), ...begin }] });
  } else if (overscanMm > 0) {
    steps.push({ kind: 'make', moves: [darkMove(moves, operation, begin, 1, Math.max(0, approach), 0)] });
  }
  const keptTo = isFree(moves, approach) ? approach - 1 : approach;
  if (hasRunUp) {
    steps.push({ kind: 'stops', before: last });
    if (overscanMm > 0) steps.push({ kind: 'keep', from: last, to: last });
  }
  steps.push({ kind: 'stops', before: first });
  if (!hasRunUp) {
    const runUp = darkMove(moves, operation, { ...pass.start, zMm }, 0, first, 0);
    steps.push({ kind: 'make', moves: [runUp] });
  }
  return { keptTo, steps };
}

/** The way out of the last row: a run-out that is there gets its length, else one is made. */
export function runOutOf(
  program: Program,
  operation: Operation,
  pass: Pass,
  overscanMm: number,
): { nextMove: number; steps: Step[] } {
  const { moves, stops } = program;
  const { lastMove } = operation;
  const { ux, uy } = pass;
  const next = lastMove + 1;
  const out = {
    ...beside(pass.end, overscanMm * ux, overscanMm * uy),
    zMm: moves.zMm[pass.row.last]!,
  };
  const stopsHere = stops.beforeMove[firstStopAt(stops.beforeMove, stops.count, next)] === next;
  const hasRunOut =
    !stopsHere &&
    !pass.backwards &&
    isFree(moves, next) &&
    isDarkFeed(moves, next) &&
    straightOnMm(moves, next, ux, uy) > 0;
  if (hasRunOut) {
    // It may be what switches the beam off: without overscan the job's own way out stays.
    if (overscanMm === 0) return { nextMove: next, steps: [] };
    const runOut = { ...moveOf(program, next), ...out };
    return { nextMove: next + 1, steps: [{ kind: 'make', moves: [runOut] }] };
  }
  const made = [darkMove(moves, operation, out, 0, lastMove, 0)];
  // Where the next operation burns on from here, the head must come back first.
  if (next < moves.count && burnsAtFeed(moves, next)) {
    const end = endOf(moves, lastMove);
    made.push(darkMove(moves, operation, { ...end, zMm: moves.zMm[lastMove]! }, 0, lastMove, 0));
  }
  return { nextMove: next, steps: [{ kind: 'make', moves: made }] };
}

/** Whether a move is travel between operations, and alone on its line, so that it may be sent elsewhere. */
function isFree(moves: Moves, k: number): boolean {
  if (k < 0 || k >= moves.count || moves.operation[k] !== 0) return false;
  const line = moves.line[k];
  return (k === 0 || moves.line[k - 1] !== line) && (k + 1 >= moves.count || moves.line[k + 1] !== line);
}
