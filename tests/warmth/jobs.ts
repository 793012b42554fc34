import type { Machine } from '../../src/machine/profile.ts';
import type { PowerMode } from '../../src/program/program.ts';
import { machineWith } from '../support/machines.ts';
import type { Step } from '../support/program-of.ts';
import { below, seeded } from '../support/random.ts';

/** Jobs of every kind in which earlier heat matters, or is said not to. Lengths in mm, feeds in mm/s. */
export interface WarmJob {
  readonly name: string;
  readonly steps: Step[];
  readonly machine: Machine;
}

const ordinary = machineWith({ acceleration_mm_s2: [600, 600, 100], spot: { width_mm: [0.15, 0.15] } });
const fast = machineWith({ acceleration_mm_s2: [4000, 4000, 100], spot: { width_mm: [0.1, 0.1] } });

/** Steps that go nowhere hand what they set on to the next. */
function going(steps: readonly Step[]): Step[] {
  const out: Step[] = [];
  let [x, y] = [0, 0];
  let held: Step = {};
  for (const step of steps) {
    if ('dwellS' in step) {
      out.push(step);
      continue;
    }
    const [nextX, nextY] = [step.x ?? x, step.y ?? y];
    const { rapid, ...set } = step;
    if (Math.hypot(nextX - x, nextY - y) < 1e-9) held = { ...held, ...set };
    else {
      out.push({ ...held, ...step });
      held = {};
    }
    [x, y] = [nextX, nextY];
  }
  return out;
}

interface Rows {
  readonly widthMm: number;
  readonly rows: number;
  readonly pitchMm: number;
  readonly feed: number;
  readonly s: number;
  readonly overscanMm: number;
  readonly turnDeg?: number;
  readonly power?: PowerMode;
}

/** Rows to and fro from (20, 20), each with its overscan. */
export function rowsJob({
  widthMm,
  rows,
  pitchMm,
  feed,
  s,
  overscanMm,
  turnDeg = 0,
  power = 'proportional',
}: Rows): Step[] {
  const turn = (turnDeg * Math.PI) / 180;
  const at = (u: number, v: number) => ({
    x: 20 + u * Math.cos(turn) - v * Math.sin(turn),
    y: 20 + u * Math.sin(turn) + v * Math.cos(turn),
  });
  const steps: Step[] = [{ ...at(-overscanMm, 0), rapid: true }];
  for (let row = 0; row < rows; row++) {
    const v = row * pitchMm;
    const [from, to] = row % 2 === 0 ? [0, widthMm] : [widthMm, 0];
    const out = Math.sign(to - from) * overscanMm;
    steps.push({ ...at(from - out, v), feed, s: overscanMm > 0 ? 0 : s, power });
    if (overscanMm > 0) steps.push({ ...at(from, v), s: 0 });
    steps.push({ ...at(to, v), s });
    if (overscanMm > 0) steps.push({ ...at(to + out, v), s: 0 });
  }
  return going(steps);
}

function ring(x: number, y: number, radius: number, sides: number, feed: number, s: number): Step[] {
  const at = (k: number) => ({
    x: x + radius * Math.cos((2 * Math.PI * k) / sides),
    y: y + radius * Math.sin((2 * Math.PI * k) / sides),
  });
  const way = Array.from({ length: sides }, (_, k): Step => ({ ...at(k + 1), feed, s, power: 'constant' }));
  return [{ ...at(0), rapid: true }, ...way];
}

/** A raster of grey steps, each its own move: at random, or as told for each step of a row. */
function greyRows(
  widthMm: number,
  rows: number,
  seed: number,
  greyAt: (atMm: number) => number | null = () => null,
): Step[] {
  const random = seeded(seed);
  const steps: Step[] = [{ x: 18, y: 20, rapid: true }];
  for (let row = 0; row < rows; row++) {
    const isRight = row % 2 === 0;
    const y = 20 + 0.1 * row;
    const n = Math.round(widthMm / 0.1);
    steps.push({ x: isRight ? 20 : 20 + widthMm, y, feed: 100, s: 0, power: 'proportional' });
    for (let k = 1; k <= n; k++) {
      const at = 0.1 * (isRight ? k : n - k);
      steps.push({ x: 20 + at, y, s: greyAt(at) ?? 100 + below(random, 700) });
    }
    steps.push({ x: isRight ? 22 + widthMm : 18, s: 0 });
    steps.push({ x: isRight ? 22 + widthMm : 18, y: y + 0.1, s: 0 });
  }
  return steps;
}

/** Strokes 2 mm wide, five of them beside one another, scanned as one. */
function word(): Step[] {
  const steps: Step[] = [{ x: 15, y: 20, rapid: true }];
  for (let row = 0; row < 40; row++) {
    const isRight = row % 2 === 0;
    const y = 20 + 0.1 * row;
    steps.push({ x: isRight ? 15 : 55, y, feed: 60, s: 0, power: 'proportional' });
    for (let k = 0; k < 5; k++) {
      const stroke = isRight ? k : 4 - k;
      const [a, b] = [20 + 7 * stroke, 22 + 7 * stroke];
      steps.push({ x: isRight ? a : b, y, s: 0 }, { x: isRight ? b : a, y, s: 500 });
    }
    steps.push({ x: isRight ? 55 : 15, y, s: 0 });
  }
  return steps;
}

function spiral(): Step[] {
  const steps: Step[] = [{ x: 30, y: 30, rapid: true }];
  for (let k = 1; k < 3000; k++) {
    const turn = 0.6 * Math.sqrt(k);
    const r = 0.03 * turn;
    steps.push({
      x: 30 + r * Math.cos(turn),
      y: 30 + r * Math.sin(turn),
      feed: 40,
      s: 400,
      power: 'constant',
    });
  }
  return steps;
}

function dots(): Step[] {
  const steps: Step[] = [];
  for (let row = 0; row < 12; row++) {
    for (let k = 0; k < 12; k++) {
      steps.push({ x: 20 + 0.4 * k, y: 20 + 0.4 * row, rapid: true, power: 'off' });
      steps.push({ x: 20 + 0.4 * k + 0.01, feed: 50, s: 0, power: 'constant' });
      steps.push({ dwellS: 0.02, s: 600, power: 'constant' });
    }
  }
  return steps;
}

const repeated = (times: number, steps: () => Step[]): Step[] => Array.from({ length: times }, steps).flat();

const ALL: readonly WarmJob[] = [
  {
    name: 'letters 2 mm wide with overscan',
    machine: ordinary,
    steps: rowsJob({ widthMm: 2, rows: 60, pitchMm: 0.1, feed: 50, s: 500, overscanMm: 2.5 }),
  },
  {
    name: 'letters 2 mm wide without, constant power',
    machine: ordinary,
    steps: rowsJob({
      widthMm: 2,
      rows: 60,
      pitchMm: 0.1,
      feed: 50,
      s: 300,
      overscanMm: 0,
      power: 'constant',
    }),
  },
  {
    name: 'a fill 15 mm wide on a fast gantry',
    machine: fast,
    steps: rowsJob({ widthMm: 15, rows: 100, pitchMm: 0.08, feed: 150, s: 700, overscanMm: 3 }),
  },
  {
    name: 'rows of 30 mm, turned by 45°',
    machine: ordinary,
    steps: rowsJob({ widthMm: 30, rows: 40, pitchMm: 0.1, feed: 50, s: 400, overscanMm: 2.5, turnDeg: 45 }),
  },
  { name: 'a grey raster 30 mm wide', machine: ordinary, steps: greyRows(30, 30, 7) },
  {
    name: 'a light picture with dark blocks',
    machine: ordinary,
    steps: greyRows(30, 30, 8, (atMm) => (atMm % 6 > 3 ? 750 : 120)),
  },
  { name: 'a word scanned as one', machine: ordinary, steps: word() },
  {
    name: 'a hole of 3 mm in seven passes',
    machine: ordinary,
    steps: repeated(7, () => ring(30, 30, 1.5, 48, 5, 1000)),
  },
  {
    name: 'a loop of 10 mm in two passes',
    machine: ordinary,
    steps: repeated(2, () => ring(30, 30, 5, 90, 10, 900)),
  },
  { name: 'a tight spiral', machine: ordinary, steps: spiral() },
  { name: 'dots burned at rest', machine: ordinary, steps: dots() },
];

/** Its spot reaches as far as heat does in a second. */
export const WIDE_JOB: WarmJob = {
  name: 'rows of 20 mm under a wide spot',
  machine: machineWith({ acceleration_mm_s2: [600, 600, 100], spot: { width_mm: [0.63, 0.82] } }),
  steps: going(rowsJob({ widthMm: 20, rows: 40, pitchMm: 0.5, feed: 30, s: 900, overscanMm: 1 })),
};

export const WARM_JOBS: readonly WarmJob[] = ALL.map((job) => ({ ...job, steps: going(job.steps) }));
