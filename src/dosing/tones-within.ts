import { chooseFrame, jobBounds } from '../board.ts';
import type { Burn } from '../burn/burn.ts';
import { firedLines } from '../burn/firing.ts';
import { landOn, wholeOf } from '../dose/land.ts';
import type { LinePlaces } from '../dose/line-places.ts';
import { litOnly } from '../dose/lit-only.ts';
import { burnOf, type ForecastSetup, heatOfBoard } from '../forecast.ts';
import { type Bounds, frameBounds, type GridFrame } from '../grid.ts';
import { lateS, REACH_WIDTHS } from '../laser/reach.ts';
import { defocus } from '../laser/spot.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { isLit, isLitAtRest } from '../program/beam-on.ts';
import { firingsFrame, ROUND_IT, startFirings } from '../warmth/firings-map.ts';

/** Tones on a part of a forecast's grid. */
export type Tones = Pick<Burn, 'frame' | 'tone'>;

/**
 * Forecasts the tones of a part of the board for one S after another, which is all that changes. The cells are those of
 * the whole forecast and hold the same; what burns after the last move that comes near them is left out.
 * @returns for the S of each move, tones that hold until the next are asked for.
 */
export function tonesWithin(
  within: Bounds,
  whole: Motion,
  { machine, material, options }: ForecastSetup,
): (s: Float64Array) => Tones {
  const stock = options.stock ?? null;
  const bounds = jobBounds(whole.program, machine.laser.fires_on_rapids);
  const burned = bounds.burn;
  const grid = chooseFrame(bounds, stock, machine, options.cellMm ?? null).frame;
  const coarse = mapsWithin(within, firingsFrame(grid, burned, machine));
  const frame = cellsOf(coarse, grid);
  const last = lastNear(frame, whole, machine);
  const motion = litOnly(whole, (move) => move <= last);
  const job = wholeOf(motion, machine, frame.cellMm);
  const landing = { ...job, places: placesNear(job.places, frameBounds(frame)) };
  const heat = heatOfBoard(machine, material, stock);
  // What one burn was asked of has been read when the next begins: it is written over.
  let burn: Burn | null = null;
  return (s) => {
    const { program } = motion;
    const powered = { ...motion, program: { ...program, moves: { ...program.moves, s } } };
    const followed = options.cool
      ? null
      : startFirings(frame, { burned, places: landing.places }, machine, heat, coarse);
    const { dose, lines: cool } = landOn(frame, powered, machine, landing, followed?.beam);
    const firings = followed?.finish(dose.grid) ?? null;
    const lines = firedLines(cool, firings, material);
    burn = burnOf({ dose, material, machine, stock, lines }, firings, burn);
    return burn;
  };
}

/** So many cells of the maps of firings around a place have a part in what they say of it. */
const AROUND = ROUND_IT + 1;

/** The cells of the maps of firings within these bounds and so far around them that what the maps say there is whole. */
function mapsWithin(within: Bounds, maps: GridFrame): GridFrame {
  const { x0Mm, y0Mm, cellMm } = maps;
  const span = (fromMm: number, toMm: number, cells: number): [first: number, count: number] => {
    const first = Math.min(cells - 1, Math.max(0, Math.floor(fromMm / cellMm) - AROUND));
    return [first, Math.min(cells, Math.max(first + 1, Math.ceil(toMm / cellMm) + AROUND)) - first];
  };
  const [i, nx] = span(within.minXMm - x0Mm, within.maxXMm - x0Mm, maps.nx);
  const [j, ny] = span(within.minYMm - y0Mm, within.maxYMm - y0Mm, maps.ny);
  return { nx, ny, x0Mm: x0Mm + i * cellMm, y0Mm: y0Mm + j * cellMm, cellMm };
}

/** The grid's cells that make up those of the maps. */
function cellsOf(maps: GridFrame, { x0Mm, y0Mm, nx, ny, cellMm }: GridFrame): GridFrame {
  const times = Math.round(maps.cellMm / cellMm);
  const i = Math.round((maps.x0Mm - x0Mm) / cellMm);
  const j = Math.round((maps.y0Mm - y0Mm) / cellMm);
  return {
    nx: Math.min(nx - i, maps.nx * times),
    ny: Math.min(ny - j, maps.ny * times),
    x0Mm: x0Mm + i * cellMm,
    y0Mm: y0Mm + j * cellMm,
    cellMm,
  };
}

/** The places along lines between which a line comes near these bounds: what is drawn there hangs on no others. */
function placesNear(
  { count, xMm, yMm, move, begins, judgedMm }: LinePlaces,
  { minXMm, minYMm, maxXMm, maxYMm }: Bounds,
): LinePlaces {
  const comesNear = (from: number, to: number): boolean =>
    Math.max(xMm[from]!, xMm[to]!) >= minXMm &&
    Math.min(xMm[from]!, xMm[to]!) <= maxXMm &&
    Math.max(yMm[from]!, yMm[to]!) >= minYMm &&
    Math.min(yMm[from]!, yMm[to]!) <= maxYMm;
  const goesOn = (k: number): boolean => k > 0 && k < count && begins[k] === 0;
  const isKept = (k: number): boolean =>
    comesNear(k, k) || (goesOn(k) && comesNear(k - 1, k)) || (goesOn(k + 1) && comesNear(k, k + 1));
  const kept = Uint32Array.from(Array.from({ length: count }, (_, k) => k).filter(isKept));
  return {
    count: kept.length,
    xMm: Float64Array.from(kept, (k) => xMm[k]!),
    yMm: Float64Array.from(kept, (k) => yMm[k]!),
    move: kept.map((k) => move[k]!),
    // What is left out parts a stroke.
    begins: Uint8Array.from(kept, (k, at) => (kept[at - 1] === k - 1 ? begins[k]! : 1)),
    judgedMm: Float64Array.from(kept, (k) => judgedMm[k]!),
  };
}

/** The last move whose light can fall on the frame; -1: none. */
function lastNear(
  frame: GridFrame,
  { program: { moves }, rests, peakMmPerS }: Motion,
  machine: Machine,
): number {
  const { laser, spot } = machine;
  const lateMm = lateS(laser) * peakMmPerS.reduce((most, each) => Math.max(most, each), 0);
  const reachMm = REACH_WIDTHS * Math.max(...spot.width_mm);
  const bounds = frameBounds(frame);
  /** Whether a way comes near: seen from above, by its own rectangle. */
  const isNear = (from: number, to: number): boolean => {
    const [x0, y0, z0] = from < 0 ? [0, 0, 0] : [moves.xMm[from]!, moves.yMm[from]!, moves.zMm[from]!];
    const [x1, y1, z1] = to < 0 ? [0, 0, 0] : [moves.xMm[to]!, moves.yMm[to]!, moves.zMm[to]!];
    const nearMm = lateMm + reachMm * Math.max(defocus(spot, z0), defocus(spot, z1));
    return (
      Math.max(x0, x1) > bounds.minXMm - nearMm &&
      Math.min(x0, x1) < bounds.maxXMm + nearMm &&
      Math.max(y0, y1) > bounds.minYMm - nearMm &&
      Math.min(y0, y1) < bounds.maxYMm + nearMm
    );
  };
  let last = moves.count - 1;
  while (last >= 0 && !(isLit(moves, last, laser.fires_on_rapids) && isNear(last - 1, last))) last--;
  for (let r = rests.count - 1; r >= 0 && rests.beforeMove[r]! - 1 > last; r--) {
    const at = rests.beforeMove[r]! - 1;
    if (isLitAtRest(rests, r, laser.fires_on_rapids) && isNear(at, at)) last = at;
  }
  return last;
}
