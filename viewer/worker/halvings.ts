/** Each level halves the one before. */
export const HALVINGS = 5;

/** So many cells, and a margin, so that they can be halved evenly: a texel of a smaller copy is four of the larger. */
export const halvable = (cells: number): number => Math.ceil(cells / 2 ** HALVINGS) * 2 ** HALVINGS;
