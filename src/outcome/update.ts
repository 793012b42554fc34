import { inverse, Matrix } from 'ml-matrix';
import type { Material } from '../burn/material.ts';
import { phi } from '../dose/normal.ts';
import type { Joint } from '../sure/together.ts';
import type { Observation } from './observe.ts';
import { type Supposed, suppose } from './prior.ts';

/**
 * What is known together, after something was seen. Values are taken in at once by Gauss–Newton steps about the likeliest
 * point (iterated extended Kalman filter: B. M. Bell & F. W. Cathey, *IEEE Trans. Automatic Control* 38, 294 (1993); value
 * from memory); that something is at least or at most so much, one after the other by the mean and variance of the
 * truncated normal distribution.
 */
export interface Updated {
  readonly joint: Joint;
  /** Whether what was seen goes together with what was known, and with itself, less often than three times in a thousand. */
  readonly isContradictory: boolean;
  /**
   * How far each thing seen lies from what prior and all others together make of it, in standard deviations, in the order
   * seen; of a bound, how far it is missed, 0 where it is not.
   */
  readonly off: readonly number[];
}

const STEPS = 8;
/** For slopes: the laws are smooth over a twentieth. */
const SMALL = 0.05;
/** What is seen less often than this is taken for a mistake in part. */
const RARE = 0.003;
/** The normal quantile of 1 − RARE. */
const RARE_Z = 2.748;

export function update(prior: Joint, material: Material, seen: readonly Observation[]): Updated {
  const at: At = (logs) => suppose(material, prior.names, logs);
  const values = seen.filter((each) => each.seen === 'value');
  const bounds = seen.filter((each) => each.seen !== 'value');
  const first: Updated =
    values.length > 0 ? takeValues(prior, values, at) : { joint: prior, isContradictory: false, off: [] };
  let { joint, isContradictory } = first;
  const off = new Map(values.map((each, k) => [each, first.off[k]!]));
  for (const bound of bounds) {
    const taken = takeBound(joint, bound, at);
    joint = taken.joint;
    isContradictory ||= taken.isContradictory;
    off.set(bound, taken.off[0]!);
  }
  return { joint, isContradictory, off: seen.map((each) => off.get(each)!) };
}

/** Wood, machine and board as they are there. */
type At = (logs: readonly number[]) => Supposed;

function takeValues(prior: Joint, seen: readonly Observation[], at: At): Updated {
  const covariance = new Matrix(prior.covariance.map((row) => [...row]));
  const mean = Matrix.columnVector([...prior.mean]);
  const target = Matrix.columnVector(seen.map(({ value }) => value));
  const errors = seen.map(({ plusMinus }) => plusMinus ** 2);
  const foretold = (logs: readonly number[]) => {
    const supposed = at(logs);
    return Matrix.columnVector(seen.map((each) => each.of(supposed)));
  };

  const slopes0 = slopesAt(seen, at, prior.mean);
  const off = Matrix.sub(target, foretold(prior.mean));
  const spread = slopes0.mmul(covariance).mmul(slopes0.transpose());
  const chi = (scale: number): number =>
    off
      .transpose()
      .mmul(inverse(withErrors(spread, errors, scale)))
      .mmul(off)
      .get(0, 0);
  const isContradictory = chi(1) > rareChiSquare(seen.length);
  const scale = isContradictory ? scaleFor(chi, seen.length) : 1;

  let logs = [...prior.mean];
  let [slopes, gain] = [slopes0, Matrix.zeros(prior.mean.length, seen.length)];
  for (let step = 0; step < STEPS; step++) {
    slopes = slopesAt(seen, at, logs);
    const across = covariance.mmul(slopes.transpose());
    gain = across.mmul(inverse(withErrors(slopes.mmul(across), errors, scale)));
    const rest = Matrix.sub(target, foretold(logs)).sub(
      slopes.mmul(Matrix.sub(mean, Matrix.columnVector(logs))),
    );
    logs = Matrix.add(mean, gain.mmul(rest)).to1DArray();
  }
  const left = Matrix.sub(covariance, gain.mmul(slopes).mmul(covariance));
  return {
    joint: { names: prior.names, mean: logs, covariance: symmetric(left) },
    isContradictory,
    off: offOfEach(inverse(withErrors(spread, errors, 1)), off),
  };
}

/**
 * How far each of several normal numbers lies from what the others say of it: with K the inverse of their covariance,
 * (K·off)ᵢ/√Kᵢᵢ (the conditional distribution of the multivariate normal; value from memory).
 */
const offOfEach = (inverseCovariance: Matrix, off: Matrix): number[] =>
  inverseCovariance
    .mmul(off)
    .to1DArray()
    .map((each, k) => each / Math.sqrt(inverseCovariance.get(k, k)));

/**
 * By what the squared errors are multiplied so that what was seen is no farther off than errors are on average: the way of
 * data that do not agree (R. T. Birge, *Physical Review* 40, 207 (1932); value from memory).
 */
function scaleFor(chi: (scale: number) => number, count: number): number {
  let scale = 1;
  while (chi(scale) > count && scale < MOST_SCALE) scale *= 1.25;
  return scale;
}

const MOST_SCALE = 1e4;

const withErrors = (spread: Matrix, errors: readonly number[], scale: number): Matrix =>
  Matrix.add(spread, Matrix.diag(errors.map((each) => scale * each)));

/** A row of slopes for each thing seen. Wood and machine are supposed once for all of them, which is the dear part. */
function slopesAt(seen: readonly Observation[], at: At, logs: readonly number[]): Matrix {
  const slopes = Matrix.zeros(seen.length, logs.length);
  const moved = [...logs];
  for (let k = 0; k < logs.length; k++) {
    moved[k] = logs[k]! + SMALL;
    const more = at(moved);
    moved[k] = logs[k]! - SMALL;
    const less = at(moved);
    moved[k] = logs[k]!;
    for (const [row, each] of seen.entries())
      slopes.set(row, k, (each.of(more) - each.of(less)) / (2 * SMALL));
  }
  return slopes;
}

function takeBound(prior: Joint, bound: Observation, at: At): Updated {
  const sign = bound.seen === 'at least' ? 1 : -1;
  const slopes = slopesAt([bound], at, prior.mean).to1DArray();
  const across = prior.covariance.map((row) => row.reduce((sum, c, k) => sum + c * slopes[k]!, 0));
  const variance = across.reduce((sum, c, k) => sum + c * slopes[k]!, 0) + bound.plusMinus ** 2;
  const sigma = Math.sqrt(variance);
  const z = (sign * (bound.of(at(prior.mean)) - bound.value)) / sigma;
  const chance = phi(Math.max(z, -RARE_Z));
  const held = Math.max(z, -RARE_Z);
  const ratio = Math.exp((-held * held) / 2) / Math.sqrt(2 * Math.PI) / chance;
  const shrink = (ratio * (ratio + held)) / variance;
  return {
    joint: {
      names: prior.names,
      mean: prior.mean.map((each, k) => each + (sign * ratio * across[k]!) / sigma),
      covariance: prior.covariance.map((row, i) => row.map((c, j) => c - across[i]! * across[j]! * shrink)),
    },
    isContradictory: phi(z) < RARE,
    off: [Math.min(0, z)],
  };
}

/** The chi-square that so many degrees of freedom pass three times in a thousand (E. B. Wilson & M. M. Hilferty, *PNAS* 17, 684 (1931)). */
const rareChiSquare = (count: number): number =>
  count * (1 - 2 / (9 * count) + RARE_Z * Math.sqrt(2 / (9 * count))) ** 3;

const symmetric = (matrix: Matrix): number[][] =>
  matrix.to2DArray().map((row, i) => row.map((each, j) => (each + matrix.get(j, i)) / 2));
