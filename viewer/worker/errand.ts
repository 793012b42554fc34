import type { Burn } from '../../src/burn/burn.ts';
import type { Material } from '../../src/burn/material.ts';
import type { Shorter } from '../../src/change/text-without.ts';
import type { ToneWish } from '../../src/compare/tone-wish.ts';
import type { DosingWish } from '../../src/dosing/dose-job.ts';
import { InputError } from '../../src/errors.ts';
import type { Bounds } from '../../src/grid.ts';
import type { Burn as WhichBurn } from '../../src/outcome/learn.ts';
import type { ToldBurn } from '../../src/outcome/tell.ts';
import type { BoardGivens, OwnBoard } from '../../src/own-board/own-board.ts';
import type { KnownPoints } from '../../src/own-board/points.ts';
import type { Photo, PhotoPoint } from '../../src/photo/photo.ts';
import type { Picture } from '../../src/picture/picture.ts';
import type { DarkerSeen } from '../../src/piece/darker.ts';
import type { CornersOf } from '../../src/piece/register.ts';
import type { ToneSeen } from '../../src/piece/tones.ts';
import type { PhotoReading } from '../../src/swatch/photo/read.ts';
import type { SwatchDoses } from '../../src/swatch/replay.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { hasStarted, heardFrom, hire, letGo } from './hire.ts';
import type { Setup } from './messages.ts';
import { whyStopped } from './why-stopped.ts';

/** Work of seconds that is asked for once and is no forecast: done in a worker of its own, which is let go after it. */
export interface ErrandResults {
  /** A photo of a burned swatch, read. */
  readonly photo: PhotoReading;
  /** A person's own board, found on a photo, and where its outline lies on that, px. */
  readonly board: OwnBoard & { readonly outlinePx: readonly PhotoPoint[] };
  /** What each part of a swatch got. */
  readonly doses: SwatchDoses;
  /** The job that finishes a cut on the same board, what to say of it, and what to see to before. */
  readonly finish: {
    readonly text: string;
    readonly sentences: readonly string[];
    readonly before: readonly string[];
  };
  /** A job without some of its operations. */
  readonly 'leave out': Shorter;
  /** A job with its S written anew along the way, and what was done; null: nothing had to be. */
  readonly dose: {
    readonly text: string | null;
    readonly sentences: readonly string[];
    readonly wish: WishShown | null;
  };
  /** A photo of the burned piece, read. */
  readonly piece: PieceShown;
  /** What a burn that was told of teaches, and a small picture of what was burned. */
  readonly learn: { readonly burn: ToldBurn; readonly picture: Picture };
}
/** A photo of the burned piece beside its forecast. */
export interface PieceShown {
  readonly tones: readonly ToneSeen[];
  readonly darker: readonly DarkerSeen[];
  /** What the photo does not tell, and what else is to be said of it. */
  readonly notes: readonly string[];
  /** Where the corners lie on the photo, px: the job's lower left first, then anticlockwise. */
  readonly corners: Readonly<Record<CornersOf, readonly PhotoPoint[]>>;
  readonly expected: Picture;
  readonly seen: Picture;
  /** How much darker the photo is, in the colours of a scale from −`endL` to `endL`, L*. */
  readonly difference: Picture;
  readonly endL: number;
  /** The photo again, as small as the notebook has it. */
  readonly small: Picture;
}
/** What rows were meant to look like: how far off they were and are, and the wish as if it had been burned. */
export interface WishShown {
  readonly errors: ToneWish;
  readonly burn: Burn;
  readonly boundsMm: Bounds;
}

export type Errand =
  | {
      readonly errand: 'photo';
      readonly photo: Photo;
      readonly swatch: Swatch;
      readonly corners: readonly PhotoPoint[] | null;
      readonly white: PhotoPoint | null;
    }
  | {
      readonly errand: 'board';
      readonly photo: Photo;
      readonly points: KnownPoints;
      readonly givens: BoardGivens;
      /** The outline as it was dragged on the photo, px; null: to be found. */
      readonly outlinePx: readonly PhotoPoint[] | null;
    }
  | { readonly errand: 'doses'; readonly swatch: Swatch; readonly wood: Material }
  | { readonly errand: 'dose'; readonly setup: Setup; readonly wish: DosingWish }
  | { readonly errand: 'leave out'; readonly setup: Setup; readonly out: readonly number[] }
  | { readonly errand: 'finish'; readonly setup: Setup; readonly told: string }
  | {
      readonly errand: 'piece';
      readonly setup: Setup;
      readonly photo: Photo;
      readonly corners: { readonly at: readonly PhotoPoint[]; readonly of: CornersOf } | null;
    }
  | {
      readonly errand: 'learn';
      readonly setup: Setup;
      /** What was said, as `charcast learn --say` reads it; empty: nothing was. */
      readonly said: string;
      /** How dark operations came out on a photo of the piece, and its file's name; null: there is none. */
      readonly photo: { readonly tones: readonly ToneSeen[]; readonly name: string } | null;
      readonly burn: WhichBurn;
      /** What the learned wood is called. */
      readonly name: string;
      /** What the learned machine is called; null: only the wood learns. */
      readonly machineName: string | null;
    };

export type ErrandAnswer =
  | { readonly kind: 'errand done'; readonly result: unknown }
  | { readonly kind: 'errand refused'; readonly sentence: string; readonly fault: boolean };

/**
 * Sends a worker on an errand.
 * @throws {InputError} in the sentence for the person at the bench; an Error for a fault of Charcast itself.
 */
export function runErrand<Kind extends Errand['errand']>(
  errand: Errand & { readonly errand: Kind },
): Promise<ErrandResults[Kind]> {
  const worker = hire();
  return new Promise<ErrandResults[Kind]>((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<ErrandAnswer | { readonly kind: 'ready' }>) => {
      heardFrom(worker);
      if (data.kind !== 'ready') letGo(worker);
      if (data.kind === 'errand done') resolve(data.result as ErrandResults[Kind]);
      else if (data.kind === 'errand refused')
        reject(data.fault ? new Error(data.sentence) : new InputError(data.sentence));
    };
    worker.onerror = (event) => {
      event.preventDefault();
      worker.terminate();
      reject(new Error(event.message || `the work stopped: ${whyStopped(hasStarted(worker))}`));
    };
    worker.postMessage(errand);
  });
}
