import { bisectLeft } from 'd3-array';
import type { Operation, Program } from '../program/program.ts';
import type { Placement } from './placement.ts';

/**
 * A program with changes, and where each of its moves and stops comes from: the index of the move or stop of
 * the program it was made from, or {@link MADE} for what is new. A move that comes from another may have
 * other settings, and where it leads up to a row another end. null: each comes from the one of its own index.
 */
export interface Changed {
  readonly program: Program;
  readonly moveFrom: Int32Array | null;
  readonly stopFrom: Int32Array | null;
  /** Where the whole job was laid; left out: where it was. */
  readonly placement?: Placement;
  /** New moves that are chords of an arc of the job, and are to be written as arcs about the same centre. */
  readonly arcs?: readonly NewArc[];
}

/** New moves that are one arc: so many of them, from the first on, and the line of the job whose centre is theirs. */
export interface NewArc {
  readonly first: number;
  readonly count: number;
  readonly line: number;
}

export const MADE = -1;

export const moveSource = (changed: Changed, k: number): number =>
  changed.moveFrom === null ? k : changed.moveFrom[k]!;
export const stopSource = (changed: Changed, k: number): number =>
  changed.stopFrom === null ? k : changed.stopFrom[k]!;

/** The first stop at or after a move: stops are in the order of `beforeMove`. */
export const firstStopAt = (beforeMove: Uint32Array, count: number, move: number): number =>
  bisectLeft(beforeMove, move, 0, count);

/** The travel between two operations' burning: moves from … to (inclusive), and the operations around it. */
export interface Gap {
  readonly from: number;
  readonly to: number;
  readonly before: Operation | undefined;
  readonly after: Operation | undefined;
}

export function gapsOf({ moves, operations }: Program): Gap[] {
  return Array.from({ length: operations.length + 1 }, (_, k) => ({
    from: k === 0 ? 0 : operations[k - 1]!.lastMove + 1,
    to: k === operations.length ? moves.count - 1 : operations[k]!.firstMove - 1,
    before: operations[k - 1],
    after: operations[k],
  }));
}
