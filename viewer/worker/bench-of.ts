import type { Setup } from './messages.ts';

/**
 * What a job is burned on, as the roads of the command line take it.
 * @param cellMm where it is forecast in other cells than those of its setup
 */
export const benchOf = (
  { machine, material, stock, asked, bedIsAssumed = false, ...setup }: Setup,
  cellMm = setup.cellMm,
) => ({ machine, material, options: { stock, cellMm, bedIsAssumed, ...asked } });
