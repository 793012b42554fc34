import { InputError } from '../errors.ts';
import { readAnyLine } from '../program/any-line.ts';
import { createBlock } from '../program/block.ts';
import * as code from '../program/codes.ts';
import { createNotes } from '../program/notes.ts';
import { POWER_CONSTANT, POWER_PROPORTIONAL } from '../program/program.ts';
import type { State } from '../program/state.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../units.ts';
import type { Wanted } from './cursor.ts';
import { type Frame, isFrame, isPlace, SAME_PLACE_MM } from './line-table.ts';
import {
  codesOf,
  commentsOf,
  editedLine,
  findWord,
  holdsWords,
  type LineEdit,
  setWord,
  startEdit,
  takeOut,
  type Word,
  written,
} from './line-words.ts';
import { type Placement, placedAt, turned } from './placement.ts';

/** A line of the job, and what it did there. */
interface JobLine {
  readonly text: string;
  readonly line: number;
  readonly frame: Frame;
  /** Motion word in force after it. */
  readonly motion: number;
  readonly makesMoves: boolean;
  readonly makesStops: boolean;
  /** Its stops are made elsewhere now. */
  readonly stopsMoved: boolean;
  readonly start: readonly number[];
  readonly end: readonly number[];
  /** Where the whole job lies now; null: where it was. */
  readonly placement: Placement | null;
}

/** The line as it shall stand (null: not at all), and lines to stand before it. */
interface Fitted {
  readonly before: readonly string[];
  readonly content: string | null;
}

const MOTIONS = new Set([0, 1, 2, 3]);
/** M words beside which S is the beam's and other words are the line's own. */
const PLAIN_M = new Set([0, 1, 2, 3, 4, 5, 7, 8, 9, 30, 60]);
const BEAM_M = new Set([3, 4, 5]);
const STOP_M = new Set([3, 4, 5, 7, 8, 9]);
/** G words that take the axis words, or read them their own way. */
const TAKES_AXES = new Set([10, 28, 28.1, 30, 30.1, 52, 53, 92, 92.1, 92.2, 92.3]);
/** Those that name the place of the head, or take the name away. */
const ORIGIN_WORDS = new Set([92, 92.1, 92.2, 92.3]);

/** Read into by who asks only what a line is. */
const lookedAt = createBlock();

/** Whether a line is made of words at all; comments, commands to the controller and the like are not. */
export function isWordLine(text: string, line: number): boolean {
  lookedAt.line = line;
  return readAnyLine(text, lookedAt, createNotes()) === 'words';
}

/**
 * Fits a line of the job to what is wanted of it, given what is in force when it is reached. Words change
 * only where they must.
 * @param byPin beam power comes from M106.
 * @throws {InputError} where it cannot be done.
 */
export function fitLine(job: JobLine, wanted: Wanted, state: State, byPin: boolean, gap: string): Fitted {
  if (!isWordLine(job.text, job.line)) return { before: [], content: job.text };
  const edit = startEdit(job.text, job.line, gap);
  const before: string[] = [];
  if (job.makesMoves && !wanted.moves) leaveOutMotion(edit);
  else if (job.makesMoves) fitMotion(edit, job, wanted.end, state);
  else fitStill(edit, job, state);
  if (job.makesStops && !wanted.stops) leaveOutStops(edit, job);
  else if (wanted.stops && !byPin) fitBeamWord(edit, before, wanted.mode, state);
  if (codesOf(edit, 'G').includes(4)) fitDwell(before, job, state);
  if (byPin) fitPin(edit, before, wanted, state);
  else fitPower(edit, before, wanted, state);
  if (!job.makesMoves || wanted.moves) fitFeed(edit, wanted, state);
  const left = holdsWords(edit) ? editedLine(edit) : edit.words.length > 0 ? commentsOf(edit) : job.text;
  return { before, content: left === '' ? null : left };
}

/** A line whose moves are not burned any more keeps what else it says. */
function leaveOutMotion(edit: LineEdit): void {
  if (codesOf(edit, 'G').some((g) => TAKES_AXES.has(g)))
    throw cannot(edit, 'a way home that would be left out');
  const isArc = codesOf(edit, 'G').some((g) => g === 2 || g === 3);
  takeOut(
    edit,
    ({ letter, value }) =>
      'XYZFIJKR'.includes(letter) ||
      (letter === 'P' && isArc) ||
      (letter === 'S' && powerWord(edit) !== null) ||
      (letter === 'G' && MOTIONS.has(value)),
  );
}

function leaveOutStops(edit: LineEdit, { stopsMoved }: JobLine): void {
  const isDwell = codesOf(edit, 'G').includes(4);
  const isPlainDwell = edit.words.every(({ letter, value }) => 'NPSXU'.includes(letter) || value === 4);
  const staysOut = isDwell && !(stopsMoved && isPlainDwell);
  if (staysOut || codesOf(edit, 'M').some((m) => !STOP_M.has(m))) {
    throw cannot(edit, 'a pause in the middle of what is burned again or elsewhere');
  }
  if (isDwell) takeOut(edit, ({ letter }) => letter !== 'N');
  // The S beside a beam word was meant for what it switched on.
  const takesS = stopsMoved && codesOf(edit, 'M').some((m) => BEAM_M.has(m));
  takeOut(edit, ({ letter, value }) => (letter === 'M' && STOP_M.has(value)) || (letter === 'S' && takesS));
}

/** A line that goes nowhere in the job must not begin to move because the head is elsewhere now. */
function fitStill(edit: LineEdit, job: JobLine, state: State): void {
  const dwell = dwellLetter(edit);
  const isAxis = ({ letter }: Word): boolean => 'XYZ'.includes(letter) && letter !== dwell;
  if (!edit.words.some(isAxis) || isPlace(state.at, job.start)) return;
  // Where the whole job lies elsewhere, an origin that was set at the head goes with it.
  if (job.placement && isAt(state.at, placed(job.placement, job.start)) && setsOrigin(edit)) return;
  if (codesOf(edit, 'G').some((g) => TAKES_AXES.has(g))) {
    throw cannot(edit, 'a word that sets the origin where the head is, and is elsewhere now');
  }
  takeOut(edit, (word) => isAxis(word) || (word.letter === 'G' && MOTIONS.has(word.value)));
}

/** The letter that gives the time of a G4, where it is one that else would be an axis. */
function dwellLetter(edit: LineEdit): 'X' | 'U' | undefined {
  const has = (letter: string): boolean => findWord(edit, letter) >= 0;
  const isGiven = has('P') || (has('S') && !takesPower(edit));
  if (!codesOf(edit, 'G').includes(4) || isGiven) return undefined;
  return has('X') ? 'X' : 'U';
}

function fitMotion(edit: LineEdit, job: JobLine, end: ArrayLike<number>, state: State): void {
  // Numbers are worked out from the origin in force, which need not be the job's where all of it lies elsewhere.
  const frame = job.placement ? { ...job.frame, shift: state.shift } : job.frame;
  if (!isFrame(state, frame)) {
    throw cannot(edit, 'units, origin or distance mode changing within what is burned again or left out');
  }
  const starts = isPlace(state.at, job.start);
  const ends = isPlace(end, job.end);
  const straight = job.motion === code.RAPID || job.motion === code.LINEAR;
  const codes = codesOf(edit, 'G');
  if (job.placement) fitPlaced(edit, job, end, state, job.placement);
  else if (!straight || codes.some((g) => TAKES_AXES.has(g))) {
    if (!starts || !ends) throw cannot(edit, 'an arc, or a way home, that would start or end elsewhere now');
  } else if (!starts || !ends) {
    fitAxes(edit, job, end, state);
  }
  // A way home brings its own motion; two words that need the axes may not stand on one line.
  const saysMotion = codes.some((g) => MOTIONS.has(g) || (TAKES_AXES.has(g) && g !== 53));
  if (state.motion !== job.motion && !saysMotion) {
    edit.inFront.push(`G${job.motion / 10}`);
  }
}

function fitAxes(edit: LineEdit, job: JobLine, end: ArrayLike<number>, state: State): void {
  const { absolute } = job.frame;
  for (const [axis, letter] of ['X', 'Y', 'Z'].entries()) {
    const stays = Math.abs(end[axis]! - state.at[axis]!) < SAME_PLACE_MM;
    const has = findWord(edit, letter) >= 0;
    const asWritten =
      has &&
      Math.abs(end[axis]! - job.end[axis]!) < SAME_PLACE_MM &&
      (absolute || Math.abs(state.at[axis]! - job.start[axis]!) < SAME_PLACE_MM);
    if (asWritten || (!has && stays)) continue;
    setWord(edit, letter, axisNumber(end[axis]!, axis, state));
  }
}

/** The way of a line of a job that lies elsewhere as a whole. */
function fitPlaced(
  edit: LineEdit,
  job: JobLine,
  end: ArrayLike<number>,
  state: State,
  placement: Placement,
): void {
  const codes = codesOf(edit, 'G');
  if (codes.some((g) => TAKES_AXES.has(g))) {
    // A way home before the first burn, or after the last, is what it was; so is one up or down.
    const isHome = isAt(end, job.end);
    const isUpright = isAt([job.start[0]!, job.start[1]!, job.end[2]!], job.end);
    if (isHome || (isUpright && isAt([state.at[0]!, state.at[1]!, end[2]!], end))) return;
    throw cannot(edit, 'a way home, or to a place of the machine, between what is burned');
  }
  const isArc = job.motion !== code.RAPID && job.motion !== code.LINEAR;
  if (isArc) {
    if (!isAt(state.at, placed(placement, job.start)) || !isAt(end, placed(placement, job.end)))
      throw cannot(edit, 'an arc that leads to what is burned, or away from it');
    if (placement.turns !== 0 && job.frame.plane !== code.PLANE_XY)
      throw cannot(edit, 'an arc that rises or falls, and would have to turn');
    fitCentre(edit, job, state, placement);
  }
  const isOdd = placement.turns % 2 === 1;
  fitWords(edit, ['X', 'Y', 'Z'], (letter, value) => {
    const axis = 'XYZ'.indexOf(letter);
    const from = state.absolute ? state.shift[axis]! : state.at[axis]!;
    const has = !Number.isNaN(value);
    const stays = Math.abs(end[axis]! - state.at[axis]!) < NEAR_MM;
    // X and Y of a quarter turn change places; an arc keeps its words, for without any it would be a full circle.
    if (stays && (!has || (isOdd && !isArc))) return null;
    const isAsWritten = Math.abs(from + value * state.mmPerUnit - end[axis]!) < SAME_PLACE_MM;
    return isAsWritten ? 'as it is' : axisNumber(end[axis]!, axis, state);
  });
}

/** I and J of an arc that lies elsewhere; its R, and what is along the third axis, stay. */
function fitCentre(edit: LineEdit, job: JobLine, state: State, placement: Placement): void {
  if (findWord(edit, 'R') >= 0) return;
  const { arcAbsolute, shift, mmPerUnit, plane } = job.frame;
  const letters = plane === code.PLANE_XY ? (['I', 'J'] as const) : plane === code.PLANE_ZX ? ['I'] : ['J'];
  const given = (letter: string): number => {
    const at = findWord(edit, letter);
    return at < 0 ? 0 : edit.words[at]!.value * mmPerUnit;
  };
  const [i, j] = arcAbsolute
    ? placedAt(placement, given('I') + shift[0]!, given('J') + shift[1]!)
    : turned(placement.turns, given('I'), given('J'));
  const centre = arcAbsolute ? [i - state.shift[0]!, j - state.shift[1]!] : [i, j];
  fitWords(edit, letters, (letter, value) => {
    const mm = centre['IJ'.indexOf(letter)]!;
    if (Math.abs(value * mmPerUnit - mm) < SAME_PLACE_MM) return 'as it is';
    return Number.isNaN(value) && mm === 0 && !arcAbsolute ? null : writtenIn(mmPerUnit, mm);
  });
}

/**
 * Gives words new numbers in the places where such words stand, one after the other: a word for which there is no
 * place is added, a place for which there is no word goes.
 * @param number of a word by its letter and number (NaN: it is not there), 'as it is', or null: no such word.
 */
function fitWords(
  edit: LineEdit,
  letters: readonly string[],
  number: (letter: string, value: number) => string | null,
): void {
  const wanted = letters.flatMap((letter) => {
    const at = findWord(edit, letter);
    const word = number(letter, at < 0 ? Number.NaN : edit.words[at]!.value);
    return word === null ? [] : [{ letter, at, word }];
  });
  const places = edit.words.flatMap(({ letter }, k) => (letters.includes(letter) ? [k] : []));
  // As long as each letter keeps its place, the others keep their bytes.
  const keepPlaces = wanted.every(({ at }) => at >= 0) || places.length < wanted.length;
  for (const place of places) edit.replaced.set(place, '');
  const free = places.filter((place) => !(keepPlaces && wanted.some(({ at }) => at === place)));
  for (const { letter, at, word } of wanted) {
    const place = keepPlaces && at >= 0 ? at : free.shift();
    if (place === undefined) edit.behind.push(letter + word);
    else if (word === 'as it is' && place === at) edit.replaced.delete(place);
    else edit.replaced.set(place, letter + (word === 'as it is' ? written(edit.words[at]!.value, 9) : word));
  }
}

/** The words that give the place of the head a name, and those that take it away. */
const setsOrigin = (edit: LineEdit): boolean => codesOf(edit, 'G').some((g) => ORIGIN_WORDS.has(g));

/** Written numbers are rounded, and incremental ones add that up. */
const NEAR_MM = 2e-6;

const placed = (placement: Placement, [x, y, z]: readonly number[]): readonly number[] => [
  ...placedAt(placement, x!, y!),
  z!,
];

const isAt = (at: ArrayLike<number>, place: ArrayLike<number>): boolean => isPlace(at, place, NEAR_MM);

/** The beam word of a stop as it now is. */
function fitBeamWord(edit: LineEdit, before: string[], mode: number, state: State): void {
  const at = edit.words.findIndex(({ letter, value }) => letter === 'M' && BEAM_M.has(value));
  if (at < 0) {
    // Another stop, for air or a pause: it does for the beam word too. Programs end with the beam off anyway.
    const isEnd = codesOf(edit, 'M').some((m) => m === 2 || m === 30);
    if (!isEnd && mode !== state.power.spindleMode) before.push(beamWord(mode));
    return;
  }
  const word = beamWord(mode);
  if (`M${edit.words[at]!.value}` !== word) edit.replaced.set(at, word);
}

export const beamWord = (mode: number): string =>
  mode === POWER_CONSTANT ? 'M3' : mode === POWER_PROPORTIONAL ? 'M4' : 'M5';

/** Constant power burns in a dwell after G1 but not after G0: the motion word in force is part of it. */
function fitDwell(before: string[], job: JobLine, state: State): void {
  const isRapid = (motion: number) => motion === code.RAPID;
  if (isRapid(state.motion) !== isRapid(job.motion)) before.push(isRapid(job.motion) ? 'G0' : 'G1');
}

/** The line's S, where it is beam power and not the time of a dwell or a word of something else. */
function powerWord(edit: LineEdit): Word | null {
  const at = findWord(edit, 'S');
  return at >= 0 && takesPower(edit) ? edit.words[at]! : null;
}

/** Whether an S on the line is beam power. */
function takesPower(edit: LineEdit): boolean {
  const m = codesOf(edit, 'M');
  const isDwell = codesOf(edit, 'G').includes(4) && !m.some((each) => BEAM_M.has(each));
  return !isDwell && m.every((each) => PLAIN_M.has(each));
}

function fitPower(edit: LineEdit, before: string[], wanted: Wanted, state: State): void {
  const word = powerWord(edit);
  const isKept = word !== null && edit.replaced.get(edit.words.indexOf(word)) !== '';
  let s = isKept ? word.value : state.power.spindleS;
  if (isKept && s === wanted.jobS && s !== wanted.s) {
    // Meant for what comes next: it gets its new number where it stands.
    setWord(edit, 'S', sNumber(wanted.s));
    s = wanted.s;
  }
  if (!wanted.sMatters || s === wanted.s) return;
  if (takesPower(edit)) setWord(edit, 'S', sNumber(wanted.s));
  else before.push(`S${sNumber(wanted.s)}`);
}

function fitPin(edit: LineEdit, before: string[], wanted: Wanted, state: State): void {
  let level = state.power.pinS;
  if (codesOf(edit, 'M').includes(106)) {
    const at = findWord(edit, 'S');
    level = at < 0 ? 255 : edit.words[at]!.value;
    if (level === wanted.jobS && wanted.s !== wanted.jobS) {
      setWord(edit, 'S', sNumber(wanted.s));
      level = wanted.s;
    }
  }
  if (wanted.sMatters && level !== wanted.s) before.push(pinWord(wanted.s));
}

export const pinWord = (s: number): string => (s > 0 ? `M106 S${sNumber(s)}` : 'M107');

function fitFeed(edit: LineEdit, wanted: Wanted, state: State): void {
  const at = findWord(edit, 'F');
  let feed = state.feedMmPerS;
  if (at >= 0) {
    feed = mmPerMinToMmPerS(edit.words[at]!.value * state.mmPerUnit);
    if (feed === wanted.jobFeedMmPerS && wanted.feedMmPerS !== wanted.jobFeedMmPerS) {
      setWord(edit, 'F', feedNumber(wanted.feedMmPerS, state));
      feed = wanted.feedMmPerS;
    }
  }
  if (wanted.feedMatters && feed !== wanted.feedMmPerS) {
    setWord(edit, 'F', feedNumber(wanted.feedMmPerS, state));
  }
}

/** Decimals that lose nothing: a millionth of a millimetre. */
const DECIMALS = 6;

/** Millimetres as a number of the job's unit; inches have two decimals more, since one is longer. */
export const writtenIn = (mmPerUnit: number, mm: number, decimals: number = DECIMALS): string =>
  written(mm / mmPerUnit, mmPerUnit === 1 ? decimals : decimals + 2);

export const sNumber = (s: number): string => written(s, 9);
export const feedNumber = (feedMmPerS: number, { mmPerUnit }: Pick<State, 'mmPerUnit'>): string =>
  writtenIn(mmPerUnit, mmPerSToMmPerMin(feedMmPerS));

/** A place of the machine as the number that leads there from where the head is. */
export function axisNumber(mm: number, axis: number, state: State): string {
  const origin = state.absolute ? state.shift[axis]! : state.at[axis]!;
  return writtenIn(state.mmPerUnit, mm - origin);
}

const cannot = ({ line }: LineEdit, found: string) =>
  new InputError(`found ${found}; expected a job in which this change can be made line by line`, { line });
