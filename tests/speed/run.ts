import { execFileSync } from 'node:child_process';
import { cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { pageTimesMs } from './page.ts';

/**
 * `npm run speed [-- --json] [-- --quick]`: how long each stage of the road takes on jobs made by seed, with
 * peak memory, and each stage as a multiple of two yardsticks run in the same process: copying the job's
 * bytes once, and squaring and adding a million doubles.
 */
interface Result {
  name: string;
  bytes: number;
  moves: number;
  stages_ms: Record<string, number>;
  first_run_ms: number;
  processor_ms: number;
  peak_mb: number;
  changes_ms: Record<string, number> | null;
  yardstick_ms: { copy: number; loop: number };
}

const CASES: [kind: string, size: number, runs: number][] = [
  ['raster', 10_000, 5],
  ['raster', 100_000, 5],
  ['raster', 1_000_000, 3],
  ['raster', 4_000_000, 1],
  ['curve', 200_000, 3],
  ['arcs', 100, 3],
];
/** Changes of settings are measured up to this size. */
const MOST_CHANGED = 1_000_000;
const PAGE_LOADS = 3;
const STAGES = ['program', 'motion', 'dose', 'warmth', 'dose, cool', 'burn', 'findings', 'pictures', 'total'];

const json = process.argv.includes('--json');
const quick = process.argv.includes('--quick');
const script = fileURLToPath(new URL('./case.ts', import.meta.url));
/** One case in a process of its own. */
function measure(kind: string, size: number, runs: number, ...changes: string[]): Result {
  const words = ['--import', 'tsx', script, kind, String(size), String(runs), ...changes];
  return JSON.parse(execFileSync(process.execPath, words, { encoding: 'utf8', maxBuffer: 1 << 24 }));
}

const results = CASES.filter(([, size]) => !quick || size <= 100_000).map(([kind, size, runs]): Result => {
  const timed = measure(kind, size, runs);
  // Peak memory is that of a single forecast: later runs in one process would add what is not yet collected.
  const { peak_mb, changes_ms } = measure(kind, size, 1, ...(size <= MOST_CHANGED ? ['changes'] : []));
  return { ...timed, peak_mb, changes_ms };
});

const page = await pageTimesMs(PAGE_LOADS, quick);

if (json) {
  process.stdout.write(
    `${JSON.stringify({ cpu: cpus()[0]?.model, cores: cpus().length, node: process.version, results, page_ms: page }, null, 2)}\n`,
  );
} else {
  const wholes = (values: number[]) => values.map((value) => value.toFixed(0)).join(', ');
  const row = (cells: (string | number)[]) => `| ${cells.join(' | ')} |`;
  const lines = [
    `${cpus()[0]?.model ?? 'unknown processor'}, ${cpus().length} cores, Node ${process.version}; median of the runs, ms (and times the loop yardstick)`,
    '',
    row(['job', 'MB', 'moves', ...STAGES, 'first run', 'processor', 'peak MB']),
    row(Array.from({ length: STAGES.length + 6 }, () => '---')),
    ...results.map((r) =>
      row([
        r.name,
        (r.bytes / 1e6).toFixed(1),
        r.moves,
        ...STAGES.map(
          (stage) =>
            `${r.stages_ms[stage]!.toFixed(0)} (${(r.stages_ms[stage]! / r.yardstick_ms.loop).toFixed(0)}×)`,
        ),
        r.first_run_ms.toFixed(0),
        r.processor_ms.toFixed(0),
        r.peak_mb.toFixed(0),
      ]),
    ),
    '',
    'A change of one setting, ms: a what-if on the whole grid, and a step of a drag in the page (cells three times as wide).',
    '',
    row(['job', 'what-if, power', 'what-if, speed', 'page, power', 'page, speed']),
    row(Array.from({ length: 5 }, () => '---')),
    ...results.flatMap(({ name, changes_ms }) =>
      changes_ms ? [row([name, ...Object.values(changes_ms).map((ms) => ms.toFixed(0))])] : [],
    ),
    '',
    `The page with the demo, from the beginning of ${PAGE_LOADS} loads, ms: first picture ${wholes(page.firstPicture)}; fine picture ${wholes(page.fine)} (headless Chromium, software WebGL).`,
    '',
    `Played at 1280 × 720: ${page.playedFps.toFixed(1)} frames a second, ${page.playedCpuMs.toFixed(0)} ms of processor time each; still with all detail ${page.atRestMs.toFixed(0)} ms after.`,
    ...page.large.map(
      ({ lines: moves, changeMs, changeCpuMs, holdsMb }) =>
        `A raster of ${moves} moves in the page: a step of its power shows after ${changeMs.power.toFixed(0)} ms (processor ${changeCpuMs.power.toFixed(0)} ms), of its speed after ${changeMs.speed.toFixed(0)} ms (${changeCpuMs.speed.toFixed(0)} ms); its process holds ${holdsMb.toFixed(0)} MB.`,
    ),
    '',
    `Yardsticks: the loop ${results.map((r) => r.yardstick_ms.loop.toFixed(2)).join(', ')} ms; one copy of the bytes ${results.map((r) => r.yardstick_ms.copy.toFixed(2)).join(', ')} ms.`,
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
}
