/**
 * No dose that a swatch tells is known to less than this part of itself: the machine's power wanders, a sheet differs from
 * place to place, and no wood follows the model exactly (a judgement).
 */
export const LEAST_DOSE_PART = 0.05;
