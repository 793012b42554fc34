import { InputError } from '../errors.ts';
import type { Moves, Stops } from './program.ts';

/** A growing `Moves`: the same arrays, with room to spare beyond `count`. */
export interface MoveBuilder extends Writable<Omit<Moves, 'operation'>> {
  capacity: number;
}
export interface StopBuilder extends Writable<Stops> {
  capacity: number;
}
type Writable<T> = { -readonly [K in keyof T]: T[K] };

/** Most of what is read again and again is small, and room must be swept; a large job soon has what it needs. */
const FIRST_CAPACITY = 64;
/** 50 million moves are 2.5 GB of arrays and more than a day of burning: no job of this kind. */
const MOST_MOVES = 50_000_000;
/** Moves shorter than this (a billionth of a millimetre) are rounding dust of incremental coordinates. */
const SHORTEST_MOVE_MM = 1e-9;

const noRoom = { count: 0, capacity: 0 };
const [noFloats, noInts, noBytes] = [new Float64Array(), new Uint32Array(), new Uint8Array()];

export const createMoves = (): MoveBuilder => ({
  ...noRoom,
  xMm: noFloats,
  yMm: noFloats,
  zMm: noFloats,
  feedMmPerS: noFloats,
  s: noFloats,
  powerMode: noBytes,
  rapid: noBytes,
  line: noInts,
});

export const createStops = (): StopBuilder => ({
  ...noRoom,
  beforeMove: noInts,
  dwellS: noFloats,
  s: noFloats,
  powerMode: noBytes,
  rapid: noBytes,
  line: noInts,
});

/** What is in force on a move, or while the head stands. */
interface InForce {
  readonly s: number;
  readonly powerMode: number;
  readonly rapid: 0 | 1;
  /** The line that says so. */
  readonly line: number;
}

/**
 * Adds the move to x, y, z (mm), unless the head is there already: zero-length moves vanish.
 * @throws {InputError} beyond `MOST_MOVES`.
 */
export function addMove(
  moves: MoveBuilder,
  to: ArrayLike<number>,
  feedMmPerS: number,
  { s, powerMode, rapid, line }: InForce,
): void {
  const k = moves.count;
  const x = to[0]!;
  const y = to[1]!;
  const z = to[2]!;
  const dx = k > 0 ? x - moves.xMm[k - 1]! : x;
  const dy = k > 0 ? y - moves.yMm[k - 1]! : y;
  const dz = k > 0 ? z - moves.zMm[k - 1]! : z;
  if (Math.abs(dx) < SHORTEST_MOVE_MM && Math.abs(dy) < SHORTEST_MOVE_MM && Math.abs(dz) < SHORTEST_MOVE_MM) {
    return;
  }
  if (k === moves.capacity) growMoves(moves, line);
  moves.xMm[k] = x;
  moves.yMm[k] = y;
  moves.zMm[k] = z;
  moves.feedMmPerS[k] = feedMmPerS;
  moves.s[k] = s;
  moves.powerMode[k] = powerMode;
  moves.rapid[k] = rapid;
  moves.line[k] = line;
  moves.count = k + 1;
}

/** Adds a place where the head comes to rest before the next move. */
export function addStop(
  stops: StopBuilder,
  beforeMove: number,
  dwellS: number,
  { s, powerMode, rapid, line }: InForce,
): void {
  const k = stops.count;
  if (k === stops.capacity) growStops(stops, line);
  stops.beforeMove[k] = beforeMove;
  stops.dwellS[k] = dwellS;
  stops.s[k] = s;
  stops.powerMode[k] = powerMode;
  stops.rapid[k] = rapid;
  stops.line[k] = line;
  stops.count = k + 1;
}

/** The finished moves: exact views of the builder's arrays, with room for the operations' numbers. */
export function finishMoves(moves: MoveBuilder): Moves {
  const n = moves.count;
  return {
    count: n,
    xMm: moves.xMm.subarray(0, n),
    yMm: moves.yMm.subarray(0, n),
    zMm: moves.zMm.subarray(0, n),
    feedMmPerS: moves.feedMmPerS.subarray(0, n),
    s: moves.s.subarray(0, n),
    powerMode: moves.powerMode.subarray(0, n),
    rapid: moves.rapid.subarray(0, n),
    line: moves.line.subarray(0, n),
    operation: new Uint32Array(n),
  };
}

export function finishStops(stops: StopBuilder): Stops {
  const n = stops.count;
  return {
    count: n,
    beforeMove: stops.beforeMove.subarray(0, n),
    dwellS: stops.dwellS.subarray(0, n),
    s: stops.s.subarray(0, n),
    powerMode: stops.powerMode.subarray(0, n),
    rapid: stops.rapid.subarray(0, n),
    line: stops.line.subarray(0, n),
  };
}

function growMoves(moves: MoveBuilder, line: number): void {
  const capacity = nextCapacity(moves.capacity, line);
  moves.xMm = longer(moves.xMm, capacity);
  moves.yMm = longer(moves.yMm, capacity);
  moves.zMm = longer(moves.zMm, capacity);
  moves.feedMmPerS = longer(moves.feedMmPerS, capacity);
  moves.s = longer(moves.s, capacity);
  moves.powerMode = longer(moves.powerMode, capacity);
  moves.rapid = longer(moves.rapid, capacity);
  moves.line = longer(moves.line, capacity);
  moves.capacity = capacity;
}

function growStops(stops: StopBuilder, line: number): void {
  const capacity = nextCapacity(stops.capacity, line);
  stops.beforeMove = longer(stops.beforeMove, capacity);
  stops.dwellS = longer(stops.dwellS, capacity);
  stops.s = longer(stops.s, capacity);
  stops.powerMode = longer(stops.powerMode, capacity);
  stops.rapid = longer(stops.rapid, capacity);
  stops.line = longer(stops.line, capacity);
  stops.capacity = capacity;
}

function nextCapacity(capacity: number, line: number): number {
  if (capacity >= MOST_MOVES) {
    throw new InputError(
      `found more than ${MOST_MOVES / 1e6} million moves or stops; expected a smaller job`,
      { line, topic: 'size' },
    );
  }
  return Math.min(MOST_MOVES, Math.max(FIRST_CAPACITY, capacity * 2));
}

/** A longer copy of a typed array. */
export function longer<T extends Float64Array | Uint32Array | Uint8Array>(array: T, capacity: number): T {
  const grown = new (array.constructor as new (length: number) => T)(capacity);
  grown.set(array);
  return grown;
}
