/**
 * The job as read. A `Program` is plain data: moves and stops as parallel arrays, in the order burned, each
 * with its source line; operations group the moves. Everything is in machine coordinates, mm, mm/s and s:
 * the reader has already dealt with units, offsets, distance modes and arcs.
 */

/** How beam power follows S: off, constant power (S alone), proportional power (S and actual speed). */
export const POWER_OFF = 0;
export const POWER_CONSTANT = 1;
export const POWER_PROPORTIONAL = 2;
export type PowerMode = 'constant' | 'proportional';

/** What an outline is for, where somebody said so: G-code cannot. */
export type Intent = 'cut' | 'engrave';

const POWER_MODE_NAMES = ['off', 'constant', 'proportional'] as const;

/**
 * The name of a power mode as the arrays hold it: 0 off, 1 constant, 2 proportional.
 * @throws {RangeError} for any other number.
 */
export function powerModeName(code: number): 'off' | PowerMode {
  const name = POWER_MODE_NAMES[code];
  if (name === undefined) throw new RangeError(`invalid power mode: ${code}; expected 0, 1 or 2`);
  return name;
}

/**
 * Straight moves, struct of arrays: index i of every array is move i. A move starts where move i−1 ends;
 * move 0 starts at the origin. No move has zero length. Arrays may be longer than `count`; what lies
 * beyond is meaningless. The reader that made them owns them; everyone else only reads.
 */
export interface Moves {
  readonly count: number;
  /** Where the move ends. */
  readonly xMm: Float64Array;
  readonly yMm: Float64Array;
  readonly zMm: Float64Array;
  /** Programmed feed in force (0 while none has been given; only a rapid can have that). */
  readonly feedMmPerS: Float64Array;
  /** S in force during the move, as written. */
  readonly s: Float64Array;
  /** POWER_OFF, POWER_CONSTANT or POWER_PROPORTIONAL. */
  readonly powerMode: Uint8Array;
  /** 1: a rapid (G0, G28, G30); 0: a feed move. */
  readonly rapid: Uint8Array;
  /** 1-based line of the file. */
  readonly line: Uint32Array;
  /** The operation's number, from 1; 0 is travel that belongs to none. */
  readonly operation: Uint32Array;
}

/**
 * Places where the head comes to rest, in order. Stop k happens before move `beforeMove[k]`
 * (`beforeMove === moves.count`: after the last one). Several stops may precede one move.
 */
export interface Stops {
  readonly count: number;
  readonly beforeMove: Uint32Array;
  /** How long the head rests: G4's time; 0 for the others. */
  readonly dwellS: Float64Array;
  /** S, power mode and modal motion (1: rapid) in force while the head rests. */
  readonly s: Float64Array;
  readonly powerMode: Uint8Array;
  readonly rapid: Uint8Array;
  readonly line: Uint32Array;
}

/**
 * A run of moves that belong together: same feed, power mode and kind, numbered from 1 in burn order. In a program
 * whose order was changed operations keep their numbers.
 */
export interface Operation {
  readonly n: number;
  readonly kind: 'rows' | 'outline';
  readonly powerMode: PowerMode;
  readonly feedMmPerS: number;
  /** Least and greatest S over the moves that burn. */
  readonly sMin: number;
  readonly sMax: number;
  /** The greatest S that it has in the file, where it was given another power since. */
  readonly sMaxRead?: number;
  /** First and last move (both inclusive). Moves in between may be travel. */
  readonly firstMove: number;
  readonly lastMove: number;
  /** First and last source line, both inclusive. */
  readonly lines: readonly [number, number];
  /** How many times the same path is burned. */
  readonly passes: number;
  /** What it is meant to do, where that was said; left out: it is taken from how it is burned. */
  readonly intent?: Intent;
}

/** Something in the file that the forecast does not model, once per word. */
export interface NotSimulated {
  /** The word as a person would write it: `M6`, `E`, `$`, `O sub`, `[…]`. */
  readonly word: string;
  readonly count: number;
  /** The first lines it stands on (at most 20). */
  readonly lines: readonly number[];
  /** What leaving it out means for the forecast. */
  readonly effect: string;
  /** `stop`: what follows it may be elsewhere than shown; `warning`: the burn may differ; `note`: harmless. */
  readonly severity: 'note' | 'warning' | 'stop';
  /** What to do instead of leaving it out, where that would spoil the job: *export the job anew …* */
  readonly instead?: string;
}

/** How a doubtful thing in the file was understood. */
export interface Understanding {
  readonly line: number;
  readonly text: string;
  /** What it is about: told once each. */
  readonly topic: string;
}

/**
 * Something that common hobby controllers read, in one way or another, and stricter ones stop at: once per cause.
 */
export interface Oddity {
  /** The first line it stands on, and on how many lines there is the like. */
  readonly line: number;
  readonly count: number;
  /** What stands there: `both X1 and X2`. */
  readonly found: string;
  /** How it was read: `the last counts`. */
  readonly readAs: string;
  /** What to write instead: `each letter once on a line`. */
  readonly instead: string;
}

export interface Program {
  readonly moves: Moves;
  readonly stops: Stops;
  readonly operations: readonly Operation[];
  readonly lineCount: number;
  /** Millimetres in the unit the job is written in, as in force at its end: 1, or 25.4 for inches. */
  readonly mmPerUnit: number;
  /** The comment on the first line calls the job a calibration swatch. */
  readonly titledSwatch: boolean;
  /** A comment before the first move says that S follows the speed of the head (`even-mark.ts`). */
  readonly followsSpeed: boolean;
  /** … and the tones that were meant. */
  readonly followsTones: boolean;
  /** A comment before the first move says that it finishes a cut of an earlier job (`finish-mark.ts`). */
  readonly finishesCut: boolean;
  /** Bytes of each line (index line − 1), its end counted as one; may be longer than `lineCount`. */
  readonly lineBytes: Uint32Array;
  readonly notSimulated: readonly NotSimulated[];
  readonly understood: readonly Understanding[];
  /** Where a stricter controller may stop. */
  readonly oddities: readonly Oddity[];
  /** Lines of the pauses (M0, M1, M60) that last as long as the operator likes; at most the first thousand. */
  readonly pauseLines: readonly number[];
  /** Set when the program ends with the beam commanded on. */
  readonly endsWithBeamOn: { readonly line: number; readonly s: number } | null;
}
