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

/**
 * The library goes on to its limit, and from a step that went astray: it is asked for one step at a time, by slopes that are
 * kept until a step has helped. Each step is held back less than the one before it where that helped, more where it did not.
 */
const MOST_STEPS = 60;
const MOST_IN_VAIN = 8;
/** What helps less than this, of Σ residual², is the last step. */
const HELPED = 1e-5;
const HELD_BACK = 0.01;
const LEAST_HELD_BACK = 1e-6;
const LESS = 1 / 9;
const MORE = 11;
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
  const at = (steps: readonly number[]): number[] => all(unscaled(steps));
  const steps = nearest(
    at,
    start.map(() => 0),
  );
  const values = unscaled(steps);
  const residuals = [...residualsOf(values)];
  const jacobian = jacobianOf(at, steps);
  const inverse = pseudoInverse(jacobian.transpose().mmul(jacobian));
  const free = unknowns.filter(({ prior }) => prior === null).length;
  const chiSquarePerFreedom = squaresOf(residuals) / Math.max(1, residuals.length - free);
  const unexplained = Math.max(1, chiSquarePerFreedom);
  const covariance = unknowns.map((a, i) =>
    unknowns.map((b, j) => inverse.get(i, j) * a.scale * b.scale * unexplained),
  );
  return { values, covariance, chiSquarePerFreedom, residuals };
}

/** From a place in few steps to where the squares of the residuals add up to least. */
function nearest(residualsAt: ResidualsAt, start: number[]): number[] {
  let steps = start;
  let residuals = residualsAt(steps);
  let slopes = slopesAhead(residualsAt, steps, residuals);
  let damping = HELD_BACK;
  const data = { x: residuals.map((_, k) => k), y: residuals.map(() => 0) };
  for (let step = 0, inVain = 0; step < MOST_STEPS && inVain < MOST_IN_VAIN; step++) {
    const tried = levenbergMarquardt(data, (there: number[]) => lookUp(residualsAt(there)), {
      initialValues: steps,
      jacobianFunction: () => (row: number) => slopes.getRow(row),
      damping,
      maxIterations: 1,
      errorTolerance: 0,
    });
    const helped = squaresOf(residuals) - tried.parameterError;
    if (!(helped > 0)) {
      inVain++;
      damping *= MORE;
      continue;
    }
    inVain = 0;
    damping = Math.max(LEAST_HELD_BACK, damping * LESS);
    steps = tried.parameterValues;
    if (helped < HELPED * (1 + tried.parameterError)) break;
    residuals = residualsAt(steps);
    slopes = slopesAhead(residualsAt, steps, residuals);
  }
  return steps;
}

const squaresOf = (residuals: readonly number[]): number =>
  residuals.reduce((sum, each) => sum + each * each, 0);

/** The function of an observation's number that the library asks for. */
const lookUp =
  (residuals: readonly number[]) =>
  (k: number): number =>
    residuals[k]!;

type ResidualsAt = (steps: readonly number[]) => number[];

const movedBy = (at: readonly number[], column: number, by: number): number[] =>
  at.map((step, k) => (k === column ? step + by : step));

/** Slopes to take a step by, from differences ahead of a place alone: half the work of {@link jacobianOf}. */
function slopesAhead(residualsAt: ResidualsAt, at: readonly number[], here: readonly number[]): Matrix {
  const columns = at.map((_, column) => {
    const ahead = residualsAt(movedBy(at, column, DIFFERENCE));
    return ahead.map((each, row) => (each - here[row]!) / DIFFERENCE);
  });
  return new Matrix(columns).transpose();
}

/** Slopes to tell the covariance by, from differences to either side. */
function jacobianOf(residualsAt: ResidualsAt, at: readonly number[]): Matrix {
  const columns = at.map((_, column) => {
    const above = residualsAt(movedBy(at, column, DIFFERENCE));
    const below = residualsAt(movedBy(at, column, -DIFFERENCE));
    return above.map((each, row) => (each - below[row]!) / (2 * DIFFERENCE));
  });
  return new Matrix(columns).transpose();
}

export const sigmaOf = (fit: LeastSquares, k: number): number =>
  Math.sqrt(Math.max(0, fit.covariance[k]![k]!));
