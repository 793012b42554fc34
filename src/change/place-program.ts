import type { Machine } from '../machine/profile.ts';
import { isLit, isLitAtRest } from '../program/beam-on.ts';
import type { Program } from '../program/program.ts';
import { startAnew } from './anew.ts';
import { type Changed, firstStopAt, MADE, moveSource, stopSource } from './changed.ts';
import { type Placement, placedAt } from './placement.ts';
import { moveOf, stopOf } from './route-steps.ts';

/**
 * Lays a job elsewhere. What burns moves, and the ways between; where the head stands at the origin before the first
 * burn stays, and so does the way home: all from the first rapid, or the first way to the origin, after the last burn.
 * @param changed the program with all its other settings changed.
 */
export function placeProgram(changed: Changed, placement: Placement, { laser }: Machine): Changed {
  const { program } = changed;
  const { moves, stops } = program;
  const { first, last } = litSpan(program, laser.fires_on_rapids);
  if (first > last) return changed;
  const isHome = (k: number): boolean => moves.xMm[k] === 0 && moves.yMm[k] === 0;
  let from = first;
  while (from > 0 && !isHome(from - 1)) from--;
  let behind = last + 1;
  const leads = (k: number): boolean =>
    moves.rapid[k] === 1 && (moves.xMm[k] !== moves.xMm[k - 1] || moves.yMm[k] !== moves.yMm[k - 1]);
  while (behind < moves.count && !leads(behind) && !isHome(behind)) behind++;

  const anew = startAnew();
  const addStops = (k: number): void => {
    const end = firstStopAt(stops.beforeMove, stops.count, k + 1);
    for (let j = firstStopAt(stops.beforeMove, stops.count, k); j < end; j++)
      anew.stop(stopSource(changed, j), stops.dwellS[j]!, stopOf(program, j));
  };
  /** A job that burns where the head stands in the beginning needs a way to where that is now. */
  const addWay = (k: number): void => {
    const [xMm, yMm] = placedAt(placement, 0, 0);
    const like = moveOf(program, Math.min(k, moves.count - 1));
    // It belongs to no operation: the first would begin with a way that burns nothing.
    const zMm = k > 0 ? moves.zMm[k - 1]! : 0;
    anew.add({ ...like, from: MADE, xMm, yMm, zMm, s: 0, rapid: 1, operation: 0 });
  };
  const burnsAtOnce = from === first;
  const restsFirst = burnsAtOnce && hasLitRest(program, from, laser.fires_on_rapids);
  for (let k = 0; k < moves.count; k++) {
    if (k === from && restsFirst) addWay(k);
    addStops(k);
    if (k === from && burnsAtOnce && !restsFirst) addWay(k);
    const move = { ...moveOf(program, k), from: moveSource(changed, k) };
    if (k < from || k >= behind) anew.add(move);
    else {
      const [xMm, yMm] = placedAt(placement, move.xMm, move.yMm);
      anew.add({ ...move, xMm, yMm });
    }
  }
  addStops(moves.count);
  return { ...anew.finish(program, program.operations), placement };
}

/** The first and the last move that is laid elsewhere because something burns on it or at its end. */
function litSpan(program: Program, firing: boolean): { first: number; last: number } {
  const { moves, stops } = program;
  let first = moves.count;
  let last = -1;
  for (let k = 0; k < moves.count; k++) {
    if (!isLit(moves, k, firing)) continue;
    if (first > k) first = k;
    last = k;
  }
  for (let j = 0; j < stops.count; j++) {
    if (stops.dwellS[j] === 0 || !isLitAtRest(stops, j, firing)) continue;
    const before = stops.beforeMove[j]!;
    first = Math.min(first, before);
    last = Math.max(last, before - 1);
  }
  return { first, last };
}

function hasLitRest({ stops }: Program, before: number, firing: boolean): boolean {
  const end = firstStopAt(stops.beforeMove, stops.count, before + 1);
  for (let j = firstStopAt(stops.beforeMove, stops.count, before); j < end; j++)
    if (stops.dwellS[j]! > 0 && isLitAtRest(stops, j, firing)) return true;
  return false;
}
