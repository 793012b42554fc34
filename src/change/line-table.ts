import { eachLine } from '../program/lines.ts';
import type { Program } from '../program/program.ts';
import { type ReadOptions, startReading } from '../program/read.ts';
import type { State } from '../program/state.ts';

/** How coordinates are meant: units, distance mode, plane and shift. Lines with the same frame share one. */
export interface Frame {
  readonly mmPerUnit: number;
  readonly absolute: boolean;
  readonly arcAbsolute: boolean;
  readonly plane: number;
  readonly shift: readonly number[];
}

/**
 * A job's lines: where each stands in the text, what it makes, and what is in force after it. Line n has the
 * index n − 1; lists of what was before or after have one more entry, so that line n made the moves
 * `moves[n − 1]` to before `moves[n]`, and the feed before and after it are `feedMmPerS[n − 1]` and
 * `feedMmPerS[n]`.
 */
export interface LineTable {
  readonly program: Program;
  /** Beam power comes from M106 and M107. */
  readonly byPin: boolean;
  readonly count: number;
  readonly start: ArrayLike<number>;
  readonly end: ArrayLike<number>;
  readonly moves: ArrayLike<number>;
  readonly stops: ArrayLike<number>;
  readonly feedMmPerS: ArrayLike<number>;
  readonly s: ArrayLike<number>;
  readonly pinS: ArrayLike<number>;
  readonly mode: ArrayLike<number>;
  /** Motion word, ten times its number. */
  readonly motion: ArrayLike<number>;
  readonly frame: readonly Frame[];
}

/**
 * Reads a job and keeps the table of its lines.
 * @throws {InputError} as `readProgram` does.
 */
export function readLines(text: string, options: ReadOptions): LineTable {
  const reading = startReading(options);
  const { state } = reading;
  const start: number[] = [];
  const end: number[] = [];
  const after = { moves: [] as number[], stops: [] as number[], feedMmPerS: [] as number[] };
  const force = { s: [] as number[], pinS: [] as number[], mode: [] as number[], motion: [] as number[] };
  const frames: Frame[] = [];
  const note = () => {
    after.moves.push(state.moves.count);
    after.stops.push(state.stops.count);
    after.feedMmPerS.push(state.feedMmPerS);
    force.s.push(state.power.spindleS);
    force.pinS.push(state.power.pinS);
    force.mode.push(state.power.spindleMode);
    force.motion.push(state.motion);
    const last = frames.at(-1);
    frames.push(last && isFrame(state, last) ? last : frameOf(state));
  };
  note();
  const count = eachLine(text, (chunk, from, to, line) => {
    // A last line without a line end comes as a text of its own.
    const offset = chunk === text ? 0 : text.length - chunk.length;
    start.push(offset + from);
    end.push(offset + to);
    reading.line(chunk, from, to, line);
    note();
  });
  const program = reading.finish(count);
  const { power } = state;
  const byPin =
    power.words === 'M106' || (power.words === 'auto' && !power.spindleSeen && power.pinCount.M106 > 0);
  return { program, byPin, count, start, end, ...after, ...force, frame: frames };
}

const frameOf = (state: State): Frame => ({
  mmPerUnit: state.mmPerUnit,
  absolute: state.absolute,
  arcAbsolute: state.arcAbsolute,
  plane: state.plane,
  shift: Array.from(state.shift),
});

/** Places this close are the same: rounding dust of incremental coordinates. */
export const SAME_PLACE_MM = 1e-7;

export const isFrame = (state: State, frame: Frame): boolean =>
  state.mmPerUnit === frame.mmPerUnit &&
  state.absolute === frame.absolute &&
  state.arcAbsolute === frame.arcAbsolute &&
  state.plane === frame.plane &&
  Math.abs(state.shift[0]! - frame.shift[0]!) < SAME_PLACE_MM &&
  Math.abs(state.shift[1]! - frame.shift[1]!) < SAME_PLACE_MM &&
  Math.abs(state.shift[2]! - frame.shift[2]!) < SAME_PLACE_MM;

/** Where the head is before a line of the job. */
export function placeBefore({ program: { moves }, moves: made }: LineTable, line: number): number[] {
  const k = made[line - 1]! - 1;
  return k < 0 ? [0, 0, 0] : [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!];
}

export const isPlace = (at: ArrayLike<number>, place: ArrayLike<number>): boolean =>
  Math.abs(at[0]! - place[0]!) < SAME_PLACE_MM &&
  Math.abs(at[1]! - place[1]!) < SAME_PLACE_MM &&
  Math.abs(at[2]! - place[2]!) < SAME_PLACE_MM;

/** Whether a reader of another text stands where the job stands before a line, about to move the same way. */
export const isOnTheWay = (state: State, table: LineTable, line: number): boolean =>
  state.motion === table.motion[line - 1] &&
  isFrame(state, table.frame[line - 1]!) &&
  isAt(state, table, line);

/** Whether it also holds the same feed, S and power mode. */
export const isInStep = (state: State, table: LineTable, line: number): boolean =>
  state.feedMmPerS === table.feedMmPerS[line - 1] &&
  state.power.spindleS === table.s[line - 1] &&
  state.power.pinS === table.pinS[line - 1] &&
  state.power.spindleMode === table.mode[line - 1] &&
  isOnTheWay(state, table, line);

function isAt({ at }: State, { program: { moves }, moves: made }: LineTable, line: number): boolean {
  const k = made[line - 1]! - 1;
  const [x, y, z] = k < 0 ? [0, 0, 0] : [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!];
  return (
    Math.abs(at[0]! - x) < SAME_PLACE_MM &&
    Math.abs(at[1]! - y) < SAME_PLACE_MM &&
    Math.abs(at[2]! - z) < SAME_PLACE_MM
  );
}
