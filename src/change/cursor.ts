import { InputError } from '../errors.ts';
import { isLit, letsThrough } from '../program/beam-on.ts';
import { POWER_OFF, POWER_PROPORTIONAL } from '../program/program.ts';
import { type Changed, MADE, moveSource, stopSource } from './changed.ts';
import type { LineTable } from './line-table.ts';

/** What a line shall do in the changed job. One record is filled again for every line. */
export interface Wanted {
  /** S, and the S that the job had there (NaN: a new place); whether S must hold. */
  s: number;
  jobS: number;
  sMatters: boolean;
  feedMmPerS: number;
  jobFeedMmPerS: number;
  feedMatters: boolean;
  /** Whether the line makes stops. */
  stops: boolean;
  /** The power mode in force after its stops, or on its moves. */
  mode: number;
  /** Whether it makes moves, and where they end. */
  moves: boolean;
  readonly end: Float64Array;
  /** Whether the job's line goes the same way, and does it with the same settings. */
  sameWay: boolean;
  sameSettings: boolean;
}

export const createWanted = (): Wanted => ({
  s: 0.5,
  jobS: 0.5,
  sMatters: false,
  feedMmPerS: 0.5,
  jobFeedMmPerS: 0.5,
  feedMatters: false,
  stops: false,
  mode: 0,
  moves: false,
  end: new Float64Array(3),
  sameWay: false,
  sameSettings: false,
});

/** Goes over a changed program's moves and stops in order, line of the job by line. */
interface Cursor {
  /** The next move, and the next stop. */
  move: number;
  stop: number;
  isDone(): boolean;
  stopIsNext(): boolean;
  /** The line of the job that the next move or stop comes from; 0: it is new. */
  line(): number;
  /**
   * Passes what comes from a line, and says what the line is wanted to do. A line without moves and stops is told
   * of what comes next, since its S and F may be meant for that.
   * @throws {InputError} where only a part of what the line makes is wanted.
   */
  take(line: number, wanted: Wanted): void;
}

export function startCursor(table: LineTable, changed: Changed, firesOnRapids: boolean): Cursor {
  const job = table.program;
  const { moves, stops } = changed.program;
  const cursor: Cursor = {
    move: 0,
    stop: 0,
    isDone: () => cursor.move >= moves.count && !cursor.stopIsNext(),
    stopIsNext: () => cursor.stop < stops.count && stops.beforeMove[cursor.stop]! <= cursor.move,
    line() {
      const isStop = cursor.stopIsNext();
      const from = isStop ? stopSource(changed, cursor.stop) : moveSource(changed, cursor.move);
      return from === MADE ? 0 : isStop ? job.stops.line[from]! : job.moves.line[from]!;
    },
    take(line, wanted) {
      const firstMove = table.moves[line - 1]!;
      const firstStop = table.stops[line - 1]!;
      const lastMove = table.moves[line]!;
      const lastStop = table.stops[line]!;
      let nextMove = firstMove;
      let nextStop = firstStop;
      lookAhead(wanted);
      wanted.sameWay = true;
      wanted.stops = false;
      wanted.moves = false;
      for (;;) {
        const { move, stop } = cursor;
        if (cursor.stopIsNext()) {
          if (nextStop === lastStop || stopSource(changed, stop) !== nextStop) break;
          if (!wanted.sMatters) lookAtBeam(wanted);
          wanted.sameWay &&= stops.powerMode[stop] === job.stops.powerMode[nextStop];
          wanted.sameSettings &&= stops.s[stop] === job.stops.s[nextStop];
          wanted.stops = true;
          wanted.mode = stops.powerMode[stop]!;
          cursor.stop++;
          nextStop++;
          continue;
        }
        if (move >= moves.count || nextMove === lastMove || moveSource(changed, move) !== nextMove) break;
        if (!wanted.sMatters) lookAtBeam(wanted);
        if (!wanted.moves && !wanted.stops) wanted.mode = moves.powerMode[move]!;
        wanted.moves = true;
        const { end } = wanted;
        end[0] = moves.xMm[move]!;
        end[1] = moves.yMm[move]!;
        end[2] = moves.zMm[move]!;
        wanted.sameWay &&=
          end[0] === job.moves.xMm[nextMove] &&
          end[1] === job.moves.yMm[nextMove] &&
          end[2] === job.moves.zMm[nextMove];
        wanted.sameSettings &&=
          moves.s[move] === job.moves.s[nextMove] &&
          moves.feedMmPerS[move] === job.moves.feedMmPerS[nextMove];
        cursor.move++;
        nextMove++;
      }
      if (nextMove !== lastMove && nextMove !== firstMove) throw splits(line);
      if (nextStop !== lastStop && nextStop !== firstStop) throw splits(line);
      wanted.sameWay &&= nextMove === lastMove && nextStop === lastStop;
      wanted.sMatters &&= wanted.stops || wanted.moves;
      wanted.feedMatters &&= wanted.moves;
    },
  };

  /** What the next move or stop asks of S, and the next move of F. */
  function lookAhead(wanted: Wanted): void {
    const { move } = cursor;
    lookAtBeam(wanted);
    wanted.sameSettings = wanted.s === wanted.jobS || cursor.isDone();
    wanted.feedMatters = false;
    wanted.feedMmPerS = wanted.jobFeedMmPerS = 0;
    if (move >= moves.count) return;
    const from = moveSource(changed, move);
    const burnsByFeed = moves.powerMode[move] === POWER_PROPORTIONAL && isLit(moves, move, firesOnRapids);
    wanted.feedMmPerS = moves.feedMmPerS[move]!;
    wanted.jobFeedMmPerS = from === MADE ? Number.NaN : job.moves.feedMmPerS[from]!;
    wanted.feedMatters = moves.rapid[move] === 0 || burnsByFeed;
    wanted.sameSettings &&= wanted.feedMmPerS === wanted.jobFeedMmPerS;
  }

  /** S of the next move or stop. Where the job says S0, S0 it shall be, though the beam be held back anyway. */
  function lookAtBeam(wanted: Wanted): void {
    wanted.sMatters = false;
    wanted.s = wanted.jobS = 0;
    if (cursor.isDone()) return;
    const isStop = cursor.stopIsNext();
    const k = isStop ? cursor.stop : cursor.move;
    const from = isStop ? stopSource(changed, k) : moveSource(changed, k);
    const beam = isStop ? stops : moves;
    const jobS = isStop ? job.stops.s : job.moves.s;
    const mode = beam.powerMode[k]!;
    const isOn = mode !== POWER_OFF && letsThrough(beam.rapid[k]!, firesOnRapids);
    const burns = isOn && (!isStop || stops.dwellS[k]! > 0);
    wanted.s = beam.s[k]!;
    wanted.jobS = from === MADE ? Number.NaN : jobS[from]!;
    wanted.sMatters = burns || (wanted.s === 0 && mode !== POWER_OFF);
  }

  return cursor;
}

const splits = (line: number) =>
  new InputError(
    'found one line that makes several passes or rows; expected each on lines of its own, so that they can be changed',
    { line },
  );
