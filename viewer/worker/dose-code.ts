/**
 * A dose as a byte: evenly over its logarithm, from a 64th of a J/mm² (no mark on any wood) to 512 (far beyond cut
 * through). A step is a seventeenth of an octave, 4 %.
 */
const LEAST_J_PER_MM2 = 2 ** -6;
export const DOSE_OCTAVES = 15;

/** 0…1; 0 stands for nothing. */
export const doseCode = (jPerMm2: number): number =>
  jPerMm2 <= LEAST_J_PER_MM2 ? 0 : Math.min(1, Math.log2(jPerMm2 / LEAST_J_PER_MM2) / DOSE_OCTAVES);

export const doseOfCode = (code: number): number =>
  code <= 0 ? 0 : LEAST_J_PER_MM2 * 2 ** (code * DOSE_OCTAVES);
