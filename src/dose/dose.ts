import type { Grid } from '../grid.ts';

/** Where the energy landed. */
export interface Dose {
  /** Dose in J/mm², the mean over each cell. */
  readonly grid: Grid;
  /**
   * Σ dose × ln(dwell in s) per cell, same order as `grid.data`: divided by the dose it is the
   * energy-weighted mean logarithm of the time a point spends under the spot (spot width ÷ speed; the
   * resting time when the head rests). The wood's answer depends weakly on it.
   */
  readonly doseLnDwell: Float32Array;
  /** All energy emitted, J. */
  readonly energyJ: number;
  /** The part of it that landed outside the grid, J. */
  readonly outsideJ: number;
}
