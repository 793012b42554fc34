import type { Canvas } from './brush.ts';
import { phi, psi, REACH_SIGMA } from './normal.ts';
import type { Stroke } from './visitor.ts';

/**
 * A lane is one straight line along x or y on which strokes follow one another: a raster row, the side of a
 * square. A Gaussian factors into its two axes, so all strokes of a lane are first added up along it in one
 * dimension, and only when the beam changes lanes is the sum spread across it: a row of a thousand grey
 * steps costs a thousand short one-dimensional additions and one pass over its cells.
 *
 * Along the lane, even line energy λ from a to b gives the cell e … e+h the energy
 * λ·[Ψ(e+h−a) − Ψ(e−a)] − λ·[Ψ(e+h−b) − Ψ(e−b)], Ψ the integral of the normal distribution function: each
 * end is a step of line energy. Where one stroke ends and the next begins, only the difference of the two is
 * a step (none at all while power stays the same). A step changes the cells within reach of it, and all cells
 * beyond by a constant, which is kept as one number and added up when the lane is spread.
 */
export interface Lane {
  readonly canvas: Canvas;
  readonly sigmaXMm: number;
  readonly sigmaYMm: number;
  /** Energy per cell along the open lane, J; and by how much every cell from k on changes. */
  readonly energy: Float64Array;
  readonly energyLnDwell: Float64Array;
  readonly beyond: Float64Array;
  readonly beyondLnDwell: Float64Array;
  /** Where runs of cells with energy begin and end, by turns. */
  readonly runs: Int32Array;
  alongX: boolean;
  /** Where the lane lies; NaN: no lane is open. */
  acrossMm: number;
  /** Cells that have been added to: touchedFrom … touchedTo − 1; `beyond` reaches up to touchedTo. */
  touchedFrom: number;
  touchedTo: number;
  /** The step owed where the last stroke ended: place, and by how much line energy changes there going up. */
  owedMm: number;
  owedLine: number;
  owedLineLnDwell: number;
}

/** Strokes meet to within rounding: exactly, or nearly so where the beam lags. */
const SAME_PLACE_MM = 1e-9;
/** Sums smaller than this part of the lane's largest are rounding, not dose. */
const ROUNDING = 1e-12;

/** No lane is open yet. Nothing is allocated per stroke. */
export function startLane(canvas: Canvas, sigmaXMm: number, sigmaYMm: number): Lane {
  const size = Math.max(canvas.nx, canvas.ny) + 1;
  return {
    canvas,
    sigmaXMm,
    sigmaYMm,
    energy: new Float64Array(size),
    energyLnDwell: new Float64Array(size),
    beyond: new Float64Array(size),
    beyondLnDwell: new Float64Array(size),
    runs: new Int32Array(size + 1),
    // Fractions to start with, so that the engine keeps these fields as doubles.
    alongX: true,
    acrossMm: Number.NaN,
    touchedFrom: 0,
    touchedTo: 0,
    owedMm: 0.5,
    owedLine: 0.5,
    owedLineLnDwell: 0.5,
  };
}

/** Line energy changes by `line` J/mm (and its product with ln dwell) from `atMm` upwards. */
function step(lane: Lane, atMm: number, line: number, lineLnDwell: number): void {
  const { alongX, energy, energyLnDwell, beyond, beyondLnDwell } = lane;
  const { nx, ny, x0Mm, y0Mm, cellMm } = lane.canvas;
  const cells = alongX ? nx : ny;
  const sigma = alongX ? lane.sigmaXMm : lane.sigmaYMm;
  const at = (atMm - (alongX ? x0Mm : y0Mm)) / sigma; // in σ from the grid's edge
  const cell = cellMm / sigma;
  const from = Math.max(0, Math.floor((at - REACH_SIGMA) / cell));
  const to = Math.max(0, Math.min(cells, Math.floor((at + REACH_SIGMA) / cell) + 1));
  if (from >= cells) {
    lane.touchedTo = cells; // the lane goes on to the grid's far edge
    return;
  }
  let below = psi(from * cell - at);
  for (let k = from; k < to; k++) {
    const above = psi((k + 1) * cell - at);
    const part = sigma * (above - below);
    energy[k] = energy[k]! + line * part;
    energyLnDwell[k] = energyLnDwell[k]! + lineLnDwell * part;
    below = above;
  }
  beyond[to] = beyond[to]! + line * cellMm;
  beyondLnDwell[to] = beyondLnDwell[to]! + lineLnDwell * cellMm;
  if (from < lane.touchedFrom) lane.touchedFrom = from;
  if (to > lane.touchedTo) lane.touchedTo = to;
}

/** Adds a stroke along x or along y. */
export function addToLane(lane: Lane, { x0, y0, x1, y1, energyJ }: Readonly<Stroke>, lnDwell: number): void {
  const alongX = y0 === y1;
  const acrossMm = alongX ? y0 : x0;
  const fromMm = alongX ? x0 : y0;
  const toMm = alongX ? x1 : y1;
  if (acrossMm !== lane.acrossMm || alongX !== lane.alongX) {
    flushLane(lane);
    lane.alongX = alongX;
    lane.acrossMm = acrossMm;
    lane.touchedFrom = lane.energy.length;
    lane.touchedTo = 0;
    lane.owedLine = 0;
    lane.owedLineLnDwell = 0;
  }
  const rising = energyJ / (toMm - fromMm); // its sign is the direction of travel
  const risingLnDwell = rising * lnDwell;
  if (Math.abs(fromMm - lane.owedMm) <= SAME_PLACE_MM) {
    const change = rising + lane.owedLine;
    const changeLnDwell = risingLnDwell + lane.owedLineLnDwell;
    if (
      Math.abs(change) > ROUNDING * Math.abs(rising) ||
      Math.abs(changeLnDwell) > ROUNDING * Math.abs(risingLnDwell)
    ) {
      step(lane, fromMm, change, changeLnDwell);
    }
  } else {
    step(lane, lane.owedMm, lane.owedLine, lane.owedLineLnDwell);
    step(lane, fromMm, rising, risingLnDwell);
  }
  lane.owedMm = toMm;
  lane.owedLine = -rising;
  lane.owedLineLnDwell = -risingLnDwell;
}

/** Turns the steps of the open lane into energy per cell; says how many ends of runs there are. */
function addUp(
  { energy, energyLnDwell, beyond, beyondLnDwell, runs }: Lane,
  from: number,
  to: number,
): number {
  let steady = 0;
  let steadyLnDwell = 0;
  let most = 0;
  for (let k = from; k < to; k++) {
    steady += beyond[k]!;
    steadyLnDwell += beyondLnDwell[k]!;
    energy[k] = energy[k]! + steady;
    energyLnDwell[k] = energyLnDwell[k]! + steadyLnDwell;
    if (energy[k]! > most) most = energy[k]!;
  }
  let ends = 0;
  for (let k = from; k < to; k++) {
    const isIn = ends % 2 === 1;
    if (energy[k]! > most * ROUNDING) {
      if (!isIn) runs[ends++] = k;
      continue;
    }
    if (isIn) runs[ends++] = k;
    energy[k] = 0;
    energyLnDwell[k] = 0;
  }
  if (ends % 2 === 1) runs[ends++] = to;
  return ends;
}

/** Spreads the open lane across its width onto the grid, and closes it. */
export function flushLane(lane: Lane): void {
  if (Number.isNaN(lane.acrossMm)) return;
  step(lane, lane.owedMm, lane.owedLine, lane.owedLineLnDwell);
  const { canvas, energy, energyLnDwell, beyond, beyondLnDwell, runs, alongX, acrossMm, touchedFrom } = lane;
  const { nx, ny, x0Mm, y0Mm, cellMm, dose, doseLnDwell } = canvas;
  const touchedTo = Math.min(lane.touchedTo, alongX ? nx : ny);
  lane.acrossMm = Number.NaN;
  if (touchedFrom >= energy.length) return;
  const ends = addUp(lane, touchedFrom, touchedTo);

  const cells = alongX ? ny : nx;
  const sigma = alongX ? lane.sigmaYMm : lane.sigmaXMm;
  const centre = (acrossMm - (alongX ? y0Mm : x0Mm)) / sigma;
  const cell = cellMm / sigma;
  const m0 = Math.max(0, Math.floor((centre - REACH_SIGMA) / cell));
  const m1 = Math.min(cells - 1, Math.floor((centre + REACH_SIGMA) / cell));
  const stride = alongX ? 1 : nx;
  const firstEdge = phi(m0 * cell - centre);
  let below = firstEdge;
  for (let m = m0; m <= m1; m++) {
    const above = phi((m + 1) * cell - centre);
    const scale = (above - below) / (cellMm * cellMm);
    below = above;
    const first = alongX ? m * nx : m;
    for (let run = 0; run < ends; run += 2) {
      const to = runs[run + 1]!;
      for (let k = runs[run]!, at = first + k * stride; k < to; k++, at += stride) {
        dose[at] = dose[at]! + scale * energy[k]!;
        doseLnDwell[at] = doseLnDwell[at]! + scale * energyLnDwell[k]!;
      }
    }
  }
  let sum = 0;
  for (let k = touchedFrom; k < touchedTo; k++) sum += energy[k]!;
  if (m0 <= m1) canvas.depositedJ += sum * (below - firstEdge);

  energy.fill(0, touchedFrom, touchedTo);
  energyLnDwell.fill(0, touchedFrom, touchedTo);
  beyond.fill(0, touchedFrom, touchedTo + 1);
  beyondLnDwell.fill(0, touchedFrom, touchedTo + 1);
}
