import { PLANE_XY, RAPID } from './codes.ts';
import { createMoves, createStops, type MoveBuilder, type StopBuilder } from './moves.ts';
import { createNotes, type Notes } from './notes.ts';
import type { Power } from './power.ts';
import { createProblems, type Problems } from './problems.ts';

/** How far the program had been read. */
export interface Point {
  readonly moves: number;
  readonly stops: number;
}

/** Words that part what is burned (`elsewhere.ts`), as far as they have been read. */
interface Elsewhere {
  /** Where each further axis stands, by its letter. */
  readonly at: Map<string, number>;
  /** Where it moved, in order. */
  readonly moved: Map<string, Point[]>;
  /** Those that moved with the beam on. */
  readonly lit: Set<string>;
  /** The coordinate systems chosen, in order, by ten times their number. */
  readonly systems: (Point & { readonly code: number; readonly line: number })[];
}

/**
 * Everything that is in force between two blocks, and what has been made so far. One `State` is changed in
 * place, block by block; positions are machine coordinates in mm, axes in the order X, Y, Z.
 */
export interface State {
  readonly arcToleranceMm: number;
  readonly dwellUnit: 's' | 'ms';

  readonly moves: MoveBuilder;
  readonly stops: StopBuilder;
  readonly notes: Notes;
  readonly problems: Problems;

  readonly elsewhere: Elsewhere;

  /** Where the head is, and where the block being read sends it. */
  readonly at: Float64Array;
  readonly target: Float64Array;
  /** G92: what is added to a program coordinate to make a machine coordinate. */
  readonly shift: Float64Array;
  /** The shift that G92.2 suspended and G92.3 brings back. */
  readonly keptShift: Float64Array;
  /** Where G28 and G30 go. */
  readonly home: Float64Array;
  readonly secondHome: Float64Array;

  /** G0, G1, G2, G3, G80, or a word of their group that is not simulated: ten times its number. */
  motion: number;
  /** Whether the file has said so itself. */
  motionGiven: boolean;
  plane: number;
  absolute: boolean;
  arcAbsolute: boolean;
  mmPerUnit: number;
  /** 0 until given. */
  feedMmPerS: number;
  /** What feed moves without a feed get from outside the file; 0: nothing, they are refused. */
  readonly spareFeedMmPerS: number;
  /** Whether the feed in force is that one, and how often it was taken. */
  feedIsSpare: boolean;
  sparesTaken: number;
  readonly power: Power;

  /** Lines of M0, M1 and M60, as far as the program tells them. */
  readonly pauseLines: number[];
  /** How many `%` lines have been met, and the line that ended the program. */
  percents: number;
  endedAt: number;
  endedBy: string;
  /** Whether any block has been carried out. */
  begun: boolean;
}

export const createState = (
  {
    arcToleranceMm,
    dwellUnit,
    spareFeedMmPerS,
  }: Pick<State, 'arcToleranceMm' | 'dwellUnit' | 'spareFeedMmPerS'>,
  power: Power,
): State => ({
  arcToleranceMm,
  dwellUnit,
  spareFeedMmPerS,
  moves: createMoves(),
  stops: createStops(),
  notes: createNotes(),
  problems: createProblems(),
  elsewhere: { at: new Map(), moved: new Map(), lit: new Set(), systems: [] },
  at: new Float64Array(3),
  target: new Float64Array(3),
  shift: new Float64Array(3),
  keptShift: new Float64Array(3),
  home: new Float64Array(3),
  secondHome: new Float64Array(3),
  motion: RAPID,
  motionGiven: false,
  plane: PLANE_XY,
  absolute: true,
  arcAbsolute: false,
  mmPerUnit: 1,
  feedMmPerS: 0,
  feedIsSpare: false,
  sparesTaken: 0,
  power,
  pauseLines: [],
  percents: 0,
  endedAt: 0,
  endedBy: '',
  begun: false,
});
