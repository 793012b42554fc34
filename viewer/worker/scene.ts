import { changeProgram } from '../../src/change/change-program.ts';
import { type Forecast, forecastProgram, readOptions } from '../../src/forecast.ts';
import { moveTimeS } from '../../src/motion/timeline.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { woodRaster } from '../../src/picture/wood.ts';
import type { Program } from '../../src/program/program.ts';
import { readProgram } from '../../src/program/read.ts';
import { reportOf } from '../../src/report.ts';
import { type Arrival, arrivalOver, coarserFrame } from './arrival.ts';
import { closeUpsOf } from './close-ups.ts';
import type { OperationTone, Scene, Setup, Stage, Wish } from './messages.ts';
import { surfaceOf } from './surface.ts';

/** Arrival times need no finer cells than these. */
const MOST_ARRIVAL_CELLS = 4_000_000;
/** A job's text is handed to the reader in pieces of this many characters, to tell how far it is. */
const CHUNK = 1 << 18;

/** Forecasts what is wished for and makes of it what the stage needs. */
export function sceneOf(wish: Wish, tell: (stage: Stage, fraction: number) => void): Scene {
  const started = performance.now();
  const { setup } = wish;
  const { machine, material, stock, cellMm } = setup;
  const own = programOf(setup, tell);
  const program = setup.changes.length > 0 ? changeProgram(own, setup.changes, machine) : own;
  tell('burning', 0);
  const made = forecastProgram(program, machine, material, { stock, cellMm });
  tell('drawing', 0);
  const arrival = arrivalOver(
    coarserFrame(made.dose.grid, Math.min(MOST_ARRIVAL_CELLS, wish.texels)),
    made.motion,
    machine,
  );
  tell('drawing', 0.5);
  return {
    setup: { ...setup, job: { ...setup.job, text: '' } },
    forecast: made,
    report: reportOf(made),
    surface: surfaceOf(made.burn, made.dose.grid, stock?.thicknessMm ?? null, wish.texels),
    arrival,
    tones: tonesOf(made, arrival),
    closeUps: wish.closeUps ? closeUpsOf(made) : [],
    figure: wish.figure ? woodRaster(made.burn, wish.figure, tonePathOf(material)) : null,
    tookMs: performance.now() - started,
  };
}

/** The last job read, kept because a number being dragged asks for it again and again. */
let kept: { readonly text: string; readonly options: string; readonly program: Program } | null = null;

/** The job as read; a copy, since what a scene holds is handed over. */
function programOf({ job, machine }: Setup, tell: (stage: Stage, fraction: number) => void): Program {
  const options = JSON.stringify([readOptions(machine), machine.laser.power_words]);
  if (kept?.text !== job.text || kept.options !== options) {
    kept = { text: job.text, options, program: readProgram(inChunks(job.text, tell), readOptions(machine)) };
  }
  return structuredClone(kept.program);
}

function* inChunks(text: string, tell: (stage: Stage, fraction: number) => void): Generator<string> {
  for (let at = 0; at < text.length; at += CHUNK) {
    tell('reading', at / text.length);
    yield text.slice(at, at + CHUNK);
  }
}

/** The mean tone each operation leaves, over the cells it was the last to visit. */
function tonesOf({ motion, program, burn }: Forecast, { frame, marks }: Arrival): OperationTone[] {
  const sums = new Float64Array(256);
  const counts = new Float64Array(256);
  const times = Math.round(frame.cellMm / burn.frame.cellMm);
  const middle = times >> 1;
  for (let j = 0; j < frame.ny; j++) {
    const jj = Math.min(burn.frame.ny - 1, j * times + middle);
    for (let i = 0; i < frame.nx; i++) {
      const n = marks[4 * (j * frame.nx + i) + 3]!;
      if (n === 0) continue;
      const tone = burn.tone[jj * burn.frame.nx + Math.min(burn.frame.nx - 1, i * times + middle)]!;
      if (tone < 0.02) continue;
      sums[n]! += tone;
      counts[n]!++;
    }
  }
  return program.operations.map(({ n, firstMove, lastMove }) => ({
    n,
    fromS: motion.startS[firstMove]!,
    toS: motion.startS[lastMove]! + moveTimeS(motion, lastMove),
    tone: n < 256 && counts[n]! > 0 ? sums[n]! / counts[n]! : 0,
  }));
}

/** The buffers of a scene that may be handed over rather than copied. */
export function buffersOf(value: unknown, found = new Set<ArrayBuffer>()): Set<ArrayBuffer> {
  if (ArrayBuffer.isView(value)) {
    if (value.buffer instanceof ArrayBuffer) found.add(value.buffer);
  } else if (Array.isArray(value)) {
    if (typeof value[0] === 'object') for (const item of value) buffersOf(item, found);
  } else if (value !== null && typeof value === 'object') {
    for (const item of Object.values(value)) buffersOf(item, found);
  }
  return found;
}
