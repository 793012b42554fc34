import type { Stock } from '../../board.ts';
import type { Burn } from '../../burn/burn.ts';
import type { Firings } from '../../burn/firing.ts';
import type { Material } from '../../burn/material.ts';
import type { Dose } from '../../dose/dose.ts';
import type { LineDose } from '../../dose/land.ts';
import type { Bounds } from '../../grid.ts';
import type { Machine } from '../../machine/profile.ts';
import type { Motion } from '../../motion/motion.ts';
import type { Program } from '../../program/program.ts';

/** The forecast as far as findings read it, and what they are to check it against. */
export interface Told {
  readonly program: Program;
  readonly motion: Motion;
  readonly machine: Machine;
  readonly material: Material;
  readonly stock: Stock | null;
  readonly dose: Dose;
  /** The dose along everything burned as lines, on the path itself. */
  readonly lines: LineDose;
  readonly burn: Burn;
  /** How often and how warm places were fired; null: each counts as fired once, cool. */
  readonly firings: Firings | null;
  /** The extent of the head's whole way, and of what burns. */
  readonly jobBounds: Bounds;
  readonly burnBounds: Bounds;
  /** The size the burn should have; null: nobody said. */
  readonly expectMm: Size | null;
  /** The part of the stock's thickness that engraving may take. */
  readonly deepestEngraving: number;
  /** The part of such boards that must come through for a cut to count as sure. */
  readonly sure: number;
  /** Whether nobody told the size of the bed. */
  readonly bedIsAssumed: boolean;
}

export interface Size {
  readonly widthMm: number;
  readonly heightMm: number;
}
