import type { Stock } from '../../src/board.ts';
import type { Material } from '../../src/burn/material.ts';
import type { Change } from '../../src/change/change.ts';
import type { Forecast, ForecastOptions } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { LeftOver } from '../../src/parts/left-over.ts';
import type { Picture } from '../../src/picture/picture.ts';
import type { View } from '../../src/picture/view.ts';
import type { Operation } from '../../src/program/program.ts';
import type { Report } from '../../src/report.ts';
import type { Arrival } from './arrival.ts';
import type { Packed } from './handed.ts';
import type { Layers } from './layers.ts';
import type { Pieces } from './pieces.ts';
import type { RevealLevel } from './reveal.ts';
import type { Surface } from './surface.ts';

/** One job: its file's name and its text. */
export interface JobText {
  readonly name: string;
  readonly text: string;
}

/** As the command line's options of these names have it. */
export type Asked = Pick<ForecastOptions, 'expectMm' | 'deepestEngraving' | 'sure' | 'cool'>;

/** Everything a forecast depends on. Plain data; it goes to the worker as it is. */
export interface Setup {
  readonly job: JobText;
  readonly machine: Machine;
  readonly material: Material;
  readonly stock: Stock | null;
  /** What-if changes, one for each changed operation. */
  readonly changes: readonly Change[];
  /** Side of a grid cell, mm; null: as the command line would. */
  readonly cellMm: number | null;
  /** What else a person asked of the forecast; left out: nothing. */
  readonly asked?: Asked;
  /** Whether the size of the machine's bed was told by nobody; left out: no. */
  readonly bedIsAssumed?: boolean;
}

/** How finely a job is forecast, and drawn. */
export interface Fineness {
  /** As {@link Setup} has it. */
  readonly cellMm: number | null;
  readonly texels: number;
}

export interface Wish {
  readonly id: number;
  readonly setup: Setup;
  /**
   * The job is asked for again and again with other changes: what they leave alone is kept in between. Else it is
   * forecast as the command line would.
   */
  readonly live: boolean;
  /** At most so many cells on the textures of the stage. */
  readonly texels: number;
  /** A live job that is so small that it takes hardly longer is forecast as finely as this, as the last word on it. */
  readonly ifSmall?: Fineness;
  /** Draw this view of the burn as a picture. */
  readonly figure?: View;
  /** The stage does not show it: only what {@link Foretold} has is made of it. */
  readonly isUnseen?: true;
}

/** A wish on its way to the worker. */
export interface PostedWish extends Wish {
  /** The job's text is that of the wish before, which the worker has: it is left out. */
  readonly isTextKept: boolean;
}

/** To a worker that is let go: the next wish is someone else's, what it keeps is to go. */
export interface Forget {
  readonly forget: true;
}

/**
 * What the wood comes to with a setting that is being dragged, told ahead of its forecast: about, and of the job as it
 * lies in the coarse scenes before.
 */
export interface Glimpse {
  readonly surface: Surface;
  /** As {@link Layers} has it, but for what comes free. */
  readonly depth: Uint8Array;
  readonly isCut: boolean;
}

/** How an operation comes out as a whole. */
export interface OperationTone {
  readonly n: number;
  readonly fromS: number;
  readonly toS: number;
  /** Mean tone of what it burned, 0…1. */
  readonly tone: number;
}

/** A forecast, and the picture that was asked for with it. */
export interface Foretold {
  readonly forecast: Forecast;
  readonly figure: Picture | null;
}

/** What the stage shows: the forecast itself, and what is made of it for the screen. */
export interface Scene extends Foretold {
  readonly setup: Setup;
  /** The job's own operations, before any change. */
  readonly own: readonly Operation[];
  readonly report: Report;
  readonly surface: Surface;
  readonly arrival: Arrival;
  readonly layers: Layers;
  /** What comes free of the board. */
  readonly pieces: Pieces;
  /** What the job leaves of the board; null: the board is not known, or the job is long and a number is being dragged. */
  readonly leftOver: LeftOver | null;
  /** The arrivals by size, the finest first. */
  readonly reveals: readonly RevealLevel[];
  readonly tones: readonly OperationTone[];
  /** It is the last word on its job: the whole of what is to come, however finely that was asked for. */
  readonly isFine: boolean;
  /** How long the worker took for all of it, ms. */
  readonly tookMs: number;
}

export type Stage = 'reading' | 'burning' | 'drawing';

export type Answer =
  | { readonly kind: 'ready' }
  | { readonly kind: 'progress'; readonly id: number; readonly stage: Stage; readonly fraction: number }
  | { readonly kind: 'glimpse'; readonly id: number; readonly glimpse: Glimpse }
  | { readonly kind: 'done'; readonly id: number; readonly scene: Omit<Packed<Foretold>, 'numbers'> }
  /** A sentence for the person at the bench; `lacksFeed`: to be given a feed is all that the job lacks. */
  | { readonly kind: 'refused'; readonly id: number; readonly sentence: string; readonly lacksFeed?: boolean }
  /** A fault of Charcast itself. */
  | { readonly kind: 'fault'; readonly id: number; readonly sentence: string };
