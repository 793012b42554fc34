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
  /** How high the head was; where the focus lay in the wood follows from it. */
  readonly height: DoseHeight;
  /** All energy emitted, J. */
  readonly energyJ: number;
  /** The part of it that landed outside the grid, J. */
  readonly outsideJ: number;
}

/** The heights of the head at which a dose came. */
export interface DoseHeight {
  /** The lowest of them, mm; where all energy came at one height, that. */
  readonly lowestMm: number;
  /** The highest. */
  readonly highestMm: number;
  /**
   * Σ dose × (height − lowest) per cell: divided by the dose it is the energy-weighted mean height above the lowest.
   * null where all energy came at one height.
   */
  readonly doseAbove: Float32Array | null;
}

/** Everything at one height. */
export const oneHeight = (zMm: number): DoseHeight => ({ lowestMm: zMm, highestMm: zMm, doseAbove: null });
