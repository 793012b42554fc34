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

/** Columns, the last of which is what the others are to explain. */
export interface Layout {
  readonly columns: readonly Column[];
  /** Where among the products of the functions that of two columns is; a lower triangle, row by row of it. */
  readonly productAt: Int32Array;
}

export const layOut = (columns: readonly Column[]): Layout => ({
  columns,
  productAt: Int32Array.from(
    columns.flatMap(({ of }, a) => columns.slice(0, a + 1).map((other) => placeOf(of, other.of))),
  ),
});

/** The normal equations: sums of the products of all columns, as the layout has their places. */
export interface Equations extends Layout {
  readonly sums: Float64Array;
}

export const equationsOf = (layout: Layout): Equations => ({
  ...layout,
  sums: new Float64Array(layout.productAt.length),
});

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
  const factors = columns.map(({ times }) => times(up));
  for (let a = 0, at = 0; a < factors.length; a++) {
    const factor = factors[a]!;
    for (let b = 0; b <= a; b++, at++) sums[at]! += factor * factors[b]! * products[productAt[at]!]!;
  }
}

/** Functions are taken so many at a time, with as many others: what is read serves them all, and no sum waits for another. */
const TOGETHER = 3;

/** Sums over the cells of weight · one function · another, as a lower triangle. */
function productsOf(functions: readonly Float64Array[], weights: Float64Array): Float64Array {
  const count = functions.length;
  const products = new Float64Array((count * (count + 1)) / 2);
  const nine = new Float64Array(TOGETHER * TOGETHER);
  for (let a = 0; a < count; a += TOGETHER) {
    for (let b = 0; b <= a; b += TOGETHER) {
      setNine(nine, functions, a, b, weights);
      for (let i = 0; i < TOGETHER && a + i < count; i++)
        for (let j = 0; j < TOGETHER && b + j <= a + i; j++)
          products[placeOf(a + i, b + j)] = nine[TOGETHER * i + j]!;
    }
  }
  return products;
}

/**
 * Fills in the sums of weight · each of three functions · each of three: those from `one` on and those from `other` on. Where
 * there are no more the last is taken again.
 */
function setNine(
  nine: Float64Array,
  functions: readonly Float64Array[],
  one: number,
  other: number,
  weights: Float64Array,
): void {
  const at = (k: number): Float64Array => functions[Math.min(k, functions.length - 1)]!;
  const p = at(one);
  const q = at(one + 1);
  const r = at(one + 2);
  const a = at(other);
  const b = at(other + 1);
  const c = at(other + 2);
  let pa = 0;
  let pb = 0;
  let pc = 0;
  let qa = 0;
  let qb = 0;
  let qc = 0;
  let ra = 0;
  let rb = 0;
  let rc = 0;
  for (let k = 0; k < weights.length; k++) {
    const weight = weights[k]!;
    const weightedP = weight * p[k]!;
    const weightedQ = weight * q[k]!;
    const weightedR = weight * r[k]!;
    const ownA = a[k]!;
    const ownB = b[k]!;
    const ownC = c[k]!;
    pa += weightedP * ownA;
    pb += weightedP * ownB;
    pc += weightedP * ownC;
    qa += weightedQ * ownA;
    qb += weightedQ * ownB;
    qc += weightedQ * ownC;
    ra += weightedR * ownA;
    rb += weightedR * ownB;
    rc += weightedR * ownC;
  }
  nine.set([pa, pb, pc, qa, qb, qc, ra, rb, rc]);
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
