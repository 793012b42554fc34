/**
 * A dose as a byte: evenly over its logarithm, from a thousandth of a J/mm² (no mark on any wood) to a
 * thousand (far beyond cut through). A step is a sixteenth of an octave, under 6 %.
 */
const LEAST_J_PER_MM2 = 1e-3;
export const DOSE_OCTAVES = Math.log2(1e6);

/** 0…1; 0 stands for nothing. */
export const doseCode = (jPerMm2: number): number =>
  jPerMm2 <= LEAST_J_PER_MM2 ? 0 : Math.min(1, Math.log2(jPerMm2 / LEAST_J_PER_MM2) / DOSE_OCTAVES);

export const doseOfCode = (code: number): number =>
  code <= 0 ? 0 : LEAST_J_PER_MM2 * 2 ** (code * DOSE_OCTAVES);
