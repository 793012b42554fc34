import type { GridFrame } from '../grid.ts';
import type { Stroke } from './visitor.ts';

/**
 * A brush lays energy on a canvas, one piece of the beam's way at a time. `lnDwell` rides along: the natural
 * logarithm of the seconds a point spent under the spot while this energy came.
 */
export interface Brush {
  stroke(stroke: Readonly<Stroke>, lnDwell: number): void;
  point(x: number, y: number, energyJ: number, lnDwell: number): void;
  /** Lays down what it still holds back; the canvas is complete afterwards. */
  flush(): void;
}

/** What brushes paint on: the two running sums per cell, in J/mm², and how much energy has landed. */
export interface Canvas extends GridFrame {
  readonly dose: Float32Array;
  readonly doseLnDwell: Float32Array;
  /** Energy laid on the grid so far, J, in double precision. */
  depositedJ: number;
}
