import { startAnew } from '../change/anew.ts';
import { type Changed, MADE, moveSource, stopSource } from '../change/changed.ts';
import { roundMm } from '../change/rounding.ts';
import { moveOf, type NewMove, stopOf } from '../change/route-steps.ts';
import type { Program } from '../program/program.ts';
import { alongArc, type Circle, circlesOf } from './circles.ts';

/** A program whose moves are cut into pieces, with the move of the program before that each is a piece of. */
export interface Split {
  readonly changed: Changed;
  readonly pieceOf: Uint32Array;
}

/**
 * Cuts moves into pieces, so that each can have a power of its own. The way stays the same to half a micrometre, arcs on
 * their circle; the piece that ends where the move ended comes from the move, those before it are new.
 * @param cutsOf where move k is cut, as parts of its length, from its start on; none for moves that stay whole.
 * @param circles of `changed`, where they are at hand.
 */
export function splitMoves(
  changed: Changed,
  cutsOf: (k: number) => readonly number[],
  circles: readonly (Circle | null)[] = circlesOf(changed),
): Split {
  const { program, placement } = changed;
  const { moves, stops } = program;
  const anew = startAnew();
  const pieceOf: number[] = [];
  let stop = 0;
  const addStopsBefore = (k: number) => {
    for (; stop < stops.count && stops.beforeMove[stop]! <= k; stop++)
      anew.stop(stopSource(changed, stop), stops.dwellS[stop]!, stopOf(program, stop));
  };
  const add = (k: number, move: NewMove) => {
    const before = anew.moves.count;
    anew.add(move);
    if (anew.moves.count > before) pieceOf.push(k);
  };
  for (let k = 0; k < moves.count; k++) {
    addStopsBefore(k);
    const whole = moveOf(program, k);
    for (const part of cutsOf(k)) {
      const circle = circles[k];
      const place = circle ? alongArc(moves, k, part, circle) : pointAt(program, k, part);
      add(k, { ...whole, ...place, from: MADE });
    }
    add(k, { ...whole, from: moveSource(changed, k) });
  }
  addStopsBefore(moves.count);
  const made = anew.finish(program, program.operations);
  return {
    changed: placement ? { ...made, placement } : made,
    pieceOf: Uint32Array.from(pieceOf),
  };
}

/** The point a part of the way along a move; on axes along which it does not go, exactly where it is. */
function pointAt(
  { moves }: Program,
  k: number,
  part: number,
): { readonly xMm: number; readonly yMm: number; readonly zMm: number } {
  const along = (axis: Float64Array): number => {
    const from = k > 0 ? axis[k - 1]! : 0;
    const to = axis[k]!;
    return from === to ? to : roundMm(from + (to - from) * part);
  };
  return { xMm: along(moves.xMm), yMm: along(moves.yMm), zMm: along(moves.zMm) };
}
