import type { Material, Quantity } from '../burn/material.ts';
import { statedRelative } from '../burn/uncertainty.ts';
import type { Machine } from '../machine/profile.ts';
import { DRAWS, logSigma, normalDraws } from './draws.ts';

/**
 * Numbers that hang together, since one burn told of several at once: drawn as a normal distribution of their logarithms,
 * by the triangle whose square is their covariance (A.-L. Cholesky; value from memory) from the lattice's own numbers.
 */
export interface Together {
  /** Multiples of what the profiles say, by draw; null for what does not hang together with anything. */
  factors(name: string): Float64Array | null;
}

/** The names of an absorption row's two numbers. */
export const rowNames = (wavelengthNm: number) =>
  [`absorptance_${wavelengthNm}_nm`, `depth_mm_${wavelengthNm}_nm`] as const;

/** What is known of numbers together: the logarithms of their multiples of what the profiles say. */
export interface Joint {
  readonly names: readonly string[];
  readonly mean: readonly number[];
  readonly covariance: readonly (readonly number[])[];
}

export const MACHINE_NAMES = ['optical_power', 'spot_width'] as const;

/** The way back from {@link logSigma}. */
export const relativeOf = (sigma: number): number => Math.sqrt(Math.expm1(sigma * sigma));

/** A number of a wood by its name; null where it has none of that name. */
export function quantityOf(material: Material, name: string): Quantity | null {
  for (const row of material.absorption) {
    const [absorptance, depth] = rowNames(row.wavelength_nm);
    if (name === absorptance) return row.absorptance;
    if (name === depth) return row.depth_mm;
  }
  const quantity = (material as unknown as Record<string, unknown>)[name];
  const isQuantity = typeof quantity === 'object' && quantity !== null && 'plus_minus' in quantity;
  return isQuantity ? (quantity as Quantity) : null;
}

/** The same wood whose numbers by name are its own and may be changed; it shares all else, which a whole copy takes long for. */
export const withOwnNumbers = (material: Material): Material => ({
  ...material,
  ...numbersOf(material, Object.keys(material)),
  absorption: material.absorption.map((row) => ({
    ...row,
    absorptance: { ...row.absorptance },
    depth_mm: { ...row.depth_mm },
  })),
});

/** The numbers of a wood by these names, as they stand; those it has none of are left out. */
export const numbersOf = (material: Material, names: readonly string[]): Record<string, Quantity> =>
  Object.fromEntries(
    names.flatMap((name) => {
      const quantity = quantityOf(material, name);
      return quantity ? [[name, { ...quantity }]] : [];
    }),
  );

/** How numbers hang together, as a profile keeps it; with what is known for certain nothing does. */
export function correlationOf(covariance: Joint['covariance']): number[][] {
  const sigma = covariance.map((row, k) => Math.sqrt(row[k]!));
  return covariance.map((row, i) =>
    row.map((c, j) => {
      if (i === j) return 1;
      const both = sigma[i]! * sigma[j]!;
      return both > 0 ? Math.max(-1, Math.min(1, digits(c / both))) : 0;
    }),
  );
}

/** Enough that what is read back is the same to a millionth. */
export const digits = (value: number): number => Number(value.toPrecision(7));

/**
 * What burns have taught of wood and machine together; null where none were told of, or none of them was believed. On another
 * machine than theirs, or when its profile has changed, the wood's own part is left.
 */
export function jointOf(material: Material, machine: Machine): Joint | null {
  const { learned } = material;
  if (learned === null || isAsStated(learned)) return null;
  const { machine: own } = learned;
  const relative = [
    relativePercent(own.optical_power_percent),
    relativePercent(own.spot_width_percent),
    ...learned.names.slice(MACHINE_NAMES.length).map((name) => {
      const quantity = quantityOf(material, name);
      return quantity ? statedRelative(quantity) : 0;
    }),
  ];
  const sigma = learned.log_sigma ?? relative.map(logSigma);
  const covariance = learned.correlation.map((row, i) => row.map((r, j) => r * sigma[i]! * sigma[j]!));
  // The wood's numbers are told for a machine that is what its profile says.
  const shift = [
    Math.log1p(own.optical_power_percent.value / 100),
    Math.log1p(own.spot_width_percent.value / 100),
  ] as const;
  const joint = { names: learned.names, mean: followMachine(covariance, shift), covariance };
  return isItsMachine(material, machine) ? joint : woodOf(joint);
}

/** Whether nothing hangs together with anything and the machine is as its profile says: then the numbers alone say all. */
const isAsStated = ({ machine, correlation, log_sigma }: NonNullable<Material['learned']>): boolean =>
  log_sigma === undefined &&
  machine.optical_power_percent.value === 0 &&
  machine.spot_width_percent.value === 0 &&
  correlation.every((row, i) => row.every((r, j) => i === j || r === 0));

const relativePercent = ({ value, plus_minus }: { value: number; plus_minus: number }): number =>
  plus_minus / (100 + value);

/** Whether a profile was learned with this very machine. */
function isItsMachine({ learned }: Material, { name, laser, spot }: Machine): boolean {
  const near = (a: number, b: number) => Math.abs(a / b - 1) < 1e-6;
  return (
    learned !== null &&
    learned.machine.name === name &&
    near(learned.machine.laser_power_w, laser.optical_power_w) &&
    learned.machine.spot_width_mm.every((mm, axis) => near(mm, spot.width_mm[axis]!))
  );
}

/**
 * How far all numbers follow where the machine's two are moved by `shift`, as the covariance has it (the mean of a normal
 * distribution, given a part of it).
 */
export function followMachine(
  covariance: readonly (readonly number[])[],
  [power, width]: readonly [number, number],
): number[] {
  const [a, b, d] = [covariance[0]![0]!, covariance[0]![1]!, covariance[1]![1]!];
  const determinant = a * d - b * b;
  if (!(determinant > 1e-12)) return covariance.map((_, k) => [power, width][k] ?? 0);
  const forPower = (d * power - b * width) / determinant;
  const forWidth = (a * width - b * power) / determinant;
  return covariance.map((row) => row[0]! * forPower + row[1]! * forWidth);
}

/** The part without the machine, about the profile's own numbers. */
function woodOf({ names, covariance }: Joint): Joint {
  const rest = names.slice(MACHINE_NAMES.length);
  return {
    names: rest,
    mean: rest.map(() => 0),
    covariance: covariance.slice(MACHINE_NAMES.length).map((row) => row.slice(MACHINE_NAMES.length)),
  };
}

/** The draws of what hangs together; null where nothing does. */
export function startTogether(material: Material, machine: Machine): Together | null {
  const joint = jointOf(material, machine);
  if (joint === null) return null;
  const { names, mean, covariance } = joint;
  const triangle = triangleOf(covariance);
  // Numbers of the lattice beyond those of what stands for itself.
  const own = names.map((_, k) => normalDraws(FIRST_INDEX + k));
  return {
    factors(name) {
      const at = names.indexOf(name);
      if (at < 0) return null;
      const drawn = new Float64Array(DRAWS);
      for (let k = 0; k < DRAWS; k++) {
        let sum = mean[at]!;
        for (let j = 0; j <= at; j++) sum += triangle[at]![j]! * own[j]![k]!;
        drawn[k] = Math.exp(sum);
      }
      return drawn;
    },
  };
}

/** The lattice's numbers before it are those of what is drawn one by one. */
const FIRST_INDEX = 24;

/** The lower triangle L with L·Lᵀ = C; a direction that rounding has made less than certain is taken as certain. */
function triangleOf(covariance: readonly (readonly number[])[]): number[][] {
  const triangle: number[][] = [];
  for (const [i, row] of covariance.entries()) {
    const line: number[] = [];
    for (let j = 0; j <= i; j++) {
      let rest = row[j]!;
      for (let k = 0; k < j; k++) rest -= line[k]! * (triangle[j]?.[k] ?? line[k]!);
      if (i === j) line.push(Math.sqrt(Math.max(0, rest)));
      else line.push(triangle[j]![j]! > 1e-9 ? rest / triangle[j]![j]! : 0);
    }
    triangle.push(line);
  }
  return triangle;
}
