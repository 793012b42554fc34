import { changeProgram } from '../../src/change/change-program.ts';
import { type Forecast, forecastProgram } from '../../src/forecast.ts';
import { moveTimeS } from '../../src/motion/timeline.ts';
import { leftOver } from '../../src/parts/left-over.ts';
import type { Picture } from '../../src/picture/picture.ts';
import { tonePathOf } from '../../src/picture/tone.ts';
import { woodRaster } from '../../src/picture/wood.ts';
import type { Operation } from '../../src/program/program.ts';
import { reportOf } from '../../src/report.ts';
import { type Arrival, arrivalAfter, arrivalOver, coarserFrame } from './arrival.ts';
import { baseOf, mostArrivalCells } from './base.ts';
import { benchOf } from './bench-of.ts';
import { layersOf } from './layers.ts';
import type { Fineness, Foretold, OperationTone, Scene, Wish } from './messages.ts';
import { piecesOf } from './pieces.ts';
import { programOf, type Tell } from './reading.ts';
import { type RevealLevel, revealsOf } from './reveal.ts';
import { surfaceOf } from './surface.ts';

/** What a longer job leaves of the board is not worked out while a number is being dragged. */
const MOST_LIVE_MOVES = 100_000;

/** Forecasts what is wished for and makes of it what the stage needs. */
export function sceneOf(wish: Wish, tell: Tell): Scene {
  const started = performance.now();
  const { setup } = wish;
  const { made, own, arrival, reveals, fineness, isFine } = wish.live
    ? changedBase(wish, tell)
    : wholeRoad(wish, tell);
  tell('drawing', 0.5);
  const surface = surfaceOf(made.burn, made.dose.grid, fineness.texels);
  const pieces = piecesOf(made, arrival);
  const isLong = made.program.moves.count > MOST_LIVE_MOVES;
  const left = wish.live && isLong ? null : leftOver(made);
  return {
    setup: { ...setup, cellMm: fineness.cellMm, job: { ...setup.job, text: '' } },
    forecast: made,
    own,
    report: reportOf(made, null, left),
    surface,
    arrival,
    layers: layersOf(
      made.burn,
      made.dose.grid,
      arrival,
      surface.deepestMm,
      made.motion.durationS,
      pieces.marks,
    ),
    pieces,
    leftOver: left,
    reveals,
    tones: tonesOf(made, arrival),
    figure: figureOf(wish, made),
    isFine,
    tookMs: performance.now() - started,
  };
}

/** Forecasts what is wished for, where nothing of it comes on the stage. */
export function foretold(wish: Wish, tell: Tell): Foretold {
  const { made } = forecastOf(wish, tell);
  tell('drawing', 0);
  return { forecast: made, figure: figureOf(wish, made) };
}

const figureOf = ({ figure }: Wish, { burn, material }: Forecast): Picture | null =>
  figure ? woodRaster(burn, figure, tonePathOf(material)) : null;

interface Burned {
  readonly made: Forecast;
  readonly own: readonly Operation[];
  readonly arrival: Arrival;
  readonly reveals: readonly RevealLevel[];
  readonly fineness: Fineness;
  readonly isFine: boolean;
}

/** The whole road, as the command line goes it. */
function wholeRoad(wish: Wish, tell: Tell): Burned {
  const { own, made } = forecastOf(wish, tell);
  tell('drawing', 0);
  const frame = coarserFrame(made.dose.grid, mostArrivalCells(wish));
  const arrival = arrivalOver(frame, made.motion, made.machine);
  const fineness = { cellMm: wish.setup.cellMm, texels: wish.texels };
  return { made, own, arrival, reveals: revealsOf(arrival), fineness, isFine: true };
}

function forecastOf({ setup }: Wish, tell: Tell): Pick<Burned, 'made' | 'own'> {
  const { machine, material, options } = benchOf(setup);
  const own = programOf(setup, tell);
  const program = setup.changes.length > 0 ? changeProgram(own, setup.changes, machine) : own;
  tell('burning', 0);
  return { made: forecastProgram(program, machine, material, options), own: own.operations };
}

/** What the changes make of a job already forecast: what they leave alone is taken over. */
function changedBase(wish: Wish, tell: Tell): Burned {
  const { setup } = wish;
  const base = baseOf(wish, tell);
  const { whatIf, isFine, fineness } = base;
  const most = mostArrivalCells(fineness);
  const own = whatIf.base.program.operations;
  if (setup.changes.length === 0) return { ...base, own, made: whatIf.base };
  tell('burning', 0);
  const made = whatIf.forecast(setup.changes);
  tell('drawing', 0);
  const arrival = isFine
    ? arrivalOver(coarserFrame(made.dose.grid, most), made.motion, made.machine)
    : arrivalAfter(base.arrival, whatIf.base, made, most);
  const isSameTime = arrival.spanS === base.arrival.spanS;
  return { made, own, arrival, reveals: isSameTime ? base.reveals : revealsOf(arrival), fineness, isFine };
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
