import { levenbergMarquardt } from 'ml-levenberg-marquardt';
import { Matrix, pseudoInverse } from 'ml-matrix';

/** One number to be fitted. */
export interface Unknown {
  readonly start: number;
  /** About how far it may be off: sets the step of differences, and nothing else. */
  readonly scale: number;
  /** What was known before, one standard deviation; null: nothing. */
  readonly prior: { readonly value: number; readonly sigma: number } | null;
}

export interface LeastSquares {
  readonly values: readonly number[];
  /** Covariance of the values, row by row; grown by `unexplained` where the residuals are larger than foretold. */
  readonly covariance: readonly (readonly number[])[];
  /** Σ residual² / (observations − numbers the data must pay for), at least; 1: as foretold. */
  readonly chiSquarePerFreedom: number;
  readonly residuals: readonly number[];
}

/** The library stops only at its limit: it is asked for a few steps at a time, until they no longer help. */
const STEPS_AT_ONCE = 4;
const MOST_ROUNDS = 10;
const HELPED = 1e-3;
const DIFFERENCE = 1e-3;

/**
 * Least squares by Levenberg and Marquardt. `residualsOf` gives (model − observed)/σ for every observation;
 * what was known before counts as one more observation each. The covariance is that of the normal equations
 * at the end; where residuals exceed what their σ foretold it grows with them, never the other way round.
 */
export function leastSquares(
  unknowns: readonly Unknown[],
  residualsOf: (values: readonly number[]) => readonly number[],
): LeastSquares {
  const start = unknowns.map((unknown) => unknown.start);
  const all = (values: readonly number[]): number[] => [
    ...residualsOf(values),
    ...unknowns.flatMap(({ prior }, k) => (prior ? [(values[k]! - prior.value) / prior.sigma] : [])),
  ];
  // The library fits in steps of its own choosing: numbers are handed to it in their own scales.
  const unscaled = (steps: readonly number[]): number[] =>
    steps.map((step, k) => start[k]! + step * unknowns[k]!.scale);
  const count = all(start).length;
  const x = Array.from({ length: count }, (_, k) => k);
  let steps = start.map(() => 0);
  let error = Infinity;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const fitted = levenbergMarquardt({ x, y: x.map(() => 0) }, (at: number[]) => lookUp(all(unscaled(at))), {
      initialValues: steps,
      gradientDifference: DIFFERENCE,
      centralDifference: true,
      damping: 0.01,
      maxIterations: STEPS_AT_ONCE,
      errorTolerance: 1e-9,
    });
    const helped = error - fitted.parameterError;
    steps = fitted.parameterValues;
    error = Math.min(error, fitted.parameterError);
    if (!(helped > HELPED * (1 + error))) break;
  }
  const values = unscaled(steps);
  const residuals = [...residualsOf(values)];
  const jacobian = jacobianOf((at) => all(unscaled(at)), steps, count);
  const inverse = pseudoInverse(jacobian.transpose().mmul(jacobian));
  const free = unknowns.filter(({ prior }) => prior === null).length;
  const chiSquarePerFreedom =
    residuals.reduce((sum, each) => sum + each * each, 0) / Math.max(1, residuals.length - free);
  const unexplained = Math.max(1, chiSquarePerFreedom);
  const covariance = unknowns.map((a, i) =>
    unknowns.map((b, j) => inverse.get(i, j) * a.scale * b.scale * unexplained),
  );
  return { values, covariance, chiSquarePerFreedom, residuals };
}

/** The function of an observation's number that the library asks for. */
const lookUp =
  (residuals: readonly number[]) =>
  (k: number): number =>
    residuals[k]!;

function jacobianOf(f: (steps: readonly number[]) => number[], at: readonly number[], rows: number): Matrix {
  const jacobian = Matrix.zeros(rows, at.length);
  at.forEach((_, column) => {
    const moved = (by: number) => f(at.map((step, k) => (k === column ? step + by : step)));
    const above = moved(DIFFERENCE);
    const below = moved(-DIFFERENCE);
    for (let row = 0; row < rows; row++) {
      jacobian.set(row, column, (above[row]! - below[row]!) / (2 * DIFFERENCE));
    }
  });
  return jacobian;
}

export const sigmaOf = (fit: LeastSquares, k: number): number =>
  Math.sqrt(Math.max(0, fit.covariance[k]![k]!));
