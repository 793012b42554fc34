import type { Moves } from '../program/program.ts';
import type { BeamVisitor } from './beam.ts';

/** What the beam gave out, added up along the way rather than on the grid. */
export interface Tally extends BeamVisitor {
  /** Energy per operation number, J; index 0 is what belongs to none. */
  readonly energyJ: Float64Array;
  /** How long the beam was on, s, by operation number. */
  readonly beamOnS: Float64Array;
}

export function startTally(moves: Moves, operations: number): Tally {
  const energyJ = new Float64Array(operations + 1);
  const beamOnS = new Float64Array(operations + 1);
  const add = (move: number, pieceJ: number, durationS: number): void => {
    const n = move < 0 ? 0 : moves.operation[move]!;
    energyJ[n] = energyJ[n]! + pieceJ;
    beamOnS[n] = beamOnS[n]! + durationS;
  };
  return {
    energyJ,
    beamOnS,
    stroke: (_x0, _y0, _x1, _y1, _z, pieceJ, durationS, move) => add(move, pieceJ, durationS),
    rest: (_x, _y, _z, pieceJ, durationS, move) => add(move, pieceJ, durationS),
  };
}

/** One visitor out of two: both see every piece. */
export const both = (a: BeamVisitor, b: BeamVisitor): BeamVisitor => ({
  stroke(x0, y0, x1, y1, z, energyJ, durationS, move) {
    a.stroke(x0, y0, x1, y1, z, energyJ, durationS, move);
    b.stroke(x0, y0, x1, y1, z, energyJ, durationS, move);
  },
  rest(x, y, z, energyJ, durationS, move) {
    a.rest(x, y, z, energyJ, durationS, move);
    b.rest(x, y, z, energyJ, durationS, move);
  },
});

/** Adds up double-precision numbers. */
export const total = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0);
