import type { Machine } from '../machine/profile.ts';
import { mmPerSToMmPerMin } from '../units.ts';

/**
 * Three runs in the dark, to be timed by hand where no listing tells how soon a machine gathers speed: short strokes
 * along x, the same along y, and rounds about a tiny square, whose time is spent in its corners.
 */

export type RunName = 'along x' | 'along y' | 'corners';
export const RUN_NAMES: readonly RunName[] = ['along x', 'along y', 'corners'];

export interface StopwatchRun {
  readonly name: RunName;
  /** What it does, and what room it needs, in one sentence. */
  readonly about: string;
  /** The G-code: from where the head stands, in steps, with the beam off. */
  readonly text: string;
  /** The head's way, mm, … */
  readonly lengthMm: number;
  /** … and the speed asked for, mm/s: sooner than this way takes at this speed no run can end. */
  readonly speedMmPerS: number;
}

/** So short that a usual machine hardly reaches its top speed, so many that a hand's slip counts little. */
export const STROKE_MM = 4;
export const STROKES = 200;
const SIDE_MM = 0.5;
const ROUNDS = 150;

/** The runs for a machine: its top speeds are taken as they stand. */
export const stopwatchRuns = (machine: Machine): StopwatchRun[] =>
  RUN_NAMES.map((name) => run(name, machine));

function run(name: RunName, { max_speed_mm_s: [topX, topY] }: Machine): StopwatchRun {
  const speedMmPerS = name === 'along x' ? topX : name === 'along y' ? topY : Math.min(topX, topY);
  const steps = name === 'corners' ? rounds() : strokes(name === 'along x' ? 'X' : 'Y');
  const feed = Math.round(mmPerSToMmPerMin(speedMmPerS) * 1000) / 1000;
  const text = [
    `; Stopwatch run, ${name}: from where the head stands, in the dark`,
    'G21 G91',
    'M5 S0',
    `G1 F${feed}`,
    ...steps,
    'G90',
    'M2',
    '',
  ].join('\n');
  const lengthMm = name === 'corners' ? ROUNDS * 4 * SIDE_MM : STROKES * STROKE_MM;
  return { name, about: ABOUT[name], text, lengthMm, speedMmPerS };
}

const ABOUT: Readonly<Record<RunName, string>> = {
  'along x': `${STROKES} strokes of ${STROKE_MM} mm to the right and back`,
  'along y': `${STROKES} strokes of ${STROKE_MM} mm away from you and back`,
  corners: `${ROUNDS} rounds about a square of ${SIDE_MM} mm`,
};

const strokes = (axis: 'X' | 'Y'): string[] =>
  Array.from({ length: STROKES }, (_, k) => `${axis}${k % 2 === 0 ? '' : '-'}${STROKE_MM}`);

const rounds = (): string[] =>
  Array.from({ length: ROUNDS }, () => [`X${SIDE_MM}`, `Y${SIDE_MM}`, `X-${SIDE_MM}`, `Y-${SIDE_MM}`]).flat();
