import { InputError } from '../errors.ts';
import { eachLine, isEndMark, paddingFrom } from '../program/lines.ts';
import { longer } from '../program/moves.ts';
import type { Program } from '../program/program.ts';
import { type ReadOptions, startReading, type TextSource } from '../program/read.ts';
import type { State } from '../program/state.ts';

/** How coordinates are meant: units, distance mode, plane and shift. Lines with the same frame share one. */
export interface Frame {
  readonly mmPerUnit: number;
  readonly absolute: boolean;
  readonly arcAbsolute: boolean;
  readonly plane: number;
  readonly shift: ArrayLike<number>;
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
  /** How long each piece of the text is, and with which line it begins (ascending, one more at the end). */
  readonly pieceLengths: readonly number[];
  readonly firstLines: readonly number[];
  /** Where lines begin and end, in the piece of the text that holds them; NULs that pad the file belong to none. */
  readonly start: Uint32Array;
  readonly end: Uint32Array;
  readonly moves: Uint32Array;
  readonly stops: Uint32Array;
  readonly feedMmPerS: Float64Array;
  readonly s: Float64Array;
  readonly pinS: Float64Array;
  readonly mode: Uint8Array;
  /** Motion word, ten times its number. */
  readonly motion: Uint8Array;
  /** Which of the frames is in force. */
  readonly frame: Uint32Array;
  readonly frames: readonly Frame[];
}

/**
 * Reads a job and keeps the table of its lines, but not its text.
 * @param text whole, or in pieces of whole lines.
 * @throws {InputError} as `readProgram` does.
 */
export function readLines(text: TextSource, options: ReadOptions): LineTable {
  const reading = startReading(options);
  const { state } = reading;
  let columns = createColumns(FIRST_LINES);
  const frames: Frame[] = [frameOf(state)];
  const note = (k: number) => {
    columns.moves[k] = state.moves.count;
    columns.stops[k] = state.stops.count;
    columns.feedMmPerS[k] = state.feedMmPerS;
    columns.s[k] = state.power.spindleS;
    columns.mode[k] = state.power.spindleMode;
    columns.motion[k] = state.motion;
    // What most jobs never change stays as it was made, and so takes no memory.
    if (state.power.pinS !== 0) columns.pinS[k] = state.power.pinS;
    if (!isFrame(state, frames.at(-1)!)) frames.push(frameOf(state));
    if (frames.length > 1) columns.frame[k] = frames.length - 1;
  };
  note(0);

  const pieceLengths: number[] = [];
  const firstLines: number[] = [];
  let piece = '';
  let lines = 0;
  let isCut = false;
  function* noted(): Generator<string> {
    for (piece of typeof text === 'string' ? [text] : text) {
      firstLines.push(lines + 1);
      pieceLengths.push(piece.length);
      yield piece;
    }
  }
  const count = eachLine(noted(), (chunk, from, to, line) => {
    if (isCut) throw new RangeError('invalid text: pieces cut within lines; expected whole lines');
    // A last line without a line end comes as a text of its own.
    isCut = chunk !== piece;
    const offset = isCut ? piece.length - chunk.length : 0;
    lines = line;
    if (line >= columns.moves.length) columns = longerColumns(columns);
    columns.start[line - 1] = offset + from;
    columns.end[line - 1] = offset + codeEnd(chunk, from, to);
    reading.line(chunk, from, to, line);
    note(line);
  });
  firstLines.push(count + 1);
  const program = reading.finish(count);
  const { power } = state;
  const byPin =
    power.words === 'M106' || (power.words === 'auto' && !power.spindleSeen && power.pinCount.M106 > 0);
  return { program, byPin, count, pieceLengths, firstLines, frames, ...columns };
}

/** Where a line ends but for the NULs that pad the file. */
function codeEnd(text: string, from: number, to: number): number {
  const end = paddingFrom(text, from, to);
  return end < to && isEndMark(text.slice(from, to)) ? to : end;
}

/** The lists of a table, with room for more. */
const createColumns = (room: number) => ({
  start: new Uint32Array(room),
  end: new Uint32Array(room),
  moves: new Uint32Array(room),
  stops: new Uint32Array(room),
  feedMmPerS: new Float64Array(room),
  s: new Float64Array(room),
  pinS: new Float64Array(room),
  mode: new Uint8Array(room),
  motion: new Uint8Array(room),
  frame: new Uint32Array(room),
});

const FIRST_LINES = 1024;

function longerColumns(columns: ReturnType<typeof createColumns>): ReturnType<typeof createColumns> {
  const room = 2 * columns.start.length;
  return {
    start: longer(columns.start, room),
    end: longer(columns.end, room),
    moves: longer(columns.moves, room),
    stops: longer(columns.stops, room),
    feedMmPerS: longer(columns.feedMmPerS, room),
    s: longer(columns.s, room),
    pinS: longer(columns.pinS, room),
    mode: longer(columns.mode, room),
    motion: longer(columns.motion, room),
    frame: longer(columns.frame, room),
  };
}

/** The text of a job's lines. */
export interface JobLines {
  readonly pieces: readonly string[];
  /** The piece that holds a line, from the table's `start` to before its `end`. */
  piece(line: number): string;
  /** A line without its line end, and the line end. */
  text(line: number): string;
  ending(line: number): string;
}

/**
 * The lines of a job whose table is known.
 * @param pieces the text again, in the pieces in which it was read for the table.
 * @throws {InputError} where it is another text by now.
 */
export function linesOf(table: LineTable, pieces: readonly string[]): JobLines {
  const { start, end, pieceLengths, firstLines } = table;
  if (pieces.length !== pieceLengths.length || pieces.some((each, k) => each.length !== pieceLengths[k])) {
    throw new InputError('found a job that changed while it was read; expected one that stays as it is');
  }
  let k = 0; // lines are mostly asked for one after another
  const piece = (line: number): string => {
    while (line < firstLines[k]!) k--;
    while (line >= firstLines[k + 1]!) k++;
    return pieces[k]!;
  };
  return {
    pieces,
    piece,
    text: (line) => piece(line).slice(start[line - 1], end[line - 1]),
    ending(line) {
      const text = piece(line);
      const isLastOfPiece = line + 1 >= firstLines[k + 1]!;
      const ending = text.slice(end[line - 1], isLastOfPiece ? undefined : start[line]);
      return ending.startsWith('\0') ? ending.slice(ending.lastIndexOf('\0') + 1) : ending;
    },
  };
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

/** The frame in force before a line, that is after the one before it. */
export const frameBefore = ({ frames, frame }: LineTable, line: number): Frame => frames[frame[line - 1]!]!;

/** Where the head is before a line of the job. */
export function placeBefore({ program: { moves }, moves: made }: LineTable, line: number): number[] {
  const k = made[line - 1]! - 1;
  return k < 0 ? [0, 0, 0] : [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!];
}

/** Whether two places are one, but for so many mm in each axis. */
export const isPlace = (
  at: ArrayLike<number>,
  place: ArrayLike<number>,
  withinMm: number = SAME_PLACE_MM,
): boolean =>
  Math.abs(at[0]! - place[0]!) < withinMm &&
  Math.abs(at[1]! - place[1]!) < withinMm &&
  Math.abs(at[2]! - place[2]!) < withinMm;

/** Whether a reader of another text stands where the job stands before a line, about to move the same way. */
export const isOnTheWay = (state: State, table: LineTable, line: number): boolean =>
  state.motion === table.motion[line - 1] &&
  isFrame(state, frameBefore(table, line)) &&
  isPlace(state.at, placeBefore(table, line));

/** Whether it also holds the same feed, S and power mode. */
export const isInStep = (state: State, table: LineTable, line: number): boolean =>
  state.feedMmPerS === table.feedMmPerS[line - 1] &&
  state.power.spindleS === table.s[line - 1] &&
  state.power.pinS === table.pinS[line - 1] &&
  state.power.spindleMode === table.mode[line - 1] &&
  isOnTheWay(state, table, line);
