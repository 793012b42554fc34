import {
  type Moves,
  type Operation,
  POWER_CONSTANT,
  POWER_OFF,
  POWER_PROPORTIONAL,
  type PowerMode,
  type Program,
} from '../program/program.ts';
import { type Changed, firstStopAt, gapsOf, MADE } from './changed.ts';

const CODE: Record<PowerMode, number> = { constant: POWER_CONSTANT, proportional: POWER_PROPORTIONAL };

/**
 * Puts each operation into the power mode it now has. The beam words change where they stand; an operation
 * that shares its beam word with its neighbour gets one of its own, which is a new stop, where the head sets
 * out for it. A dwell keeps what was in force before it.
 * @param before the operations as the moves still have them.
 */
export function changeModes(program: Program, before: readonly Operation[]): Changed {
  const { moves, stops } = program;
  const moveMode = moves.powerMode.slice(0, moves.count);
  const stopRows: number[][] = [];
  const from: number[] = [];
  let mode = POWER_OFF;

  const passStops = (k: number, operation: Operation | undefined) => {
    const end = firstStopAt(stops.beforeMove, stops.count, k + 1);
    for (let stop = firstStopAt(stops.beforeMove, stops.count, k); stop < end; stop++) {
      const own = stops.powerMode[stop]!;
      if (own === POWER_OFF) mode = POWER_OFF;
      else if (stops.dwellS[stop] === 0) {
        const isOperations = operation && own === CODE[before[operation.n - 1]!.powerMode];
        mode = isOperations ? CODE[operation.powerMode] : own;
      }
      stopRows.push([k, stops.dwellS[stop]!, stops.s[stop]!, mode, stops.rapid[stop]!, stops.line[stop]!]);
      from.push(stop);
    }
  };
  const passMove = (k: number) => {
    moveMode[k] = moves.powerMode[k] === POWER_OFF ? POWER_OFF : mode;
  };

  for (const { from: first, to: last, after } of gapsOf(program)) {
    const switchAt =
      after && modeAfterGap(first, last, after) !== CODE[after.powerMode] ? setOutAt(moves, first, last) : -1;
    for (let k = first; k <= last + 1; k++) {
      passStops(k, after);
      if (k === switchAt) {
        mode = CODE[after!.powerMode];
        stopRows.push([k, 0, 0, mode, k > 0 ? moves.rapid[k - 1]! : 1, moves.line[k]!]);
        from.push(MADE);
      }
      if (k <= last) passMove(k);
    }
    if (!after) break;
    passMove(after.firstMove);
    for (let k = after.firstMove + 1; k <= after.lastMove; k++) {
      passStops(k, after);
      passMove(k);
    }
  }

  /** The mode in force at the end of a gap if no beam word is added to it. */
  function modeAfterGap(first: number, last: number, after: Operation): number {
    let then = mode;
    const end = firstStopAt(stops.beforeMove, stops.count, last + 2);
    for (let stop = firstStopAt(stops.beforeMove, stops.count, first); stop < end; stop++) {
      const own = stops.powerMode[stop]!;
      if (own === POWER_OFF) then = own;
      else if (stops.dwellS[stop] === 0)
        then = own === CODE[before[after.n - 1]!.powerMode] ? CODE[after.powerMode] : own;
    }
    return then;
  }

  const column = (k: number) => stopRows.map((row) => row[k]!);
  return {
    program: {
      ...program,
      moves: { ...moves, powerMode: moveMode },
      stops: {
        count: stopRows.length,
        beforeMove: Uint32Array.from(column(0)),
        dwellS: Float64Array.from(column(1)),
        s: Float64Array.from(column(2)),
        powerMode: Uint8Array.from(column(3)),
        rapid: Uint8Array.from(column(4)),
        line: Uint32Array.from(column(5)),
      },
    },
    moveFrom: null,
    stopFrom: Int32Array.from(from),
  };
}

/** Where the head sets out for the next operation: at the first rapid of a gap, else at its first move. */
function setOutAt({ rapid }: Moves, first: number, last: number): number {
  for (let k = first; k <= last; k++) if (rapid[k] === 1) return k;
  return first;
}
