import type { Moves } from '../program/program.ts';

/** What the beam gave out, added up along the way rather than on the grid. */
export interface Tally {
  /** Energy per operation number, J; index 0 is what belongs to none. */
  readonly energyJ: Float64Array;
  /** How long the beam was on, s, by operation number. */
  readonly beamOnS: Float64Array;
  add(move: number, energyJ: number, durationS: number): void;
}

export function startTally(moves: Moves, operations: number): Tally {
  const energyJ = new Float64Array(operations + 1);
  const beamOnS = new Float64Array(operations + 1);
  return {
    energyJ,
    beamOnS,
    add(move, pieceJ, durationS) {
      const n = move < 0 ? 0 : moves.operation[move]!;
      energyJ[n] = energyJ[n]! + pieceJ;
      beamOnS[n] = beamOnS[n]! + durationS;
    },
  };
}

/** Adds up double-precision numbers. */
export function total(values: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += values[k]!;
  return sum;
}
