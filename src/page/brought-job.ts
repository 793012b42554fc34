import type { Stock } from '../board.ts';
import type { Material } from '../burn/material.ts';
import type { Machine } from '../machine/profile.ts';
import type { BoardFace } from '../own-board/own-board.ts';

/** A job as a page carries it: everything the viewer needs to forecast it by itself. */
export interface BroughtJob {
  /** The file's name. */
  readonly name: string;
  readonly title: string;
  readonly about: string;
  readonly text: string;
  readonly machine: Machine;
  /** Its profile as it stands in its file, which tells what of it is known; left out: it is one that the page has. */
  readonly machineFile?: unknown;
  readonly material: Material;
  readonly stock: Stock | null;
  readonly cellMm: number | null;
  /** A photo of the board; left out: drawn wood. */
  readonly face?: BroughtFace | null;
  /** What was assumed, in plain sentences. */
  readonly notes: readonly string[];
}

/** How a board looks, as a page carries it: its pixels are a JPEG as a data URI, row 0 at the front. */
export interface BroughtFace extends Omit<BoardFace, 'rgb'> {
  readonly image: string;
}
