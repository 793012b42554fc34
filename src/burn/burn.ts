import type { GridFrame } from '../grid.ts';

/** What the wood will look like: one value per cell of `frame`, in the grid's own order. */
export interface Burn {
  readonly frame: GridFrame;
  /** 0 bare wood … 0.9 the darkest char … 1 burned on beyond it, where char lightens a little again. */
  readonly tone: Float32Array;
  /** Depth removed, mm. */
  readonly depthMm: Float32Array;
  /** 1 where the stock is cut through; null when the stock's thickness is not known. */
  readonly through: Uint8Array | null;
}
