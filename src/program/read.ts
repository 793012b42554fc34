import { InputError } from '../errors.ts';
import { refuseUnknownOptions } from '../options.ts';
import { readAnyLine } from './any-line.ts';
import { createBlock } from './block.ts';
import { blankComments, commentsIn } from './comments.ts';
import { mayMove } from './controller-line.ts';
import { tellElsewhere, turningAxes } from './elsewhere.ts';
import { saysEven, saysTones } from './even-mark.ts';
import { saysFinish } from './finish-mark.ts';
import { execute, homingCommand } from './interpret.ts';
import { createLineBytes, noteLine } from './line-bytes.ts';
import { eachLine, hole, isEndMark, isFilling, paddingFrom, type TextSource } from './lines.ts';
import { finishMoves, finishStops } from './moves.ts';
import { leaveOut, type Notes, odditiesOf, tellOddity, understand } from './notes.ts';
import { type FillStep, groupOperations } from './operations.ts';
import { readPlainLine } from './plain-line.ts';
import { createPower, type PowerWords, tellPower, tellScale } from './power.ts';
import { addProblem, isFarBehind, refusalOf } from './problems.ts';
import { POWER_OFF, type PowerMode, type Program } from './program.ts';
import { createState, type State } from './state.ts';
import { SWATCH_TITLE } from './swatch-job.ts';

export type { TextSource } from './lines.ts';

/** What the reader must know of the machine. */
export interface ReadOptions {
  /** No chord of a flattened arc is farther from the arc than this. */
  readonly arcToleranceMm: number;
  /** What the P of G4 counts. */
  readonly dwellUnit: 's' | 'ms';
  /** Which words switch the beam; `auto` unless given. */
  readonly powerWords?: PowerWords;
  /** What M4 means; proportional power unless given. */
  readonly m4Power?: PowerMode;
  /** The S of full power, to notice jobs made for another scale. */
  readonly sMax?: number;
  /** The feed of moves that have none; without it such a job is refused. */
  readonly feedMmPerS?: number | null;
  /**
   * How far apart rows of a fill lie at most, mm, that run in a direction and are burned with the head at a height, mm: wider
   * apart they are lines, each by itself. As far as rows are told by their shape unless given.
   */
  readonly fillStepMm?: FillStep;
}

const READ_OPTIONS: Readonly<Record<keyof ReadOptions, true>> = {
  arcToleranceMm: true,
  dwellUnit: true,
  powerWords: true,
  m4Power: true,
  sMax: true,
  feedMmPerS: true,
  fillStepMm: true,
};

/**
 * Reads a job: G-code by RS-274/NGC (NISTIR 6556) with the common practice of hobby controllers where that
 * standard is silent. Positions come out in machine coordinates; the head starts at (0, 0, 0) with the beam
 * off, in G0, G17, G21, G90, G94.
 * @param source the text, whole or in pieces cut anywhere; pieces are read one after another and let go
 * @returns moves, stops, operations, and what was left out or doubtful. The arrays are the caller's.
 * @throws {InputError} with its line, where a forecast would mean nothing; it names up to five problems of the file.
 */
export function readProgram(source: TextSource, options: ReadOptions): Program {
  const reading = startReading(options);
  const lineCount = eachLine(source, reading.line);
  return reading.finish(lineCount);
}

/** A job being read line by line, for those who watch what each line does. */
export interface Reading {
  /** What is in force after the lines read so far, and what they have made; only to be looked at. */
  readonly state: State;
  /** Reads the line that stands in `text` from `start` to before `end`; lines come in order, from 1. */
  readonly line: (text: string, start: number, end: number, line: number) => void;
  readonly finish: (lineCount: number) => Program;
}

/** Begins to read a job, see {@link readProgram}. */
export function startReading(options: ReadOptions): Reading {
  refuseUnknownOptions(options, READ_OPTIONS, 'readProgram');
  const { arcToleranceMm, dwellUnit, powerWords = 'auto', m4Power = 'proportional' } = options;
  if (!(arcToleranceMm > 0)) throw new RangeError(`invalid arcToleranceMm: ${arcToleranceMm}; expected > 0`);
  const settings = { arcToleranceMm, dwellUnit, spareFeedMmPerS: options.feedMmPerS ?? 0 };
  const state = createState(settings, createPower(powerWords, m4Power));
  const block = createBlock();
  const lines = createLineBytes();
  const readLine = (text: string, start: number, end: number, line: number): void => {
    if (state.endedAt > 0) {
      passOver(state, text.slice(start, end), line);
      return;
    }
    block.line = line;
    if (readPlainLine(text, start, end, block)) {
      execute(state, block);
      return;
    }
    const code = withoutPadding(state, text.slice(start, end), line);
    switch (readAnyLine(code, block, state.notes)) {
      case 'words':
        execute(state, block);
        break;
      case 'percent':
        percentLine(state, line);
        break;
      case 'end mark':
        endMark(state, line);
        break;
      case 'homing':
        homingCommand(state, line);
        break;
      case 'nothing': {
        const muchProse = tooMuchProse(state.notes, line, PROSE_ENOUGH);
        if (muchProse !== null) throw muchProse;
      }
    }
  };
  let hasProblems = false;
  let titledSwatch = false;
  let followsSpeed = false;
  let followsTones = false;
  let finishesCut = false;
  return {
    state,
    line(text, start, end, line) {
      noteLine(lines, line, end - start);
      if (state.moves.count === 0) {
        const comments = commentsIn(text.slice(start, Math.min(end, start + TITLE_LENGTH)));
        if (line === 1) titledSwatch = comments.startsWith(`; ${SWATCH_TITLE} `);
        followsSpeed ||= saysEven(comments);
        followsTones ||= saysTones(comments);
        finishesCut ||= saysFinish(comments);
      }
      try {
        readLine(text, start, end, line);
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        // The head is where the line sends it, so that later lines are judged by themselves.
        if (error.topic !== undefined) state.at.set(state.target);
        if (!addProblem(state.problems, error)) throw refusalOf(state.problems);
        hasProblems = true;
      }
      if (hasProblems && isFarBehind(state.problems, line)) throw refusalOf(state.problems);
    },
    finish: (lineCount) => ({
      ...finish(state, lineCount, lines.bytes, options),
      titledSwatch,
      followsSpeed,
      followsTones,
      finishesCut,
    }),
  };
}

/** A title, or what a comment says of the whole job, is looked for in so many characters of a line. */
const TITLE_LENGTH = 100;

/** `%` frames a program: what follows the second is not read (NISTIR 6556 §3.1). */
function percentLine(state: State, line: number): void {
  state.percents++;
  if (state.percents === 1 && !state.begun) return;
  if (state.percents === 1) {
    understand(
      state.notes,
      line,
      'late %',
      'A “%” stands in the middle, with none at the beginning; it was passed over.',
    );
    return;
  }
  state.endedAt = line;
  state.endedBy = '%';
}

function endMark(state: State, line: number): void {
  understand(
    state.notes,
    line,
    'end mark',
    'The mark for the end of a text (code 26), as old disks have it, was taken as the end of the job.',
  );
  state.endedAt = line;
  state.endedBy = END_MARK;
}

const END_MARK = 'the end mark';

const PADDING = 'padding';

/** A line without the NULs it ends with: what fills up the last block of a disk ends the job. */
function withoutPadding(state: State, text: string, line: number): string {
  const to = paddingFrom(text, 0, text.length);
  if (to === text.length || isEndMark(text)) return text;
  tellPadding(state, line);
  state.endedAt = line;
  state.endedBy = PADDING;
  return text.slice(0, to);
}

const tellPadding = ({ notes }: State, line: number): void =>
  tellOddity(notes, line, 'padding', () => ({
    found: 'NUL characters behind the end of the job, which fill up the file',
    readAs: 'it was read as ending there',
    instead: 'the file anew, without them',
  }));

/** A line behind the end of the program. */
function passOver(state: State, text: string, line: number): void {
  if (isFilling(text)) {
    if (text.includes('\0') && state.endedBy !== END_MARK && !isEndMark(text)) tellPadding(state, line);
    return;
  }
  if (state.endedBy === PADDING) {
    const error = hole(state.endedAt, text);
    state.endedAt = 0;
    throw error;
  }
  const words = blankComments(text).trim();
  if (words === '' || words === '%') return;
  const moves = mayMove(words);
  leaveOut(state.notes, line, `after ${state.endedBy}`, {
    effect: moves
      ? `the program ends at line ${state.endedAt}; what follows is not run, and some of it would move the head`
      : `the program ends at line ${state.endedAt}; what follows is not run`,
    severity: moves ? 'warning' : 'note',
  });
}

function finish(
  state: State,
  lineCount: number,
  lineBytes: Uint32Array,
  { sMax, fillStepMm }: ReadOptions,
): Omit<Program, 'titledSwatch' | 'followsSpeed' | 'followsTones' | 'finishesCut'> {
  const { notes, power, problems } = state;
  const muchProse = tooMuchProse(notes, lineCount, 2);
  if (muchProse !== null) addProblem(problems, muchProse);
  if (problems.found.length > 0) throw refusalOf(problems);
  if (state.percents === 1 && state.endedAt === 0 && state.begun && !notes.understood.has('late %')) {
    understand(
      notes,
      lineCount,
      'open %',
      'The file begins with “%” but ends without one, nor with M2 or M30: it may be cut short.',
    );
  }
  tellPower(power, notes, sMax);
  tellElsewhere(state);
  if (state.moves.count === 0) throw noMoves(state, lineCount);

  const moves = finishMoves(state.moves);
  const operations = groupOperations(moves, fillStepMm);
  if (sMax !== undefined) tellScale(operations, notes, sMax);
  const notSimulated = Array.from(notes.leftOut.values());
  const isTurned = turningAxes({ notSimulated }).length > 0;
  return {
    moves,
    stops: finishStops(state.stops),
    // The same path is another on a piece that has turned.
    operations: isTurned ? operations.map((each) => ({ ...each, passes: 1 })) : operations,
    lineCount,
    mmPerUnit: state.mmPerUnit,
    lineBytes,
    notSimulated,
    understood: Array.from(notes.understood.values()),
    oddities: odditiesOf(notes),
    pauseLines: state.pauseLines,
    endsWithBeamOn:
      power.mode !== POWER_OFF && power.level > 0 ? { line: power.onLine, s: power.level } : null,
  };
}

/** One line in so many may be no G-code; where it is more, the file is something else. A single one always may. */
const LINES_FOR_A_LINE_OF_PROSE = 20;

/** A file that has so many is not read to its end. */
const PROSE_ENOUGH = 10_000;

function tooMuchProse({ oddities, prose }: Notes, lineCount: number, least: number): InputError | null {
  const count = oddities.get('no G-code')?.count ?? 0;
  if (count < least || count * LINES_FOR_A_LINE_OF_PROSE <= lineCount) return null;
  const quotes = prose.map(({ line, text }) => `${text} on line ${line}`).join(', ');
  return new InputError(
    `found ${count} lines of ${lineCount} that are no G-code (${quotes}${count > prose.length ? ' …' : ''}); expected at most one in ${LINES_FOR_A_LINE_OF_PROSE}`,
    { line: prose[0]?.line, topic: 'size' },
  );
}

function noMoves(state: State, lineCount: number): InputError {
  if (lineCount === 0) return new InputError('found an empty file; expected G-code');
  const grave = Array.from(state.notes.leftOut.values()).find(({ severity }) => severity === 'stop');
  const [title] = state.notes.prose;
  const prose = title ? ` (${title.text} on line ${title.line} is no G-code)` : '';
  const isPadding = state.notes.oddities.get('padding')?.line === 1;
  if (isPadding)
    return new InputError('found nothing but NUL characters; expected G-code as plain text', { line: 1 });
  const hint = grave ? ` (${grave.word} on line ${grave.lines[0]} is not simulated: ${grave.effect})` : prose;
  return new InputError(
    `found no moves${hint}; expected at least one line that moves the head, as G1 X10 F600`,
  );
}
