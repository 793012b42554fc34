import type { Program } from '../program/program.ts';
import type { Rests } from './motion.ts';

/** Gathers the times the head spends at rest while a plan is made, in order. */
interface RestCollector {
  /** Puts the program's own dwells before move i on the clock; returns the time after them. */
  programmed(i: number, timeS: number): number;
  /** A wait for move i until `untilS`; returns the time after it. */
  starved(i: number, timeS: number, untilS: number): number;
  finish(): Rests;
}

/** One rest as it is gathered: before move, start, duration, S, power mode, rapid, line, starved. */
type Row = readonly [number, number, number, number, number, number, number, number];

export function collectRests(program: Program): RestCollector {
  const { moves, stops } = program;
  const rows: Row[] = [];
  let stop = 0;
  return {
    programmed(i, timeS) {
      let t = timeS;
      for (; stop < stops.count && stops.beforeMove[stop] === i; stop++) {
        const dwellS = stops.dwellS[stop]!;
        if (dwellS <= 0) continue;
        rows.push([
          i,
          t,
          dwellS,
          stops.s[stop]!,
          stops.powerMode[stop]!,
          stops.rapid[stop]!,
          stops.line[stop]!,
          0,
        ]);
        t += dwellS;
      }
      return t;
    },
    starved(i, timeS, untilS) {
      if (untilS <= timeS) return timeS;
      // What the controller has in hand meanwhile: the last stop before the move, else the move before it.
      const k = stop - 1;
      const state =
        k >= 0 && stops.beforeMove[k] === i
          ? ([stops.s[k]!, stops.powerMode[k]!, stops.rapid[k]!] as const)
          : i > 0
            ? ([moves.s[i - 1]!, moves.powerMode[i - 1]!, moves.rapid[i - 1]!] as const)
            : ([0, 0, 1] as const);
      rows.push([i, timeS, untilS - timeS, ...state, moves.line[i]!, 1]);
      return untilS;
    },
    finish() {
      const column = (k: number) => rows.map((row) => row[k]!);
      return {
        count: rows.length,
        beforeMove: Uint32Array.from(column(0)),
        startS: Float64Array.from(column(1)),
        durationS: Float64Array.from(column(2)),
        s: Float64Array.from(column(3)),
        powerMode: Uint8Array.from(column(4)),
        rapid: Uint8Array.from(column(5)),
        line: Uint32Array.from(column(6)),
        starved: Uint8Array.from(column(7)),
      };
    },
  };
}
