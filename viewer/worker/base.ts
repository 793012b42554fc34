import { startWhatIf, type WhatIf } from '../../src/change/what-if.ts';
import { forecastProgram } from '../../src/forecast.ts';
import { type Arrival, arrivalOver, coarserFrame } from './arrival.ts';
import { buffersOf } from './buffers.ts';
import type { Setup, Wish } from './messages.ts';
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
}

/** What must stay in the worker: a buffer handed to the page is gone here. */
export const keptBuffers = (): Set<ArrayBuffer> =>
  kept ? buffersOf([kept.base.whatIf.base, kept.base.arrival, kept.base.reveals]) : new Set();

let kept: { readonly text: string; readonly bench: string; readonly base: Base } | null = null;

/** Arrival times need no finer cells than these. */
const MOST_ARRIVAL_CELLS = 4_000_000;

export const mostArrivalCells = ({ texels }: Pick<Wish, 'texels'>): number =>
  Math.min(MOST_ARRIVAL_CELLS, texels);

const benchOf = ({ machine, material, stock, cellMm, asked }: Setup, mostCells: number): string =>
  JSON.stringify([machine, material, stock, cellMm, asked, mostCells]);

/** The base of a setup, if it is the one that is kept. */
export const keptBase = (setup: Setup, mostCells: number): Base | null =>
  kept?.text === setup.job.text && kept.bench === benchOf(setup, mostCells) ? kept.base : null;

/** The base of a setup, made where the last one asked for was another. */
export function baseOf(setup: Setup, mostCells: number, tell: Tell): Base {
  const known = keptBase(setup, mostCells);
  if (known) return known;
  const { job, machine, material, stock, cellMm, asked } = setup;
  kept = null; // gone before the next one is made: two would take twice the memory
  const program = programOf(setup, tell);
  tell('burning', 0);
  const forecast = forecastProgram(program, machine, material, { stock, cellMm, ...asked });
  tell('drawing', 0);
  const arrival = arrivalOver(coarserFrame(forecast.dose.grid, mostCells), forecast.motion, machine);
  const whatIf = startWhatIf(forecast, { cellMm });
  kept = {
    text: job.text,
    bench: benchOf(setup, mostCells),
    base: { whatIf, arrival, reveals: revealsOf(arrival) },
  };
  return kept.base;
}
