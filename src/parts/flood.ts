/** A piece of what is not cut: cells that hang together by their edges. */
export interface Piece {
  readonly cells: number;
  readonly isAtBorder: boolean;
  readonly minI: number;
  readonly minJ: number;
  readonly maxI: number;
  readonly maxJ: number;
}

/**
 * Finds what hangs together, row by row: a run of cells joins the runs beneath it that it touches.
 * @param isCut row by row of `nx` cells: not 0 where nothing is.
 * @returns per cell the piece's index + 1, 0 where it is cut; and the pieces in no particular order.
 */
export function flood(
  isCut: Uint8Array,
  nx: number,
  ny: number,
): { readonly label: Int32Array; readonly pieces: readonly Piece[] } {
  const label = new Int32Array(nx * ny);
  /** By run: the run it hangs on, itself where it is the first of its piece. */
  const hangsOn: number[] = [0];
  const first = (run: number): number => {
    let at = run;
    while (hangsOn[at] !== at) {
      hangsOn[at] = hangsOn[hangsOn[at]!]!;
      at = hangsOn[at]!;
    }
    return at;
  };
  for (let j = 0, k = 0; j < ny; j++) {
    let run = 0;
    for (let i = 0; i < nx; i++, k++) {
      if (isCut[k] !== 0) {
        run = 0;
        continue;
      }
      const beneath = j > 0 ? label[k - nx]! : 0;
      if (run === 0) {
        run = beneath !== 0 ? first(beneath) : hangsOn.push(hangsOn.length) - 1;
      } else if (beneath !== 0 && beneath !== run) {
        const [a, b] = [first(beneath), first(run)];
        if (a !== b) hangsOn[Math.max(a, b)] = Math.min(a, b);
      }
      label[k] = run;
    }
  }
  return { label, pieces: numbered(label, hangsOn, first, nx, ny) };
}

type Growing = { -readonly [Key in keyof Piece]: Piece[Key] };

/** Puts the piece's index + 1 in the place of runs, and measures the pieces. */
function numbered(
  label: Int32Array,
  hangsOn: readonly number[],
  first: (run: number) => number,
  nx: number,
  ny: number,
): Piece[] {
  const numbers = new Int32Array(hangsOn.length);
  const pieces: Growing[] = [];
  for (let run = 1; run < numbers.length; run++) {
    const of = first(run);
    if (of === run)
      numbers[run] = pieces.push({
        cells: 0,
        isAtBorder: false,
        minI: nx,
        minJ: ny,
        maxI: -1,
        maxJ: -1,
      });
    else numbers[run] = numbers[of]!;
  }
  for (let j = 0, k = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, k++) {
      if (label[k] === 0) continue;
      const n = numbers[label[k]!]!;
      label[k] = n;
      const piece = pieces[n - 1]!;
      piece.cells++;
      if (i < piece.minI) piece.minI = i;
      if (i > piece.maxI) piece.maxI = i;
      if (j < piece.minJ) piece.minJ = j;
      if (j > piece.maxJ) piece.maxJ = j;
      if (i === 0 || j === 0 || i === nx - 1 || j === ny - 1) piece.isAtBorder = true;
    }
  }
  return pieces;
}

/** Gives every cell that is 0 the number of the nearest one that is not, counted in steps over edges. */
export function spread(numbers: Uint16Array, nx: number, ny: number): void {
  let edge: number[] = [];
  const neighbours = (k: number, visit: (at: number) => void): void => {
    const i = k % nx;
    if (i > 0) visit(k - 1);
    if (i < nx - 1) visit(k + 1);
    if (k >= nx) visit(k - nx);
    if (k < nx * (ny - 1)) visit(k + nx);
  };
  for (let k = 0; k < numbers.length; k++) {
    if (numbers[k] !== 0) continue;
    let isNext = false;
    neighbours(k, (at) => {
      if (numbers[at] !== 0) isNext = true;
    });
    if (isNext) edge.push(k);
  }
  while (edge.length > 0) {
    // All of a step take their number before any of them gives it on.
    const taken = edge.map((k) => {
      let number = 0;
      neighbours(k, (at) => {
        if (number === 0) number = numbers[at]!;
      });
      return number;
    });
    const next: number[] = [];
    edge.forEach((k, at) => {
      numbers[k] = taken[at]!;
    });
    for (const k of edge)
      neighbours(k, (at) => {
        if (numbers[at] === 0) next.push(at);
      });
    edge = [...new Set(next)];
  }
}
