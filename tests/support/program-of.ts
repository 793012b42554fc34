import {
  POWER_CONSTANT,
  POWER_OFF,
  POWER_PROPORTIONAL,
  type PowerMode,
  type Program,
} from '../../src/program/program.ts';

/** One step of a hand-made program: a move to (x, y, z), or a stop. What is left out stays as it was. */
export type Step =
  | {
      x?: number;
      y?: number;
      z?: number;
      feed?: number;
      s?: number;
      power?: PowerMode | 'off';
      rapid?: boolean;
    }
  | { dwellS: number; s?: number; power?: PowerMode | 'off' };

const MODES = { off: POWER_OFF, constant: POWER_CONSTANT, proportional: POWER_PROPORTIONAL };

/** Builds a `Program` without any G-code, for tests of what comes after the reader. Feeds in mm/s. */
export function programOf(steps: readonly Step[], lineBytes = 20): Program {
  const rows: number[][] = [];
  const stops: number[][] = [];
  let [x, y, z, feed, s, mode, rapid] = [0, 0, 0, 0, 0, POWER_OFF as number, 1];
  steps.forEach((step, index) => {
    s = step.s ?? s;
    if (step.power) mode = MODES[step.power];
    if ('dwellS' in step) {
      stops.push([rows.length, step.dwellS, s, mode, rapid, index + 1]);
      return;
    }
    feed = step.feed ?? feed;
    rapid = step.rapid ? 1 : 0;
    [x, y, z] = [step.x ?? x, step.y ?? y, step.z ?? z];
    rows.push([x, y, z, feed, s, mode, rapid, index + 1]);
  });
  const column = (from: number[][], k: number) => from.map((row) => row[k]!);
  return {
    moves: {
      count: rows.length,
      xMm: Float64Array.from(column(rows, 0)),
      yMm: Float64Array.from(column(rows, 1)),
      zMm: Float64Array.from(column(rows, 2)),
      feedMmPerS: Float64Array.from(column(rows, 3)),
      s: Float64Array.from(column(rows, 4)),
      powerMode: Uint8Array.from(column(rows, 5)),
      rapid: Uint8Array.from(column(rows, 6)),
      line: Uint32Array.from(column(rows, 7)),
      operation: new Uint32Array(rows.length),
    },
    stops: {
      count: stops.length,
      beforeMove: Uint32Array.from(column(stops, 0)),
      dwellS: Float64Array.from(column(stops, 1)),
      s: Float64Array.from(column(stops, 2)),
      powerMode: Uint8Array.from(column(stops, 3)),
      rapid: Uint8Array.from(column(stops, 4)),
      line: Uint32Array.from(column(stops, 5)),
    },
    operations: [],
    lineCount: steps.length,
    lineBytes: new Uint32Array(steps.length).fill(lineBytes),
    notSimulated: [],
    understood: [],
    oddities: [],
    mmPerUnit: 1,
    titledSwatch: false,
    followsSpeed: false,
    followsTones: false,
    finishesCut: false,
    pauseLines: [],
    endsWithBeamOn: null,
  };
}
