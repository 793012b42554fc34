import { Matrix, pseudoInverse } from 'ml-matrix';
import type { GridFrame } from '../grid.ts';

/** Light that is uneven over a piece is a low surface in its logarithm: 1, x, y, x², x·y, y², from −1 to 1. */
export const LIGHT_TERMS = 6;

export function lightTermsAt({ nx, ny }: GridFrame, i: number, j: number): number[] {
  const x = (2 * (i + 0.5)) / nx - 1;
  const y = (2 * (j + 0.5)) / ny - 1;
  return [1, x, y, x * x, x * y, y * y];
}

/** What is left of values on a grid's cells, row by row, once such a surface is taken off; cells that are NaN do not count. */
export function withoutLight(frame: GridFrame, values: Float32Array): Float32Array {
  const { nx, ny } = frame;
  const normal = Matrix.zeros(LIGHT_TERMS, LIGHT_TERMS);
  const right = new Array<number>(LIGHT_TERMS).fill(0);
  const terms = Array.from({ length: nx * ny }, (_, k) => lightTermsAt(frame, k % nx, Math.floor(k / nx)));
  for (const [k, each] of terms.entries()) {
    if (Number.isNaN(values[k]!)) continue;
    for (let a = 0; a < LIGHT_TERMS; a++) {
      right[a]! += each[a]! * values[k]!;
      for (let b = 0; b < LIGHT_TERMS; b++) normal.set(a, b, normal.get(a, b) + each[a]! * each[b]!);
    }
  }
  const surface = pseudoInverse(normal).mmul(Matrix.columnVector(right)).to1DArray();
  return values.map((value, k) => value - terms[k]!.reduce((sum, term, a) => sum + term * surface[a]!, 0));
}
