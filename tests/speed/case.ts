import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { shippedMaterials } from '../../src/burn/shipped.ts';
import { parseChanges } from '../../src/change/grammar.ts';
import { startWhatIf } from '../../src/change/what-if.ts';
import { readChunks } from '../../src/cli/files.ts';
import { outputsOf } from '../../src/cli/outputs.ts';
import { readStock } from '../../src/cli/stock.ts';
import { type Forecast, forecast } from '../../src/forecast.ts';
import { sceneOf } from '../../viewer/worker/scene.ts';
import { arcOutlines, greyRaster, longCurve, TIMED_MACHINE, type TimedJob } from './jobs.ts';

/**
 * One timed case in a process of its own, so that its peak memory is its own: `case.ts KIND SIZE RUNS [changes]`
 * prints one line of JSON. With `changes`, settings are changed on the job, as a library and as the page do. The command line's whole way is measured, from the file on disk to the bytes of
 * what would be written.
 */
const KINDS: Record<string, (size: number) => TimedJob> = {
  raster: greyRaster,
  curve: longCurve,
  arcs: arcOutlines,
};
const CELL_MM = 0.05;
/** What the page takes while a number is being dragged. */
const COARSER = 3;
const COARSE_TEXELS = 1_000_000;
const CHANGES = 5;

/** How long this process takes for work that anyone can judge: so that figures of two machines compare. */
function yardstickMs(bytes: number): { copy: number; loop: number } {
  const source = new Uint8Array(bytes).fill(7);
  const target = new Uint8Array(bytes);
  const numbers = new Float64Array(1_000_000).fill(1.5);
  const best = (work: () => void) =>
    Math.min(
      ...Array.from({ length: 7 }, () => {
        const from = performance.now();
        work();
        return performance.now() - from;
      }),
    );
  let sum = 0;
  const copy = best(() => target.set(source));
  const loop = best(() => {
    for (let k = 0; k < numbers.length; k++) sum += numbers[k]! * numbers[k]!;
  });
  if (!(sum > 0)) throw new Error('the yardstick measured nothing');
  return { copy, loop };
}

const [kind, size, runs, changes] = process.argv.slice(2);
const job = KINDS[kind!]!(Number(size));
const folder = mkdtempSync(join(tmpdir(), 'charcast-speed-'));
const path = join(folder, 'job.nc');
writeFileSync(path, job.text, 'latin1');
const bytes = job.text.length;
const { name, stock } = job;
(job as { text: string }).text = '';

const timings: Record<string, number>[] = [];
/** The dose stage without the heat that stays. */
const coolDoseMs: number[] = [];
/** What all threads of the process spent on a run: on a machine with other work it says more than the clock. */
const processorMs: number[] = [];
const spentMs = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};
let moves = 0;
let checksum = 0;
for (let run = 0; run < Number(runs); run++) {
  const startedMs = performance.now();
  const spentBeforeMs = spentMs();
  const made = forecast(readChunks(path), TIMED_MACHINE, shippedMaterials['poplar plywood']!, {
    stock: readStock(stock),
    cellMm: CELL_MM,
  });
  const { report } = await outputsOf(made, name, startedMs);
  processorMs.push(spentMs() - spentBeforeMs);
  timings.push(report.timing_ms);
  moves = made.program.moves.count;
  checksum = made.dose.energyJ + made.motion.durationS;
}
const peakMb = process.resourceUsage().maxRSS / 1024;
for (let run = 0; run < Number(runs); run++) {
  const { timingMs } = forecast(readChunks(path), TIMED_MACHINE, shippedMaterials['poplar plywood']!, {
    stock: readStock(stock),
    cellMm: CELL_MM,
    cool: true,
  });
  coolDoseMs.push(timingMs.dose);
}
rmSync(folder, { recursive: true, force: true });

const median = (values: number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1]!;

/** The median time of some rounds, ms; the first round, in which things are kept and compiled, is not counted. */
function roundsMs(work: (round: number) => void): number {
  const times = Array.from({ length: CHANGES + 1 }, (_, round) => {
    const from = performance.now();
    work(round);
    return performance.now() - from;
  });
  return median(times.slice(1));
}

/** How long a change of settings takes: a what-if on the whole grid, and a step of a drag in the page. */
function changesMs(): Record<string, number> {
  const { text } = KINDS[kind!]!(Number(size));
  const material = shippedMaterials['poplar plywood']!;
  const board = readStock(stock);
  const whatIf = startWhatIf(forecast(text, TIMED_MACHINE, material, { stock: board, cellMm: CELL_MM }), {
    cellMm: CELL_MM,
  });
  let spent: Forecast | null = null;
  const power = (round: number) => parseChanges(`1: power ${40 + round} %`);
  const speed = (round: number) => parseChanges(`1: speed ${4000 + 50 * round}`);
  const setup = {
    job: { name, text },
    machine: TIMED_MACHINE,
    material,
    stock: board,
    cellMm: COARSER * CELL_MM,
  };
  const step = (changes: ReturnType<typeof power>) =>
    sceneOf({ id: 0, setup: { ...setup, changes }, live: true, texels: COARSE_TEXELS }, () => {});
  return {
    what_if_power: roundsMs((round) => {
      spent = whatIf.forecast(power(round), spent);
    }),
    what_if_speed: roundsMs((round) => {
      spent = whatIf.forecast(speed(round), spent);
    }),
    page_power: roundsMs((round) => step(power(round))),
    page_speed: roundsMs((round) => step(speed(round))),
  };
}
const stages = Object.fromEntries(
  Object.keys(timings[0]!).map((stage) => [stage, median(timings.map((t) => t[stage]!))]),
);
process.stdout.write(
  `${JSON.stringify({ name, bytes, moves, checksum, runs: timings.length, stages_ms: { ...stages, 'dose, cool': median(coolDoseMs) }, first_run_ms: timings[0]!.total, processor_ms: median(processorMs), peak_mb: peakMb, changes_ms: changes ? changesMs() : null, yardstick_ms: yardstickMs(bytes) })}\n`,
);
