import { BenchError } from '../errors.ts';
import type { Machine } from '../machine/profile.ts';
import { POWER_OFF, POWER_PROPORTIONAL, type Program } from '../program/program.ts';
import { type ReadOptions, startReading } from '../program/read.ts';
import type { State } from '../program/state.ts';
import { type Changed, MADE, moveSource, stopSource } from './changed.ts';
import {
  axisNumber,
  beamWord,
  feedNumber,
  fitLine,
  isWordLine,
  pinWord,
  sNumber,
  type Wanted,
} from './fit-line.ts';
import { isInStep, type LineTable, placeBefore } from './line-table.ts';
import { startPaper } from './paper.ts';

/**
 * Writes a changed program as text, line by line of the job it was made from. What is written is read at
 * once, so that at every line the reader itself knows what is in force by then (place, feed, S, modes): a
 * line keeps its bytes if it does what is wanted as it stands, and is fitted if not.
 *
 * @returns the text, and the program it reads as.
 * @throws {BenchError} where it cannot be done.
 */
export function rewrite(
  text: string,
  table: LineTable,
  changed: Changed,
  options: ReadOptions,
  machine: Machine,
): { text: string; program: Program } {
  const { program: job } = table;
  const { moves, stops } = changed.program;
  const reading = startReading(options);
  const { state } = reading;
  const gap = gapOf(text);
  const paper = startPaper(text, table, reading, gap);
  const firstMove = firstUses(changed.moveFrom, job.moves.count);
  const firstStop = firstUses(changed.stopFrom, job.stops.count);
  let move = 0;
  let stop = 0;
  let copied = 0; // the last line that was written again

  const stopIsNext = (): boolean => stop < stops.count && stops.beforeMove[stop]! <= move;
  const isDone = (): boolean => move >= moves.count && !stopIsNext();
  const source = (): number => (stopIsNext() ? stopSource(changed, stop) : moveSource(changed, move));
  /** The job's line that the next move or stop comes from; 0: a new one. */
  const nextLine = (): number => {
    const from = source();
    return from === MADE ? 0 : stopIsNext() ? job.stops.line[from]! : job.moves.line[from]!;
  };
  const isFiring = (rapid: number, mode: number): boolean =>
    mode !== POWER_OFF && (rapid === 0 || machine.laser.fires_on_rapids);

  /** Where the job itself says S0, S0 it shall be, also where the beam would be held back anyway. */
  const isKeptDark = (s: number, mode: number): boolean => s === 0 && mode !== POWER_OFF;

  /** What the next move or stop asks of S. */
  const beamAhead = (): Pick<Wanted, 's' | 'jobS' | 'sMatters'> => {
    if (isDone()) return { s: 0, jobS: null, sMatters: false };
    const from = source();
    if (stopIsNext()) {
      const s = stops.s[stop]!;
      const mode = stops.powerMode[stop]!;
      const burns = stops.dwellS[stop]! > 0 && isFiring(stops.rapid[stop]!, mode);
      const sMatters = burns || isKeptDark(s, mode);
      return { s, jobS: from === MADE ? null : job.stops.s[from]!, sMatters };
    }
    const s = moves.s[move]!;
    const mode = moves.powerMode[move]!;
    const sMatters = isFiring(moves.rapid[move]!, mode) || isKeptDark(s, mode);
    return { s, jobS: from === MADE ? null : job.moves.s[from]!, sMatters };
  };
  const feedAhead = (): Pick<Wanted, 'feedMmPerS' | 'jobFeedMmPerS' | 'feedMatters'> => {
    if (move >= moves.count) return { feedMmPerS: 0, jobFeedMmPerS: null, feedMatters: false };
    const from = moveSource(changed, move);
    const mode = moves.powerMode[move]!;
    const burnsByFeed =
      mode === POWER_PROPORTIONAL && moves.s[move]! > 0 && isFiring(moves.rapid[move]!, mode);
    return {
      feedMmPerS: moves.feedMmPerS[move]!,
      jobFeedMmPerS: from === MADE ? null : job.moves.feedMmPerS[from]!,
      feedMatters: moves.rapid[move] === 0 || burnsByFeed,
    };
  };

  /** Whether the next move or stop is just as in the job. */
  const isUnchanged = (): boolean => {
    const from = source();
    if (from === MADE) return false;
    if (stopIsNext()) {
      return stops.s[stop] === job.stops.s[from] && stops.powerMode[stop] === job.stops.powerMode[from];
    }
    const own = job.moves;
    return (
      moves.s[move] === own.s[from] &&
      moves.feedMmPerS[move] === own.feedMmPerS[from] &&
      moves.powerMode[move] === own.powerMode[from] &&
      moves.xMm[move] === own.xMm[from] &&
      moves.yMm[move] === own.yMm[from] &&
      moves.zMm[move] === own.zMm[from]
    );
  };

  /** Takes the moves and stops of a line, in order, and says what they want of it. */
  const take = (line: number): { wanted: Wanted; same: boolean } => {
    const [m0, m1] = [table.moves[line - 1]!, table.moves[line]!];
    const [s0, s1] = [table.stops[line - 1]!, table.stops[line]!];
    let beam = beamAhead();
    const feed = feedAhead();
    let same = isDone() || isUnchanged();
    let nextMove = m0;
    let nextStop = s0;
    let mode: number | null = null;
    let end: number[] | null = null;
    while (!isDone()) {
      const from = source();
      const isOurs = stopIsNext() ? from === nextStop && from < s1 : from === nextMove && from < m1;
      if (!isOurs) break;
      same &&= isUnchanged();
      const ahead = beamAhead();
      if (ahead.sMatters && !beam.sMatters) beam = ahead;
      if (stopIsNext()) {
        mode = stops.powerMode[stop++]!;
        nextStop++;
      } else {
        end = [moves.xMm[move]!, moves.yMm[move]!, moves.zMm[move]!];
        move++;
        nextMove++;
      }
    }
    const isWhole = (taken: number, from: number, to: number) => taken === from || taken === to;
    if (!isWhole(nextMove, m0, m1) || !isWhole(nextStop, s0, s1)) throw splits(line);
    same &&= nextMove === m1 && nextStop === s1;
    const feedMatters = feed.feedMatters && end !== null;
    return {
      wanted: {
        ...beam,
        sMatters: beam.sMatters && nextMove + nextStop > m0 + s0,
        mode,
        ...feed,
        feedMatters,
        end,
      },
      same,
    };
  };

  const writeLine = (line: number, again: boolean): void => {
    const { wanted, same } = take(line);
    const isBehindTheEnd = state.endedAt > 0;
    if (isBehindTheEnd || (same && isInStep(state, table, line))) {
      paper.jobLine(line, null, again);
      return;
    }
    const [m0, m1] = [table.moves[line - 1]!, table.moves[line]!];
    const jobLine = {
      text: text.slice(table.start[line - 1], table.end[line - 1]),
      line,
      frame: table.frame[line - 1]!,
      motion: table.motion[line]!,
      makesMoves: m1 > m0,
      makesStops: table.stops[line]! > table.stops[line - 1]!,
      start: placeBefore(table, line),
      end: placeBefore(table, line + 1),
    };
    const { before, content } = fitLine(jobLine, wanted, state, table.byPin, gap);
    for (const each of before) paper.newLine(each);
    if (content === null) paper.leaveOut(line);
    else paper.jobLine(line, content === jobLine.text ? null : content, again);
  };

  /** Writes the next move or stop that is new or comes from a line written already. */
  const writeOther = (): void => {
    const line = nextLine();
    if (line === 0) {
      copied = 0;
      if (stopIsNext()) {
        if (table.byPin) throw noModes(changed, move);
        paper.newLine(`${beamWord(stops.powerMode[stop]!)}${gap}S0`);
        stop++;
      } else {
        const before = { s: state.power.pinS };
        const s = moves.s[move]!;
        if (table.byPin && before.s !== s) paper.newLine(pinWord(s));
        paper.newLine(newMove(changed, move, state, table.byPin, gap));
        move++;
      }
      return;
    }
    for (let l = copied + 1; copied > 0 && l < line; l++) if (setsModes(l)) writeLine(l, true);
    writeLine(line, true);
    copied = line;
  };
  /** Whether a line does something though it makes no move and no stop. */
  const setsModes = (line: number): boolean =>
    table.moves[line - 1] === table.moves[line] &&
    table.stops[line - 1] === table.stops[line] &&
    isWordLine(text.slice(table.start[line - 1], table.end[line - 1]), line);

  for (let line = 1; line <= table.count; line++) {
    const isUsed =
      usedIn(firstMove, table.moves[line - 1]!, table.moves[line]!) ||
      usedIn(firstStop, table.stops[line - 1]!, table.stops[line]!);
    while (isUsed && !isDone() && nextLine() < line) writeOther();
    writeLine(line, false);
    copied = 0;
    while (isUsed && !isDone() && nextLine() <= line) writeOther();
  }
  while (!isDone()) writeOther();
  // What the job switched off at its end by a move that is gone now.
  const { power } = state;
  if (job.endsWithBeamOn === null && power.mode !== POWER_OFF && power.level > 0) {
    paper.newLine(table.byPin ? 'M107' : 'S0');
  }
  const { text: made, lineCount } = paper.finish();
  return { text: made, program: reading.finish(lineCount) };

  function splits(line: number): BenchError {
    return new BenchError(
      'found one line that makes several passes or rows; expected each on lines of its own, so that they can be changed',
      { line },
    );
  }
}

/** A new straight move, with the words that do not hold yet. */
function newMove(changed: Changed, k: number, state: State, byPin: boolean, gap: string): string {
  const { moves } = changed.program;
  const end = [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!];
  const words: string[] = [];
  const motion = moves.rapid[k] === 1 ? 0 : 10;
  if (state.motion !== motion) words.push(`G${motion / 10}`);
  for (const [axis, letter] of ['X', 'Y', 'Z'].entries()) {
    if (end[axis] !== state.at[axis]) words.push(letter + axisNumber(end[axis]!, axis, state));
  }
  if (!byPin && state.power.spindleS !== moves.s[k]) words.push(`S${sNumber(moves.s[k]!)}`);
  if (motion === 10 && state.feedMmPerS !== moves.feedMmPerS[k]) {
    words.push(`F${feedNumber(moves.feedMmPerS[k]!, state)}`);
  }
  return words.join(gap);
}

const noModes = (changed: Changed, move: number) =>
  new BenchError(
    'found a beam that is switched by M106; expected M3 or M4, the words that tell constant from proportional power',
    { line: changed.program.moves.line[Math.min(move, changed.program.moves.count - 1)]! },
  );

/** The changed program's moves (or stops) that come first from each of the job's; null: each from its own. */
function firstUses(from: Int32Array | null, count: number): Uint8Array | null {
  if (from === null) return null;
  const used = new Uint8Array(count);
  for (const k of from) if (k !== MADE) used[k] = 1;
  return used;
}

function usedIn(used: Uint8Array | null, from: number, to: number): boolean {
  if (used === null) return to > from;
  for (let k = from; k < to; k++) if (used[k] === 1) return true;
  return false;
}

/** How the file parts its words: by a blank, or not at all. */
const gapOf = (text: string): string => (/^[^;(\n]*[A-Z]-?[\d.]+[A-Z]-?[\d.]/im.test(text) ? '' : ' ');
