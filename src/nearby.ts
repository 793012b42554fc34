/**
 * Marks every cell (or pixel) of rows of `nx` that has a marked one at most `reach` cells away, along and across, itself
 * too. O(cells), however far it reaches.
 */
export function grown(
  marked: Uint8Array,
  { nx, ny }: { readonly nx: number; readonly ny: number },
  reach: number,
): Uint8Array {
  const along = swept(marked, nx, ny, [1, nx], reach);
  return swept(along, ny, nx, [nx, 1], reach);
}

function swept(
  from: Uint8Array,
  length: number,
  lines: number,
  [step, lineStep]: readonly [number, number],
  reach: number,
): Uint8Array {
  const to = new Uint8Array(from.length);
  for (let line = 0; line < lines; line++) {
    const start = line * lineStep;
    let ahead = -1;
    for (let k = 0; k < length; k++) {
      // The last marked cell no farther than `reach` ahead.
      if (k === 0) {
        for (let q = 0; q < Math.min(reach, length); q++) if (from[start + q * step] === 1) ahead = q;
      }
      const next = k + reach;
      if (next < length && from[start + next * step] === 1) ahead = next;
      if (ahead >= 0 && k - ahead <= reach) to[start + k * step] = 1;
    }
  }
  return to;
}
