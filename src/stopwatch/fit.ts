import { InputError } from '../errors.ts';
import { readOptions } from '../forecast.ts';
import { type Machine, RANGES, readMachine } from '../machine/profile.ts';
import { planMotion } from '../motion/plan.ts';
import { readProgram } from '../program/read.ts';
import { leastSquares, sigmaOf } from '../swatch/fit/least-squares.ts';
import { numberWords } from '../words.ts';
import { RUN_NAMES, type RunName, STROKE_MM, STROKES, type StopwatchRun, stopwatchRuns } from './runs.ts';

/**
 * Acceleration and corner speed from timed runs: the motion planner is asked for which numbers the runs would take
 * as long as they did.
 */

/** Seconds by run; a run timed more than once has several. */
export type Timings = Readonly<Partial<Record<RunName, readonly number[]>>>;

/** A fitted number of the profile. */
export interface Fitted {
  readonly field: 'acceleration along x' | 'acceleration along y' | 'corner';
  readonly value: number;
  readonly unit: 'mm/s²' | 'mm' | 'mm/s';
  /** One standard uncertainty as a part of the value; above {@link MOST_PART} the timing could not tell it. */
  readonly plusMinusPart: number;
  readonly isTold: boolean;
}

export interface StopwatchFit {
  /** The machine with what could be told. */
  readonly machine: Machine;
  readonly fitted: readonly Fitted[];
}

/** How far a hand on a stopwatch is off, both presses together, one standard deviation, s: common practice, no source. */
const HAND_S = 0.2;
/** Less sure than this is not worth keeping. */
const MOST_PART = 0.5;
/** The fit goes by logarithms: all of these are above 0, and may be off by a factor. */
const SCALE = 0.3;
/** What was not timed is taken as known to this part. */
const KNOWN_PART = 0.02;

/**
 * Fits what the given timings tell: strokes along an axis its acceleration, rounds about the square the corners.
 * What is not timed is taken as the machine has it.
 *
 * @throws {InputError} where a run took less time than its way takes at the top speed, or nothing was timed.
 */
export function fitStopwatch(machine: Machine, timings: Timings): StopwatchFit {
  const runs = stopwatchRuns(machine).filter(({ name }) => (timings[name]?.length ?? 0) > 0);
  if (runs.length === 0) throw new InputError('found no time; expected the seconds of at least one run');
  for (const each of runs) refuseTooSoon(each, timings[each.name]!);
  const programs = runs.map(({ text }) => readProgram([text], readOptions(machine)));
  const isTimed = (name: RunName) => runs.some((each) => each.name === name);
  const of = (logs: readonly number[]): Machine =>
    RUN_NAMES.reduce((so, name, k) => withNumber(so, name, Math.exp(logs[k]!)), machine);
  const fit = leastSquares(
    RUN_NAMES.map((name) => {
      const start = Math.log(startOf(machine, runs, name, timings[name]));
      return { start, scale: SCALE, prior: isTimed(name) ? null : { value: start, sigma: KNOWN_PART } };
    }),
    (logs) => {
      const tried = of(logs);
      return runs.flatMap(({ name }, k) => {
        const { durationS } = planMotion(programs[k]!, tried);
        return timings[name]!.map((each) => (durationS - each) / HAND_S);
      });
    },
  );
  const fitted = RUN_NAMES.flatMap((name, k): readonly (Fitted & { name: RunName })[] => {
    if (!isTimed(name)) return [];
    const plusMinusPart = sigmaOf(fit, k);
    const value = Math.exp(fit.values[k]!);
    const isTold = plusMinusPart > 0 && plusMinusPart <= MOST_PART;
    return [{ name, field: fieldOf(name), value, unit: unitOf(machine, name), plusMinusPart, isTold }];
  });
  const told = fitted.reduce(
    (so, { name, value, isTold }) => (isTold ? withNumber(so, name, Number(numberWords(value, 3))) : so),
    machine,
  );
  return { machine: readMachine(told), fitted };
}

function refuseTooSoon({ name, lengthMm, speedMmPerS }: StopwatchRun, seconds: readonly number[]): void {
  const leastS = lengthMm / speedMmPerS;
  for (const each of seconds) {
    if (!(each > 0 && each < 86_400))
      throw new InputError(`found ${each} s for the run ${name}; expected its seconds, as in 27.4`);
    if (each + 3 * HAND_S < leastS)
      throw new InputError(
        `found ${numberWords(each)} s for the run ${name}; expected at least ${numberWords(leastS)} s, which it takes at the top speed alone: is the top speed right, and was all of it timed?`,
      );
  }
}

const clamped = (value: number, [least, most]: readonly [number, number]): number =>
  Math.min(most, Math.max(least, value));

function withNumber(machine: Machine, name: RunName, value: number): Machine {
  const [ax, ay, az] = machine.acceleration_mm_s2;
  const a = clamped(value, RANGES.accelerationMmPerS2);
  if (name === 'along x') return { ...machine, acceleration_mm_s2: [a, ay, az] };
  if (name === 'along y') return { ...machine, acceleration_mm_s2: [ax, a, az] };
  const { cornering } = machine;
  return {
    ...machine,
    cornering:
      cornering.rule === 'speed-step'
        ? { ...cornering, step_mm_s: clamped(value, RANGES.stepMmPerS) }
        : { ...cornering, deviation_mm: clamped(value, RANGES.deviationMm) },
  };
}

/** Where the fit begins: at what strokes from rest to rest would take; else at what the machine has. */
function startOf(
  { acceleration_mm_s2: [ax, ay], cornering }: Machine,
  runs: readonly StopwatchRun[],
  name: RunName,
  seconds: readonly number[] = [],
): number {
  const run = runs.find((each) => each.name === name);
  if (name === 'corners') {
    return cornering.rule === 'speed-step' ? cornering.step_mm_s || 5 : cornering.deviation_mm || 0.01;
  }
  if (!run) return name === 'along x' ? ax : ay;
  const strokeS = seconds.reduce((sum, each) => sum + each, 0) / seconds.length / STROKES;
  const rampS = strokeS - STROKE_MM / run.speedMmPerS;
  // L / v + v / a where the top speed v is reached, 2 √(L / a) where it is not: textbook mechanics.
  const trapezoid = run.speedMmPerS / Math.max(rampS, 1e-3 * strokeS);
  const triangle = (4 * STROKE_MM) / strokeS ** 2;
  return trapezoid * STROKE_MM > run.speedMmPerS ** 2 ? trapezoid : triangle;
}

const fieldOf = (name: RunName): Fitted['field'] =>
  name === 'corners' ? 'corner' : name === 'along x' ? 'acceleration along x' : 'acceleration along y';

const unitOf = ({ cornering }: Machine, name: RunName): Fitted['unit'] =>
  name !== 'corners' ? 'mm/s²' : cornering.rule === 'speed-step' ? 'mm/s' : 'mm';
