import { InputError } from '../errors.ts';
import type { Machine } from '../machine/profile.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import { createBlock } from '../program/block.ts';
import { EVEN_MARK, TONES_MARK } from '../program/even-mark.ts';
import { FINISH_MARK } from '../program/finish-mark.ts';
import { POWER_OFF, type Program } from '../program/program.ts';
import { type ReadOptions, startReading } from '../program/read.ts';
import type { State } from '../program/state.ts';
import { airAfter, airOf, airWords } from './air-assist.ts';
import { type Changed, MADE, moveSource } from './changed.ts';
import { createWanted, startCursor } from './cursor.ts';
import { axisNumber, beamWord, feedNumber, fitLine, isWordLine, pinWord, sNumber } from './fit-line.ts';
import { fitPlainLine } from './fit-plain-line.ts';
import { type Sink, startPaper } from './job-writer.ts';
import {
  frameBefore,
  isInStep,
  isOnTheWay,
  type JobLines,
  type LineTable,
  linesOf,
  placeBefore,
} from './line-table.ts';
import { newArc } from './new-arc.ts';

/**
 * Writes a changed program as text, line by line of the job it was made from. What is written is read at
 * once, so that at every line the reader itself knows what is in force by then (place, feed, S, modes): a
 * line keeps its bytes if it does what is wanted as it stands, and is fitted if not.
 *
 * @param pieces the job's text, in the pieces in which it was read for the table.
 * @param sink takes the new text, piece by piece.
 * @returns the program that it reads as.
 * @throws {InputError} where it cannot be done.
 */
export function rewrite(
  pieces: readonly string[],
  table: LineTable,
  changed: Changed,
  { options, machine }: { readonly options: ReadOptions; readonly machine: Machine },
  sink: Sink,
): Program {
  const { program: job, start, end, byPin } = table;
  const { moves, stops } = changed.program;
  const reading = startReading(options);
  const { state } = reading;
  const lines = linesOf(table, pieces);
  const gap = gapOf(lines);
  const paper = startPaper(lines, table, reading, gap, sink);
  const cursor = startCursor(table, changed, machine.laser.fires_on_rapids);
  const usedMoves = usesOf(changed.moveFrom, job.moves.count);
  const usedStops = usesOf(changed.stopFrom, job.stops.count);
  const wanted = createWanted();
  const block = createBlock();
  const air = changed.moveFrom === null ? null : airOf(lines, table);
  let airNow = 0;
  let copied = 0; // the last line that was written again

  const writeLine = (line: number, again: boolean): void => {
    const from = start[line - 1]!;
    const to = end[line - 1]!;
    cursor.take(line, wanted);
    if (air !== null && wanted.moves && wanted.sMatters && wanted.s > 0) keepAir(air[line - 1]!);
    const isBehindTheEnd = state.endedAt > 0;
    if (isBehindTheEnd || (wanted.sameWay && wanted.sameSettings && isInStep(state, table, line))) {
      paper.jobLine(line, null, again);
      if (air !== null) airNow = airAfter(lines.text(line), line, airNow);
      return;
    }
    const modeHolds = !wanted.moves || (!wanted.stops && state.power.spindleMode === wanted.mode);
    if (wanted.sameWay && modeHolds && !byPin && isOnTheWay(state, table, line)) {
      const content = fitPlainLine(lines.piece(line), from, to, wanted, state, block);
      if (content !== undefined) {
        paper.jobLine(line, content, again);
        return;
      }
    }
    const jobLine = {
      text: lines.text(line),
      line,
      frame: frameBefore(table, line),
      motion: table.motion[line]!,
      makesMoves: table.moves[line]! > table.moves[line - 1]!,
      makesStops: table.stops[line]! > table.stops[line - 1]!,
      stopsMoved: usedIn(usedStops, table.stops[line - 1]!, table.stops[line]!),
      start: placeBefore(table, line),
      end: placeBefore(table, line + 1),
      placement: changed.placement ?? null,
    };
    const { before, content } = fitLine(jobLine, wanted, state, byPin, gap);
    for (const each of before) paper.newLine(each);
    if (content === null) paper.leaveOut(line);
    else paper.jobLine(line, content === jobLine.text ? null : content, again);
    if (air !== null && content !== null) airNow = airAfter(content, line, airNow);
  };
  /** What is burned elsewhere keeps the air it had in the job. */
  const keepAir = (needed: number): void => {
    for (const word of airWords(airNow, needed)) paper.newLine(word);
    airNow = needed;
  };

  const writeNewStop = (): void => {
    if (byPin) throw noModes(moves.line[Math.min(cursor.move, moves.count - 1)]!);
    paper.newLine(`${beamWord(stops.powerMode[cursor.stop]!)}${gap}S0`);
    cursor.stop++;
    if (air !== null && !cursor.isDone()) keepAir(airAhead(air));
  };
  /** The air that what is burned next had in the job. */
  const airAhead = (known: Uint8Array): number => {
    let k = cursor.move;
    while (k < moves.count - 1 && !burnsAtFeed(moves, k)) k++;
    const from = moveSource(changed, k);
    return from === MADE ? airNow : known[job.moves.line[from]! - 1]!;
  };
  const newArcs = new Map(changed.arcs?.map((arc) => [arc.first, arc]));
  /** Writes the new moves that are one arc; false where they have to be written one by one. */
  const writeNewArc = (): boolean => {
    const arc = newArcs.get(cursor.move);
    const about = { table, lines, placement: changed.placement ?? null };
    const content = arc && !byPin ? newArc(changed, arc, about, state, gap) : null;
    if (content === null) return false;
    paper.newLine(content);
    cursor.move += arc!.count;
    return true;
  };
  const writeNewMove = (): void => {
    if (writeNewArc()) return;
    const s = moves.s[cursor.move]!;
    if (byPin && state.power.pinS !== s) paper.newLine(pinWord(s));
    paper.newLine(newMove(changed.program, cursor.move, state, byPin, gap));
    cursor.move++;
  };
  /** Writes a line again, with the lines before it that set modes since the one written again last. */
  const writeAgain = (line: number): void => {
    const goesOn = copied > 0 && table.moves[copied] === table.moves[line - 1];
    for (let l = copied + 1; goesOn && l < line; l++) if (setsModes(l)) writeLine(l, true);
    writeLine(line, true);
    copied = line;
  };
  const setsModes = (line: number): boolean =>
    table.moves[line - 1] === table.moves[line] &&
    table.stops[line - 1] === table.stops[line] &&
    isWordLine(lines.text(line), line);
  /** Writes what comes next and is new, or comes from a line written already. */
  const writeOther = (): void => {
    const line = cursor.line();
    if (line > 0) {
      writeAgain(line);
      return;
    }
    copied = 0;
    if (cursor.stopIsNext()) writeNewStop();
    else writeNewMove();
  };

  const marks = newMarks(changed.program, job);
  for (let line = 1; line <= table.count; line++) {
    if (table.moves[line]! > 0 && table.moves[line - 1] === 0)
      for (const mark of marks) paper.newLine(`; ${mark}`);
    const isUsed =
      usedIn(usedMoves, table.moves[line - 1]!, table.moves[line]!) ||
      usedIn(usedStops, table.stops[line - 1]!, table.stops[line]!);
    while (isUsed && !cursor.isDone() && cursor.line() < line) writeOther();
    writeLine(line, false);
    copied = 0;
    while (isUsed && !cursor.isDone() && cursor.line() <= line) writeOther();
  }
  while (!cursor.isDone()) writeOther();

  // What the job switched off at its end by a move that is gone now.
  const { mode, level } = state.power;
  if (changed.program.endsWithBeamOn === null && mode !== POWER_OFF && level > 0)
    paper.newLine(byPin ? 'M107' : 'S0');
  return reading.finish(paper.finish());
}

/** What the changed program says in comments before its first move, and the job did not. */
const newMarks = (changed: Program, job: Program): string[] => [
  ...(changed.followsSpeed && !job.followsSpeed ? [changed.followsTones ? TONES_MARK : EVEN_MARK] : []),
  ...(changed.finishesCut && !job.finishesCut ? [FINISH_MARK] : []),
];

/** A new straight move, with the words that do not hold yet. */
function newMove({ moves }: Program, k: number, state: State, byPin: boolean, gap: string): string {
  const end = [moves.xMm[k]!, moves.yMm[k]!, moves.zMm[k]!];
  const words: string[] = [];
  const motion = moves.rapid[k] === 1 ? 0 : 10;
  if (state.motion !== motion || !state.motionGiven) words.push(`G${motion / 10}`);
  for (const [axis, letter] of ['X', 'Y', 'Z'].entries()) {
    if (end[axis] !== state.at[axis]) words.push(letter + axisNumber(end[axis]!, axis, state));
  }
  if (!byPin && state.power.spindleS !== moves.s[k]) words.push(`S${sNumber(moves.s[k]!)}`);
  if (motion === 10 && state.feedMmPerS !== moves.feedMmPerS[k]) {
    words.push(`F${feedNumber(moves.feedMmPerS[k]!, state)}`);
  }
  return words.join(gap);
}

const noModes = (line: number) =>
  new InputError(
    'found a beam that is switched by M106; expected M3 or M4, the words that tell constant from proportional power',
    { line },
  );

/** Which of the job's moves (or stops) the changed program still has; null: all. */
function usesOf(from: Int32Array | null, count: number): Uint8Array | null {
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

/** How the file parts its words: by a blank, or not at all. Its beginning tells. */
function gapOf({ pieces }: JobLines): string {
  let head = '';
  for (let k = 0; k < pieces.length && head.length < HEAD_LENGTH; k++)
    head += pieces[k]!.slice(0, HEAD_LENGTH - head.length);
  return /^[^;(\n]*[A-Z]-?[\d.]+[A-Z]-?[\d.]/im.test(head) ? '' : ' ';
}

const HEAD_LENGTH = 20_000;
