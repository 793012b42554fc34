import { InputError } from '../errors.ts';
import { mmPerSToMmPerMin } from '../units.ts';
import { type Arc, type ArcEnds, arcAround, arcOfRadius, chordCount, isOffCircle } from './arcs.ts';
import { type Block, bits, letterIndex, lettersOf } from './block.ts';
import { CLOCKWISE, PLANE_XY, PLANE_ZX, RAPID } from './codes.ts';
import { addMove } from './moves.ts';
import { tellOddity, understand } from './notes.ts';
import type { State } from './state.ts';

/** The words that move the head: straight lines, arcs, home, and the shift of coordinates. */

/** 100 m: beyond any machine; a coordinate outside is a slip of unit or a broken number. */
export const FARTHEST_MM = 1e5;

const X = bits('X');
const Y = bits('Y');
const Z = bits('Z');
const XI = letterIndex('X');
const YI = letterIndex('Y');
const ZI = letterIndex('Z');
const P = bits('P');
const R = bits('R');
const PI = letterIndex('P');
const RI = letterIndex('R');

/**
 * Works out where the axis words of a block point, into `state.target`; axes without a word stay.
 * @param machine true: in machine coordinates, whatever G91 and G92 say (G53)
 */
function aim(state: State, block: Block, machine: boolean): void {
  const { has, value } = block;
  const { at, target, shift, mmPerUnit } = state;
  for (let axis = 0; axis < 3; axis++) {
    if (has & (X << axis)) {
      const length = value[XI + axis]! * mmPerUnit;
      target[axis] = machine ? length : length + (state.absolute ? shift[axis]! : at[axis]!);
    } else {
      target[axis] = at[axis]!;
    }
  }
  refuseFarAway(target[0]!, target[1]!, target[2]!, block.line);
}

/** G0 or G1 to the axis words of the block. */
export function straight(state: State, block: Block, machine: boolean): void {
  aim(state, block, machine);
  if (state.motion !== RAPID) needFeed(state, block.line);
  goToTarget(state, state.motion === RAPID ? 1 : 0, block.line);
}

/** One move to `state.target`. */
function goToTarget(state: State, rapid: 0 | 1, line: number): void {
  const { at, target, power } = state;
  addMove(state.moves, target, state.feedMmPerS, { s: power.level, powerMode: power.mode, rapid, line });
  // Three numbers one by one take a fifth of the time of a call that copies an array.
  at[0] = target[0]!;
  at[1] = target[1]!;
  at[2] = target[2]!;
}

/** Which axes and centre words belong to each plane: a and b span it, c stands on it. */
const PLANES = {
  xy: { a: 0, b: 1, c: 2, offsetA: 'I', offsetB: 'J', stray: 'K' },
  zx: { a: 2, b: 0, c: 1, offsetA: 'K', offsetB: 'I', stray: 'J' },
  yz: { a: 1, b: 2, c: 0, offsetA: 'J', offsetB: 'K', stray: 'I' },
} as const;

const planeOf = (code: number) => (code === PLANE_XY ? PLANES.xy : code === PLANE_ZX ? PLANES.zx : PLANES.yz);

/** The letters an arc uses. */
export const ARC_WORDS = bits('XYZIJKRP');

/** G2 or G3, flattened into chords that keep within the tolerance, in equal angles (NISTIR 6556 §3.5.3). */
export function arc(state: State, block: Block): void {
  const { has, value, line } = block;
  const { at, target, shift, mmPerUnit } = state;
  const { a, b, c, offsetA, offsetB, stray } = planeOf(state.plane);
  const centreWords = has & bits(offsetA + offsetB);
  if (has & bits(stray) && value[letterIndex(stray)] !== 0) {
    tellOddity(state.notes, line, 'stray centre', () => ({
      found: `${stray}${value[letterIndex(stray)]} in an arc of the plane of G${state.plane / 10}`,
      readAs: `it was left out, since ${offsetA} and ${offsetB} give the centre`,
      instead: `such arcs without ${stray}`,
    }));
  }
  if (has & R && centreWords) {
    throw new InputError('found an arc with both R and a centre; expected one or the other', block);
  }
  if (!(has & R) && !centreWords) {
    throw new InputError(
      `found an arc without ${offsetA}, ${offsetB} or R; expected its centre or radius`,
      block,
    );
  }
  aim(state, block, false);
  needFeed(state, line);

  const ends: ArcEnds = {
    startA: at[a]!,
    startB: at[b]!,
    endA: target[a]!,
    endB: target[b]!,
    clockwise: state.motion === CLOCKWISE,
    line,
  };
  let path: Arc;
  let otherRadius: number;
  if (has & R) {
    if (has & P) {
      throw new InputError('found an arc with R and P; expected turns (P) only with a centre', block);
    }
    otherRadius = Math.abs(value[RI]! * mmPerUnit);
    path = arcOfRadius(ends, value[RI]! * mmPerUnit);
  } else {
    if (!(has & ((X << a) | (X << b)))) {
      understand(
        state.notes,
        line,
        'arc without end point',
        'An arc without an end point was read as a full circle (RS-274 asks for one; many controllers do not).',
      );
    }
    const centre = (letter: string, axis: number): number => {
      const given = has & bits(letter) ? value[letterIndex(letter)]! * mmPerUnit : 0;
      return given + (state.arcAbsolute ? shift[axis]! : at[axis]!);
    };
    if (state.arcAbsolute && centreWords !== bits(offsetA + offsetB)) {
      throw new InputError(
        `found an arc with only ${lettersOf(centreWords)} while G90.1 is in force; expected both ${offsetA} and ${offsetB}`,
        block,
      );
    }
    path = arcAround(ends, centre(offsetA, a), centre(offsetB, b), turnsOf(state, block));
    otherRadius = path.endRadius;
  }
  tellOffCircle(state, path.startRadius, otherRadius, line);

  const startC = at[c]!;
  const endC = target[c]!;
  const chords = chordCount(path, state.arcToleranceMm, line);
  const end = Float64Array.from(target);
  for (let k = 1; k < chords; k++) {
    const part = k / chords;
    const angle = path.startAngle + path.sweep * part;
    const radius = path.startRadius + (path.endRadius - path.startRadius) * part;
    target[a] = path.centreA + radius * Math.cos(angle);
    target[b] = path.centreB + radius * Math.sin(angle);
    target[c] = startC + (endC - startC) * part;
    refuseFarAway(target[0]!, target[1]!, target[2]!, line);
    goToTarget(state, 0, line);
  }
  target.set(end);
  goToTarget(state, 0, line);
}

/** Says where the ends of an arc are off one circle. @param otherRadius that of its end, or as written. */
function tellOffCircle(state: State, startRadius: number, otherRadius: number, line: number): void {
  if (!isOffCircle(Math.abs(startRadius - otherRadius), startRadius)) return;
  const [one, other] = [startRadius, otherRadius].map((mm) => `${Number(mm.toPrecision(6))} mm`);
  tellOddity(state.notes, line, 'off its circle', () => ({
    found: `an arc whose ends are not on one circle (radius ${one} and ${other})`,
    readAs: 'its radius runs evenly from start to end',
    instead: 'both ends on one circle, with more decimals',
  }));
}

/** P of an arc: how many turns it begins. Not in RS-274, but common practice where it is known at all. */
function turnsOf(state: State, block: Block): number {
  if (!(block.has & P)) return 1;
  const turns = block.value[PI]!;
  if (!Number.isInteger(turns) || turns < 1) {
    throw new InputError(`found P${turns} in an arc; expected a whole number of turns, at least 1`, block);
  }
  understand(state.notes, block.line, 'turns', 'P in an arc was read as its number of turns.');
  return turns;
}

/**
 * G28 or G30: rapids by way of the point of the axis words, if any, to the home point. Bare letters
 * (`G28 X Y`) name the axes to bring home; the others stay.
 */
export function goHome(state: State, block: Block, home: Float64Array): void {
  const { at, target } = state;
  if (block.has & (X | Y | Z)) {
    aim(state, block, false);
    goToTarget(state, 1, block.line);
  }
  const only = block.bare === 0 ? 0 : (block.bare | block.has) & (X | Y | Z);
  for (let axis = 0; axis < 3; axis++) {
    target[axis] = only === 0 || only & (X << axis) ? home[axis]! : at[axis]!;
  }
  goToTarget(state, 1, block.line);
}

/** G92: where the head is gets the given coordinates; axes without a word keep theirs (§3.5.18). */
export function shiftTo(state: State, block: Block): void {
  const { has, value } = block;
  if (has & X) state.shift[0] = state.at[0]! - value[XI]! * state.mmPerUnit;
  if (has & Y) state.shift[1] = state.at[1]! - value[YI]! * state.mmPerUnit;
  if (has & Z) state.shift[2] = state.at[2]! - value[ZI]! * state.mmPerUnit;
  refuseFarAway(state.shift[0]!, state.shift[1]!, state.shift[2]!, block.line);
}

/** Sees to it that a feed move has a feed. @throws {InputError} about `feed` when there is none to take. */
function needFeed(state: State, line: number): void {
  if (state.feedMmPerS > 0) {
    if (state.feedIsSpare) tellSpare(state, line);
    return;
  }
  if (state.spareFeedMmPerS > 0) {
    state.feedMmPerS = state.spareFeedMmPerS;
    state.feedIsSpare = true;
    state.sparesTaken++;
    tellSpare(state, line);
    return;
  }
  throw new InputError(
    `found a feed move (G${state.motion / 10}) with no feed; expected F above 0 on this line or before it, or --feed MM_PER_MIN to give one`,
    { line, topic: 'feed' },
  );
}

function tellSpare(state: State, line: number): void {
  const shown = (feed: number): string => String(Number(feed.toPrecision(6)));
  const mmPerMin = mmPerSToMmPerMin(state.spareFeedMmPerS);
  tellOddity(state.notes, line, 'no feed', () => ({
    found: `a feed move (G${state.motion / 10}) with no feed`,
    readAs: `it has the ${shown(mmPerMin)} mm/min that were given for such moves`,
    instead: `F${shown(mmPerMin / state.mmPerUnit)} on that line`,
  }));
}

function refuseFarAway(x: number, y: number, z: number, line: number): void {
  const near = Math.abs(x) <= FARTHEST_MM && Math.abs(y) <= FARTHEST_MM && Math.abs(z) <= FARTHEST_MM;
  if (near) return;
  const axis = Math.abs(x) > FARTHEST_MM ? 'X' : Math.abs(y) > FARTHEST_MM ? 'Y' : 'Z';
  const far = axis === 'X' ? x : axis === 'Y' ? y : z;
  throw new InputError(
    `found the coordinate ${axis} = ${Number(far.toPrecision(6))} mm; expected no more than ${FARTHEST_MM / 1000} m from the origin`,
    { line, topic: 'way' },
  );
}
