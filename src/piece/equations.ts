import { CholeskyDecomposition, Matrix, pseudoInverse } from 'ml-matrix';

/**
 * Least squares over the cells of a grid whose columns are, along one row of cells, few functions times numbers of the
 * row: x·y and y are the same function of x in every row. Squares and products are summed for the few and combined once a row,
 * which takes a third of the time of summing every column with every other.
 */
export interface Column {
  /** Which of the row's functions. */
  readonly of: number;
  /** What it is multiplied with in the row whose middle lies at this part of the grid's height, 0…1. */
  readonly times: (up: number) => number;
}

/** The normal equations: sums of the products of all columns, the last of which is what the others are to explain. */
export interface Equations {
  readonly columns: readonly Column[];
  /** A lower triangle, row by row of it: the sums, and where among the products of the functions each one's is. */
  readonly sums: Float64Array;
  readonly productAt: Int32Array;
}

export function equationsOf(columns: readonly Column[]): Equations {
  const productAt = Int32Array.from(
    columns.flatMap(({ of }, a) => columns.slice(0, a + 1).map((other) => placeOf(of, other.of))),
  );
  return { columns, sums: new Float64Array(productAt.length), productAt };
}

/** Where the product of two stands in a lower triangle. */
const placeOf = (a: number, b: number): number => (a >= b ? (a * (a + 1)) / 2 + b : (b * (b + 1)) / 2 + a);

/**
 * @param functions values of each function on the row's cells.
 * @param up the row's middle, as a part of the grid's height.
 */
export function addRow(
  { columns, sums, productAt }: Equations,
  functions: readonly Float64Array[],
  weights: Float64Array,
  up: number,
): void {
  const products = productsOf(functions, weights);
  const factors = Float64Array.from(columns, ({ times }) => times(up));
  for (let a = 0, at = 0; a < factors.length; a++) {
    const factor = factors[a]!;
    for (let b = 0; b <= a; b++, at++) sums[at]! += factor * factors[b]! * products[productAt[at]!]!;
  }
}

/** Sums over the cells of weight · one function · another, as a lower triangle. */
function productsOf(functions: readonly Float64Array[], weights: Float64Array): Float64Array {
  const products = new Float64Array((functions.length * (functions.length + 1)) / 2);
  const weighted = new Float64Array(weights.length);
  for (let a = 0; a < functions.length; a++) {
    const own = functions[a]!;
    for (let k = 0; k < weighted.length; k++) weighted[k] = weights[k]! * own[k]!;
    for (let b = 0; b <= a; b += 4) {
      const four = fourDots(weighted, functions, b, a);
      for (let k = 0; k < 4 && b + k <= a; k++) products[placeOf(a, b + k)] = four[k]!;
    }
  }
  return products;
}

/** With functions from one on, no farther than the last, four at a time: one sum need not wait for another. */
function fourDots(
  weighted: Float64Array,
  functions: readonly Float64Array[],
  from: number,
  last: number,
): readonly [number, number, number, number] {
  const a = functions[from]!;
  const b = functions[Math.min(from + 1, last)]!;
  const c = functions[Math.min(from + 2, last)]!;
  const d = functions[Math.min(from + 3, last)]!;
  let sumA = 0;
  let sumB = 0;
  let sumC = 0;
  let sumD = 0;
  for (let k = 0; k < weighted.length; k++) {
    const own = weighted[k]!;
    sumA += own * a[k]!;
    sumB += own * b[k]!;
    sumC += own * c[k]!;
    sumD += own * d[k]!;
  }
  return [sumA, sumB, sumC, sumD];
}

/** The equations as a square matrix and its right side. */
export function matrixOf({ columns, sums }: Equations): { normal: Matrix; right: Matrix } {
  const size = columns.length - 1;
  const normal = new Matrix(size, size);
  const right = new Matrix(size, 1);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < size; b++) normal.set(a, b, sums[placeOf(a, b)]!);
    right.set(a, 0, sums[placeOf(size, a)]!);
  }
  return { normal, right };
}

/** Less than this part of a column is left once the others are taken off: they tell it no more. */
const NOTHING_LEFT = 1e-10;

/** What solves them; of columns that cannot be told apart, the least that does. */
export function solutionOf(normal: Matrix, right: Matrix): number[] {
  const cholesky = new CholeskyDecomposition(normal);
  const lower = cholesky.lowerTriangularMatrix;
  const isTold = lower.diagonal().every((left, k) => left * left > NOTHING_LEFT * normal.get(k, k));
  return (isTold ? cholesky.solve(right) : pseudoInverse(normal).mmul(right)).to1DArray();
}
