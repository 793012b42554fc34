import { chooseFrame, jobBounds } from '../../src/board.ts';
import { startWhatIf, type WhatIf } from '../../src/change/what-if.ts';
import { forecastProgram } from '../../src/forecast.ts';
import type { Program } from '../../src/program/program.ts';
import { type Arrival, arrivalOver, coarserFrame } from './arrival.ts';
import { benchOf } from './bench-of.ts';
import { buffersOf } from './buffers.ts';
import type { Fineness, Setup, Wish } from './messages.ts';
import { programOf, type Tell } from './reading.ts';
import { type RevealLevel, revealsOf } from './reveal.ts';

/**
 * A job as it is, before any change, with what has been worked out of it: a setting being dragged asks for the
 * same job again and again, and most of it stays.
 */
export interface Base {
  readonly whatIf: WhatIf;
  readonly arrival: Arrival;
  readonly reveals: readonly RevealLevel[];
  readonly fineness: Fineness;
  /** It is as fine as was asked for where the job is small. */
  readonly isFine: boolean;
}

/** What must stay in the worker: a buffer handed to the page is gone here. */
export const keptBuffers = (): Set<ArrayBuffer> =>
  kept ? buffersOf([kept.base.whatIf.base, kept.base.arrival, kept.base.reveals]) : new Set();

let kept: { readonly text: string; readonly key: string; readonly base: Base } | null = null;

/** Lets what is kept go. */
export const forgetBase = (): void => {
  kept = null;
};

/** Arrival times need no finer cells than these. */
const MOST_ARRIVAL_CELLS = 4_000_000;

export const mostArrivalCells = ({ texels }: Pick<Fineness, 'texels'>): number =>
  Math.min(MOST_ARRIVAL_CELLS, texels);

const keyOf = ({ setup, texels, ifSmall }: Pick<Wish, 'setup' | 'texels' | 'ifSmall'>): string =>
  JSON.stringify([benchOf(setup), texels, ifSmall]);

/** The base of what is wished for, if it is the one that is kept. */
export const keptBase = (wish: Wish): Base | null =>
  kept?.text === wish.setup.job.text && kept.key === keyOf(wish) ? kept.base : null;

/** The base of what is wished for, made where the last wish was for another. */
export function baseOf(wish: Wish, tell: Tell): Base {
  const known = keptBase(wish);
  if (known) return known;
  const { setup, texels, ifSmall } = wish;
  kept = null; // gone before the next one is made: two would take twice the memory
  const program = programOf(setup, tell);
  const small = ifSmall && isSmall(program, setup, ifSmall) ? ifSmall : null;
  const fineness = small ?? { cellMm: setup.cellMm, texels };
  const { machine, material, options } = benchOf(setup, fineness.cellMm);
  tell('burning', 0);
  const forecast = forecastProgram(program, machine, material, options);
  tell('drawing', 0);
  const frame = coarserFrame(forecast.dose.grid, mostArrivalCells(fineness));
  const arrival = arrivalOver(frame, forecast.motion, machine);
  const whatIf = startWhatIf(forecast, { cellMm: fineness.cellMm });
  kept = {
    text: setup.job.text,
    key: keyOf(wish),
    base: { whatIf, arrival, reveals: revealsOf(arrival), fineness, isFine: small !== null },
  };
  return kept.base;
}

/** Up to here cells, moves and the way in cells take no longer than all that is worked out whatever the cells. */
const SMALL = { cells: 200_000, moves: 10_000, wayCells: 100_000 } as const;

function isSmall(program: Program, { machine, stock }: Setup, { cellMm }: Fineness): boolean {
  const { count, xMm, yMm } = program.moves;
  if (count > SMALL.moves) return false;
  const { frame } = chooseFrame(jobBounds(program, machine.laser.fires_on_rapids), stock, machine, cellMm);
  if (frame.nx * frame.ny > SMALL.cells) return false;
  let wayMm = 0;
  for (let i = 1; i < count; i++) wayMm += Math.hypot(xMm[i]! - xMm[i - 1]!, yMm[i]! - yMm[i - 1]!);
  return wayMm <= SMALL.wayCells * frame.cellMm;
}
