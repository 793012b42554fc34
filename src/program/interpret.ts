import { InputError } from '../errors.ts';
import { MM_PER_INCH, mmPerMinToMmPerS } from '../units.ts';
import { type Block, bits, letterIndex, lettersOf } from './block.ts';
import * as code from './codes.ts';
import { type Codes, NONE, sortCodes } from './codes.ts';
import { dwellOf } from './dwell.ts';
import { chooseSystem, moveFurther, pointOf, renameFurther, SYSTEM_TOPIC } from './elsewhere.ts';
import { addStop } from './moves.ts';
import { CALL, unsimulatedG, unsimulatedM, unusedLetter } from './names.ts';
import { leaveOut, understand } from './notes.ts';
import { endPower, pinWord, setS, spindleWord } from './power.ts';
import type { State } from './state.ts';
import { ARC_WORDS, arc, goHome, shiftTo, straight } from './travel.ts';

/**
 * Carries out blocks, one after another, in the order of NISTIR 6556 Table 8: feed, power, beam switch, dwell,
 * units, coordinates, motion, stop, however the words stand on the line.
 */

const AXES = bits('XYZ');
const FURTHER_AXES = bits('ABCUVWE');
const F = bits('F');
const S = bits('S');
const FI = letterIndex('F');
const SI = letterIndex('S');
/** A block of nothing but these, besides one G0 or G1, needs no sorting. */
const SIMPLE = AXES | F | S | bits('N');

/** Ten hours for a path of 6 mm: nothing slower is meant, and in the end energies would outgrow every number. */
export const LEAST_FEED_MM_PER_MIN = 0.01;

const FEED_OF_ANOTHER_WORD = {
  effect: 'an F beside an M word that is not simulated is taken to be that word’s own',
  severity: 'warning',
} as const;

/** Carries out one block. */
export function execute(state: State, block: Block): void {
  const { has, gCount } = block;
  const simple = (has & ~SIMPLE) === 0 && block.mCount === 0 && block.bare === 0;
  const newMotion = gCount === 0 ? state.motion : gCount === 1 ? block.g[0]! * 10 : NONE;
  if (simple && (newMotion === code.RAPID || newMotion === code.LINEAR)) {
    if (gCount === 1) {
      state.motion = newMotion;
      state.motionGiven = true;
    }
    if (has & F) setFeed(state, block);
    if (has & S) setPower(state, block);
    if (has & AXES) moveStraight(state, block, false);
    if (has !== 0 || gCount !== 0) state.begun = true;
    return;
  }
  state.begun = true;
  executeCodes(state, block, sortCodes(block));
}

/** Blocks that hold more than axis, feed and power words. */
function executeCodes(state: State, block: Block, codes: Codes): void {
  const { line, has } = block;
  if (codes.call !== undefined) {
    leaveOut(state.notes, line, codes.call, CALL);
    return;
  }

  // Letters that belong to one word of the block and so mean nothing else.
  let used = bits('N') | F | S;
  const foreign = foreignWords(state, block, codes);
  if (foreign === 'all') return;
  used |= foreign;
  const ownsS = codes.pin !== NONE && (has & S) !== 0;
  const dwell =
    codes.nonModal === code.DWELL ? dwellOf(state, block, codes.spindle !== NONE || ownsS) : undefined;
  if (dwell) block.has &= ~dwell.uses;
  const axes = (block.has | block.bare) & AXES;

  if (codes.feedMode === code.INVERSE_TIME || codes.feedMode === code.PER_REVOLUTION) {
    throw new InputError(
      `found G${codes.feedMode / 10}; expected feeds in length per minute (G94), the only kind that is simulated`,
      block,
    );
  }
  if (has & F) setFeed(state, block);
  if (block.has & S && !ownsS) setPower(state, block);
  used |= switchBeam(state, block, codes);
  for (let k = 0; k < codes.coolantWords; k++) rest(state, line, 0);
  if (dwell) rest(state, line, dwell.seconds);
  setModes(state, block, codes);

  used |= reportUnsimulated(state, block, codes, axes !== 0);
  const taken = takesAxes(codes);
  if (taken && codes.motion !== NONE && axes !== 0) {
    throw new InputError(
      `found G${codes.motion / 10} and G${taken / 10} on one line, which both need its axis words; expected one of them`,
      block,
    );
  }
  if (codes.motion !== NONE) {
    state.motion = codes.motion;
    state.motionGiven = true;
  }
  const before = pointOf(state);
  if (taken) {
    used |= moveCoordinates(state, block, codes, axes);
  } else {
    used |= move(state, block, codes, axes);
  }
  moveFurther(state, block, ~used, before);
  reportUnused(state, block, used);
  if (codes.stopping !== NONE) stopProgram(state, block, codes.stopping);
}

/**
 * M words outside RS-274. Without a G word beside them the rest of the line is theirs (in the dialects they
 * come from a line holds one command: `M204 S500` is no beam power, `M201 X900` no move).
 * @returns the letters they take, or `all` when the whole block is dealt with.
 */
function foreignWords(state: State, block: Block, codes: Codes): number | 'all' {
  if (codes.foreign.length === 0) return 0;
  for (const m of codes.foreign) {
    leaveOut(state.notes, block.line, `M${m}`, unsimulatedM(m, (block.has & AXES) !== 0));
  }
  const alone = block.gCount === 0 && block.mCount === codes.foreign.length;
  const tool = codes.foreign.every((m) => m === 6);
  if (!alone || tool) return bits('PQDEHL');
  if (block.has & F) leaveOut(state.notes, block.line, 'F', FEED_OF_ANOTHER_WORD);
  return 'all';
}

/** F, in the units in force before the block: it comes before G20 and G21 in the order of execution. */
function setFeed(state: State, block: Block): void {
  const feed = block.value[FI]!;
  const mmPerMin = feed * state.mmPerUnit;
  if (feed < 0) throw new InputError(`found F${feed}; expected a feed of 0 or more`, block);
  if (mmPerMin < LEAST_FEED_MM_PER_MIN && feed !== 0) {
    throw new InputError(`found F${feed}; expected at least ${LEAST_FEED_MM_PER_MIN} mm/min`, block);
  }
  state.feedMmPerS = mmPerMinToMmPerS(mmPerMin);
  state.feedIsSpare = false;
}

function setPower(state: State, block: Block): void {
  const s = block.value[SI]!;
  if (s < 0) throw new InputError(`found S${s}; expected a power of 0 or more`, block);
  setS(state.power, s, block.line);
}

/** M3, M4, M5, M106, M107. @returns the letters that belong to them. */
function switchBeam(state: State, block: Block, codes: Codes): number {
  const { line, has } = block;
  let used = 0;
  if (codes.spindle !== NONE) {
    spindleWord(state.power, codes.spindle, line, state.moves, state.stops);
    rest(state, line, 0);
    const inline = (has | block.bare) & bits('I') && codes.motion === NONE && !(has & AXES);
    if (inline && codes.spindle !== 5) {
      understand(
        state.notes,
        line,
        'M3 I',
        'The I of M3 or M4 (power follows S on the move) was taken as given.',
      );
    }
    if (inline) used |= bits('I');
  }
  if (codes.pin !== NONE) {
    const s = has & S ? block.value[SI]! : undefined;
    if (s !== undefined && s < 0) throw new InputError(`found S${s}; expected a power of 0 or more`, block);
    pinWord(state.power, codes.pin === 106 ? 'M106' : 'M107', s, line);
    used |= bits('P');
  }
  return used;
}

/** The head comes to rest here. */
function rest(state: State, line: number, seconds: number): void {
  const { power, motion } = state;
  const rapid = motion === code.RAPID || motion === code.CANCEL_MOTION ? 1 : 0;
  addStop(state.stops, state.moves.count, seconds, { s: power.level, powerMode: power.mode, rapid, line });
}

/** Plane, units, coordinate system and distance modes: steps 11 to 17 of Table 8. */
function setModes(state: State, block: Block, codes: Codes): void {
  if (codes.plane !== NONE) state.plane = codes.plane;
  if (codes.units === 200 || codes.units === 210) {
    const mmPerUnit = codes.units === code.INCHES ? MM_PER_INCH : 1;
    if (block.has & F && mmPerUnit !== state.mmPerUnit) {
      const [before, after] = mmPerUnit === 1 ? ['inches', 'millimetres'] : ['millimetres', 'inches'];
      understand(
        state.notes,
        block.line,
        'F beside a change of units',
        `F${block.value[FI]} stands on the line that changes units: it was read in ${before} a minute, since F comes first (NISTIR 6556 Table 8). Many hobby controllers read it in ${after}; put it on a line of its own.`,
      );
    }
    state.mmPerUnit = mmPerUnit;
  }
  if (codes.system !== NONE) chooseSystem(state, codes.system, block.line);
  if (codes.system > code.FIRST_SYSTEM) {
    understand(
      state.notes,
      block.line,
      SYSTEM_TOPIC,
      `G${codes.system / 10}: all coordinate systems are taken to have their origin at the machine's.`,
    );
  }
  if (codes.distance !== NONE) state.absolute = codes.distance === code.ABSOLUTE;
  if (codes.arcDistance !== NONE) state.arcAbsolute = codes.arcDistance === code.ARC_ABSOLUTE;
}

/** Notes the G words that are not simulated. @returns the letters that belong to them. */
function reportUnsimulated(state: State, block: Block, codes: Codes, holdsAxes: boolean): number {
  for (const g of codes.unsimulated) {
    leaveOut(state.notes, block.line, `G${g / 10}`, unsimulatedG(g, holdsAxes));
    if (g >= 382 && g <= 385) rest(state, block.line, 0);
  }
  return codes.unsimulated.length > 0 ? ~0 : 0;
}

/** The code that takes the axis words away from G0–G3, or 0. */
function takesAxes(codes: Codes): number {
  const { nonModal } = codes;
  if (nonModal !== NONE && nonModal !== code.DWELL && nonModal !== code.MACHINE_COORDINATES) return nonModal;
  return codes.unsimulated.find((g) => unsimulatedG(g, true).takes === 'axes') ?? 0;
}

/** G28, G30 and G92 with their relatives: step 19. @returns the letters they use. */
function moveCoordinates(state: State, block: Block, codes: Codes, axes: number): number {
  const { line } = block;
  const further = (block.has | block.bare) & FURTHER_AXES;
  switch (codes.nonModal) {
    case code.HOME:
    case code.SECOND_HOME:
      understand(
        state.notes,
        line,
        'home',
        `G${codes.nonModal / 10} was read as rapids to the machine's origin (some controllers search for their switches instead).`,
      );
      rest(state, line, 0);
      goHome(state, block, codes.nonModal === code.HOME ? state.home : state.secondHome);
      return AXES | further;
    case code.HOME + 1:
      state.home.set(state.at);
      return 0;
    case code.SECOND_HOME + 1:
      state.secondHome.set(state.at);
      return 0;
    case code.SHIFT:
      if (axes === 0 && further === 0) {
        throw new InputError('found G92 without axis words; expected some, as in G92 X0 Y0', block);
      }
      shiftTo(state, block);
      renameFurther(state, block);
      return AXES | further;
    case code.SHIFT_CLEAR:
      state.shift.fill(0);
      state.keptShift.fill(0);
      return 0;
    case code.SHIFT_SUSPEND:
      state.keptShift.set(state.shift);
      state.shift.fill(0);
      return 0;
    case code.SHIFT_RESTORE:
      state.shift.set(state.keptShift);
      return 0;
    default:
      return ~0;
  }
}

/** Motion: step 20. @returns the letters it uses. */
function move(state: State, block: Block, codes: Codes, axes: number): number {
  const { motion } = state;
  const machine = codes.nonModal === code.MACHINE_COORDINATES;
  const isArc = motion === code.CLOCKWISE || motion === code.COUNTER_CLOCKWISE;
  const centre = block.has & bits('IJKR');
  if (machine && motion !== code.RAPID && motion !== code.LINEAR) {
    throw new InputError('found G53 without G0 or G1 in force; expected a straight move', block);
  }
  if (machine && !state.absolute) {
    throw new InputError('found G53 while G91 is in force; expected absolute coordinates (G90)', block);
  }
  if (axes === 0 && !(isArc && centre)) return 0;
  if (motion === code.CANCEL_MOTION) {
    throw new InputError('found axis words after G80; expected G0, G1, G2 or G3 before them', block);
  }
  if (isArc) {
    arc(state, block);
    return ARC_WORDS;
  }
  if (motion === code.RAPID || motion === code.LINEAR) {
    moveStraight(state, block, machine);
    return AXES;
  }
  if (codes.motion === NONE) {
    leaveOut(state.notes, block.line, `G${motion / 10}`, unsimulatedG(motion, true));
  }
  return ~0;
}

function moveStraight(state: State, block: Block, machine: boolean): void {
  if (!state.motionGiven) {
    understand(
      state.notes,
      block.line,
      'no motion word',
      'The first coordinates come before any G0 or G1: they were read as rapids (G0).',
    );
  }
  straight(state, block, machine);
}

/** Letters that nothing on the line explains: a centre without an arc is refused, the rest is noted. */
function reportUnused(state: State, block: Block, used: number): void {
  const unused = (block.has | block.bare) & ~used;
  if (unused === 0) return;
  const centre = lettersOf(unused & bits('IJKR'));
  if (centre.length > 0) {
    throw new InputError(`found ${centre.join(' and ')} without an arc; expected G2 or G3 with it`, block);
  }
  for (const letter of lettersOf(unused)) leaveOut(state.notes, block.line, letter, unusedLetter(letter));
}

/** How many pauses are told by their lines. */
const MOST_PAUSES = 1000;

/** M0, M1, M60: a pause. M2, M30: the end. Step 21. */
function stopProgram(state: State, block: Block, stopping: number): void {
  const { line } = block;
  if (stopping === 2 || stopping === 30) {
    endPower(state.power);
    state.endedAt = line;
    state.endedBy = `M${stopping}`;
  } else {
    if (state.pauseLines.length < MOST_PAUSES) state.pauseLines.push(line);
    understand(
      state.notes,
      line,
      'pause',
      `M${stopping} pauses for as long as the operator likes; it is shown as no time at all. With constant power and S above 0 the beam would burn a spot there.`,
    );
  }
  rest(state, line, 0);
}

/** `$H`: the controller searches for its switches. The head rests; where it is afterwards is the machine's affair. */
export function homingCommand(state: State, line: number): void {
  const moved = state.at.some((coordinate) => coordinate !== 0);
  leaveOut(state.notes, line, '$H', {
    effect: moved
      ? 'homing is left out: the head stays where it is, though on the machine it goes to its switches'
      : 'homing is left out; the head is at the origin already',
    severity: moved ? 'stop' : 'note',
  });
  rest(state, line, 0);
}
