import { scaleLinear } from 'd3-scale';

/** Ticks of a scale and how they are written: 1-2-5 steps, as many decimals as the step has. */
export interface Ticks {
  readonly values: readonly number[];
  readonly labels: readonly string[];
}

/** About `count` round ticks within from … to, in rising order. */
export function ticksOver(from: number, to: number, count: number): Ticks {
  const scale = scaleLinear().domain([from, to]);
  const values = scale.ticks(count);
  const format = scale.tickFormat(count, 'f');
  return { values, labels: values.map((value) => (value === 0 ? '0' : format(value))) };
}

/** The greatest of 1, 2, 5, 10, 20, 50 … (and 0.5, 0.2 …) that is no more than `limit`. */
export function roundLength(limit: number): number {
  const power = 10 ** Math.floor(Math.log10(limit));
  const digit = [5, 2].find((d) => d * power <= limit * (1 + 1e-9)) ?? 1;
  return Number((digit * power).toPrecision(1));
}

/** The numbers digit × 10ⁿ within from … to, rising: with digits 1, 2, 5 the round steps of a ratio scale. */
export function roundSteps(from: number, to: number, digits: readonly number[]): number[] {
  const steps: number[] = [];
  for (let n = Math.floor(Math.log10(from)); 10 ** n <= to * (1 + 1e-9); n++) {
    for (const digit of digits) {
      const step = Number(`${digit}e${n}`);
      if (step >= from && step <= to * (1 + 1e-9)) steps.push(step);
    }
  }
  return steps;
}

/** A length for people: to a tenth of a millimetre, to a hundredth below 10 mm. */
export const lengthText = (mm: number): string => String(Number(mm.toFixed(Math.abs(mm) < 10 ? 2 : 1)));

/** A number with two digits that count, as much as a forecast dose is worth. */
export const twoDigits = (value: number): string => {
  const rounded = Number(value.toPrecision(2));
  return Math.abs(rounded) >= 1e5 || (rounded !== 0 && Math.abs(rounded) < 1e-3)
    ? rounded.toExponential().replace('e+', 'e')
    : String(rounded);
};
