import type { Quantity } from './material.ts';

/** The relative standard uncertainty that a number is told with; 0 where none is. */
export const statedRelative = ({ value, plus_minus }: Quantity): number =>
  value > 0 ? (plus_minus ?? 0) / value : 0;

/**
 * No dose that a swatch tells is known to less than this part of itself: the machine's power wanders, a sheet differs from
 * place to place, and no wood follows the model exactly (a judgement).
 */
export const LEAST_DOSE_PART = 0.05;

const MOST_OF_FULL_CHAR = 0.98;

/** However its numbers are moved, a wood's first mark stays below its full char, J/mm². */
export const heldBelowChar = (firstMarkJPerMm2: number, fullCharJPerMm2: number): number =>
  Math.min(firstMarkJPerMm2, MOST_OF_FULL_CHAR * fullCharJPerMm2);
