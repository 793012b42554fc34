import type { Material } from '../burn/material.ts';
import type { Outcome, Region, Use } from '../burn/speed-power.ts';
import type { Machine } from '../machine/profile.ts';
import type { PowerMode } from '../program/program.ts';
import type { Engraved } from '../sure/engraved.ts';
import type { Want } from './want.ts';

/** Where the next region begins: at this speed, or at this share of full power; null: out of the machine's reach. */
export interface Margin {
  readonly region: Region;
  readonly speedMmPerS: number | null;
  readonly power: number | null;
}

export interface Suggestion {
  readonly use: Use;
  readonly speedMmPerS: number;
  /** The S to write, and the share of full power it is. */
  readonly s: number;
  readonly power: number;
  /** Proportional, where the machine's power can follow its head. */
  readonly powerMode: PowerMode;
  readonly passes: number;
  readonly outcome: Outcome;
  /** The region beyond, on the slow and strong side; null where there is none. */
  readonly darker: Margin | null;
  /** The region before, on the fast and weak side; its speed is the fastest that still does. */
  readonly lighter: Margin;
  /** Relative standard uncertainty of the speed that gives what is wanted; null: the profile states none. */
  readonly uncertainty: number | null;
  /** Between what tones and depths it comes out on such boards. */
  readonly engraved: Engraved;
  /** The part of such boards that a cut comes through; null: none is wanted. */
  readonly chanceThrough: number | null;
  /** For each 100 mm of line, or each cm² in rows {@link Use.rowLengthMm} long with their turns, s. */
  readonly timeS: number;
  /** What the head needs to come to speed, mm: the overscan of rows. */
  readonly runUpMm: number;
}

export interface Proposal {
  readonly want: Want;
  readonly machine: Machine;
  readonly material: Material;
  readonly thicknessMm: number | null;
  /** The part of such boards that a cut must come through. */
  readonly sure: number;
  /**
   * Of a tone first one with room on all sides, then from the fastest on; of a cut fastest first. Empty when the
   * machine cannot do it.
   */
  readonly suggestions: readonly Suggestion[];
  /** Why there is none, in one sentence; null when there are some. */
  readonly impossible: string | null;
  /** That the settings there are will hardly serve, and why, in plain sentences; null: they will. */
  readonly hopeless: string | null;
  /** What must be known besides, in plain sentences. */
  readonly notes: readonly string[];
}
