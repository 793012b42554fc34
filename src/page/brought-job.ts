import type { Stock } from '../board.ts';
import type { Material } from '../burn/material.ts';
import type { Machine } from '../machine/profile.ts';

/** A job as a page carries it: everything the viewer needs to forecast it by itself. */
export interface BroughtJob {
  /** The file's name. */
  readonly name: string;
  readonly title: string;
  readonly about: string;
  readonly text: string;
  readonly machine: Machine;
  readonly material: Material;
  readonly stock: Stock | null;
  readonly cellMm: number | null;
  /** What was assumed, in plain sentences. */
  readonly notes: readonly string[];
}
