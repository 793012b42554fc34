import type { Firings, PlaceFirings } from '../burn/firing.ts';
import { landingStepMm } from '../dose/land.ts';
import { addToPoints, type PointSums, type Points, startPointSums, sumsOf } from '../dose/point-dose.ts';
import type { BeamVisitor } from '../dose/visitor.ts';
import { walkBeam } from '../dose/walk-beam.ts';
import { areaMm2, type Bounds, type Grid, type GridFrame } from '../grid.ts';
import { meanWidthMm } from '../laser/spot.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { sigmaFromWidthMm } from '../units.ts';
import type { HeatOfWood } from './heat-of-wood.ts';
import { followWarmth, type WarmParts } from './walk-warmth.ts';

/**
 * How often and how warm each place was fired. Both are means over about a spot, so their cells are as wide as that.
 *
 * Warmth is the mean over the energy that landed. As how many equal firings the doses h₁, h₂, … of a place count is
 * (Σh)²/Σh²: n for n alike, 1 where one outdoes all others. (Σh)² is the dose map's own; Σh², over the whole width of
 * a stroke of line energy λ, is λ²/(2√π·σ) for each mm of way, whatever lies around it: the energy times the mean
 * dose that this firing alone leaves.
 */
export interface FiringsDeposit {
  /** To be told of the beam's walk. */
  readonly beam: BeamVisitor;
  /** The maps, once the walk has ended; `dose` is what the same walk left on the frame. */
  finish(dose: Grid): Firings;
}

/**
 * Starts to follow the heat of a beam whose dose lands on `frame`.
 * @param coarse the frame of the maps: all of it, or a part whose cells are its own.
 */
export function startFirings(
  frame: GridFrame,
  { burned, places }: Burned,
  machine: Machine,
  heat: HeatOfWood,
  coarse: GridFrame = firingsFrame(frame, burned, machine),
): FiringsDeposit {
  const widthMm = meanWidthMm(machine.spot);
  const sums = startSums(coarse);
  const onLines = places.count > 0 ? startPointSums(places, machine.spot, true) : null;
  const following = followWarmth(machine, heat, (parts) => {
    addParts(sums, parts);
    if (onLines) addToPlaces(onLines, parts);
  });
  return {
    beam: following,
    finish(dose) {
      following.finish();
      // Means over the cells of the dose are those of a spot somewhat wider, by the variance of a cell.
      const narrower = 1 / Math.sqrt(1 + frame.cellMm ** 2 / (12 * sigmaFromWidthMm(widthMm) ** 2));
      const { warmth, count } = mapsOf(sums, dose, narrower);
      return { warmth, count, lines: onLines && placesOf(onLines) };
    },
  };
}

/** The maps, from sums that are spread on the way; most of what a job of lines lies within is bare. */
function mapsOf(sums: Sums, dose: Grid, narrower: number): Pick<Firings, 'warmth' | 'count'> {
  const { nx, ny, x0Mm, y0Mm, cellMm, energy, energyWarmth, squares } = sums;
  const whole = squaresOf(dose, sums);
  const warmth = new Float32Array(energy.length);
  const count = new Float32Array(energy.length).fill(1);
  const row = () => new Float64Array(nx);
  const [energies, warmths, own, all] = [row(), row(), row(), row()];
  for (let j = 0; j < ny; j++) {
    for (let to = 0, from = nextReached(sums, j, 0); from < nx; from = nextReached(sums, j, to)) {
      to = reachedUntil(sums, j, from);
      spread(sums, energy, j, from, to, energies);
      spread(sums, energyWarmth, j, from, to, warmths);
      spread(sums, squares, j, from, to, own);
      spread(sums, whole, j, from, to, all);
      for (let i = from; i < to; i++) {
        if (energies[i] === 0) continue;
        warmth[j * nx + i] = ratio(warmths[i]!, energies[i]!, 0);
        count[j * nx + i] = Math.max(1, ratio(all[i]!, own[i]! * narrower, 1));
      }
    }
  }
  return {
    warmth: { nx, ny, x0Mm, y0Mm, cellMm, unit: 'K', data: warmth },
    count: { nx, ny, x0Mm, y0Mm, cellMm, unit: '', data: count },
  };
}

/** Whether energy landed in a cell, or in the one below or above it. */
function isReached({ nx, ny, energy }: Sums, j: number, i: number): boolean {
  const at = j * nx + i;
  return energy[at]! > 0 || (j > 0 && energy[at - nx]! > 0) || (j + 1 < ny && energy[at + nx]! > 0);
}

/** The first cell of a row, from `i` on, that gets something when sums are spread; as many as there are where none does. */
function nextReached(sums: Sums, j: number, i: number): number {
  let at = i;
  while (at < sums.nx && !isReached(sums, j, at)) at++;
  return at < sums.nx ? Math.max(i, at - 1) : at;
}

/** The first from there on that gets nothing. */
function reachedUntil(sums: Sums, j: number, from: number): number {
  let last = from;
  for (let at = from; at < sums.nx && at <= last + 2; at++) if (isReached(sums, j, at)) last = at;
  return Math.min(sums.nx, last + 2);
}

/** What burns: it lies within these bounds, beyond which wood is cool and fired at most once; and places along its lines. */
export interface Burned {
  readonly burned: Bounds;
  readonly places: Points;
}

/** The maps of a job whose dose has landed, by a walk of their own. */
export function firingsOf(
  dose: Grid,
  burned: Burned,
  motion: Motion,
  machine: Machine,
  heat: HeatOfWood,
): Firings {
  const { beam, finish } = startFirings(dose, burned, machine, heat);
  walkBeam(motion, machine, landingStepMm(motion, machine, dose.cellMm), beam);
  return finish(dose);
}

/** A part as the stroke it is; one object for all of them. */
const piece = { x0: 0.5, y0: 0.5, x1: 0.5, y1: 0.5, z: 0.5, energyJ: 0.5 };

/** Weighs what parts leave on places along lines by their warmth, and by what each leaves in the middle of its way. */
function addToPlaces(places: PointSums, parts: Readonly<WarmParts>): void {
  const { first, end, xMm, yMm, zMm, halfXMm, halfYMm, energyJ, warmthK, peakJPerMm2 } = parts;
  for (let k = first; k < end; k++) {
    piece.x0 = xMm[k]! - halfXMm[k]!;
    piece.y0 = yMm[k]! - halfYMm[k]!;
    piece.x1 = xMm[k]! + halfXMm[k]!;
    piece.y1 = yMm[k]! + halfYMm[k]!;
    piece.z = zMm[k]!;
    piece.energyJ = energyJ[k]!;
    addToPoints(places, piece, warmthK[k]!, peakJPerMm2[k]!);
  }
}

/**
 * On the path itself a firing's own dose is that of its middle: Σh² is Σ h·peak there, whatever the cells. What a line
 * beside leaves counts by less than that, so that such a place counts as a little fewer firings than its map says.
 */
function placesOf(sums: PointSums): PlaceFirings {
  const { dose, first, second } = sumsOf(sums);
  return {
    warmthK: dose.map((sum, k) => ratio(first[k]!, sum, 0)),
    count: dose.map((sum, k) => Math.max(1, ratio(sum * sum, second![k]!, 1))),
  };
}

/** What is added up over the parts that land around each cell's middle: energy, energy × warmth, energy × own dose. */
interface Sums extends GridFrame {
  readonly energy: Float64Array;
  readonly energyWarmth: Float64Array;
  readonly squares: Float64Array;
}

function startSums({ nx, ny, x0Mm, y0Mm, cellMm }: GridFrame): Sums {
  const room = () => new Float64Array(nx * ny);
  // Written out, not spread: what is compiled for such sums would else be thrown away once the last of them are.
  return { nx, ny, x0Mm, y0Mm, cellMm, energy: room(), energyWarmth: room(), squares: room() };
}

/** Shares each part out, at points no farther apart than cells, to the four cells around it by the distance from their middles. */
function addParts(sums: Sums, parts: Readonly<WarmParts>): void {
  const { nx, ny, x0Mm, y0Mm, cellMm, energy, energyWarmth, squares } = sums;
  const { first, end, xMm, yMm, halfXMm, halfYMm, energyJ, warmthK, ownJPerMm2 } = parts;
  for (let k = first; k < end; k++) {
    const lengthMm = 2 * Math.max(Math.abs(halfXMm[k]!), Math.abs(halfYMm[k]!));
    const count = lengthMm > cellMm ? Math.ceil(lengthMm / cellMm) : 1;
    const pointJ = energyJ[k]! / count;
    const warmth = warmthK[k]!;
    const own = ownJPerMm2[k]!;
    const stepX = (2 * halfXMm[k]!) / (count * cellMm);
    const stepY = (2 * halfYMm[k]!) / (count * cellMm);
    let x = (xMm[k]! - x0Mm) / cellMm - 0.5 - (stepX * (count - 1)) / 2;
    let y = (yMm[k]! - y0Mm) / cellMm - 0.5 - (stepY * (count - 1)) / 2;
    for (let point = 0; point < count; point++, x += stepX, y += stepY) {
      const i = Math.floor(x);
      const j = Math.floor(y);
      for (let corner = 0; corner < 4; corner++) {
        const column = i + (corner & 1);
        const row = j + (corner >> 1);
        if (column < 0 || row < 0 || column >= nx || row >= ny) continue;
        const at = row * nx + column;
        const share = (corner & 1 ? x - i : 1 - x + i) * (corner & 2 ? y - j : 1 - y + j) * pointJ;
        energy[at] = energy[at]! + share;
        energyWarmth[at] = energyWarmth[at]! + share * warmth;
        squares[at] = squares[at]! + share * own;
      }
    }
  }
}

const ratio = (a: number, b: number, otherwise: number): number => (b > 0 ? a / b : otherwise);

/** More cells than this a map never has: then they are wider than the spot. */
const MOST_CELLS = 4e6;

/** What burns, and a little around it, in cells about as wide as the spot: a whole number of the frame's own each. */
export function firingsFrame(frame: GridFrame, burned: Bounds, { spot }: Machine): GridFrame {
  const { cellMm, x0Mm, y0Mm } = frame;
  const aboutMm = meanWidthMm(spot);
  const widthMm = Math.max(aboutMm, Math.sqrt(areaMm2(burned) / MOST_CELLS));
  const times = Math.max(1, Math.round(widthMm / cellMm));
  const span = (fromMm: number, toMm: number, cells: number): [first: number, count: number] => {
    const from = Math.floor(fromMm / cellMm + ROUNDING);
    const to = Math.ceil(toMm / cellMm - ROUNDING);
    const first = Math.min(cells - 1, Math.max(0, from - ROUND_IT * times));
    const end = Math.min(cells, Math.max(first + 1, to + ROUND_IT * times));
    return [first, Math.ceil((end - first) / times)];
  };
  const [i, nx] = span(burned.minXMm - x0Mm, burned.maxXMm - x0Mm, frame.nx);
  const [j, ny] = span(burned.minYMm - y0Mm, burned.maxYMm - y0Mm, frame.ny);
  return { nx, ny, x0Mm: x0Mm + i * cellMm, y0Mm: y0Mm + j * cellMm, cellMm: times * cellMm };
}

/** What ends on a cell's edge to within this part of it ends there, wherever cells are counted from. */
const ROUNDING = 1e-6;

/** So many cells around what burns: the spot, and what sums are spread by. */
export const ROUND_IT = 3;

/**
 * ∫ dose² over each coarse cell, shared out to the four around each fine cell's middle as points are: first along the
 * row, then across.
 */
function squaresOf(dose: Grid, frame: GridFrame): Float64Array {
  const sums = new Float64Array(frame.nx * frame.ny);
  const { cellMm, data } = dose;
  const scale = cellMm / frame.cellMm;
  const i0 = Math.round((frame.x0Mm - dose.x0Mm) / cellMm);
  const j0 = Math.round((frame.y0Mm - dose.y0Mm) / cellMm);
  const nx = Math.min(dose.nx - i0, Math.round(frame.nx / scale));
  const ny = Math.min(dose.ny - j0, Math.round(frame.ny / scale));
  // Coarse cells count from the one left of the frame, so that each fine cell has two to share with.
  const first = Int32Array.from({ length: nx }, (_, i) => Math.floor((i + 0.5) * scale + 0.5));
  const right = Float64Array.from(first, (from, i) => (i + 0.5) * scale + 0.5 - from);
  const row = new Float64Array(frame.nx + 2);
  for (let j = 0; j < ny; j++) {
    const start = (j0 + j) * dose.nx + i0;
    // Where the first and the last landed: most rows of a job of lines are bare for the most part, or all of them.
    let firstHit = -1;
    let lastHit = -1;
    for (let i = 0; i < nx; i++) {
      const h = data[start + i]!;
      if (h === 0) continue;
      if (firstHit < 0) firstHit = i;
      lastHit = i;
      const at = first[i]!;
      row[at] = row[at]! + h * h * (1 - right[i]!);
      row[at + 1] = row[at + 1]! + h * h * right[i]!;
    }
    if (firstHit < 0) continue;
    const y = (j + 0.5) * scale - 0.5;
    const below = Math.floor(y);
    const from = Math.max(0, first[firstHit]! - 1);
    const to = Math.min(frame.nx, first[lastHit]! + 1);
    for (let coarse = Math.max(0, below); coarse <= Math.min(frame.ny - 1, below + 1); coarse++) {
      const share = (1 - Math.abs(coarse - y)) * cellMm * cellMm;
      const here = coarse * frame.nx;
      for (let i = from; i < to; i++) sums[here + i] = sums[here + i]! + share * row[i + 1]!;
    }
    row.fill(0, from, to + 2);
  }
  return sums;
}

/**
 * Sums in the cells from … to − 1 of a row, spread to their neighbours by ¼ ½ ¼ along each axis, so that two that lie
 * half a spot apart meet. Beyond the first and the last row there is nothing.
 */
function spread(
  { nx, ny }: GridFrame,
  data: Float64Array,
  j: number,
  from: number,
  to: number,
  out: Float64Array,
): void {
  const isLowest = j === 0;
  const isHighest = j + 1 === ny;
  const here = j * nx;
  const below = isLowest ? here : here - nx;
  const above = isHighest ? here : here + nx;
  const before = from > 0 ? from - 1 : from;
  const had = from > 0 ? 1 : 0;
  let [b0, h0, a0] = [had * data[below + before]!, had * data[here + before]!, had * data[above + before]!];
  let [b1, h1, a1] = [data[below + from]!, data[here + from]!, data[above + from]!];
  for (let i = from; i < to; i++) {
    const isLast = i + 1 === nx;
    const b2 = isLast ? 0 : data[below + i + 1]!;
    const h2 = isLast ? 0 : data[here + i + 1]!;
    const a2 = isLast ? 0 : data[above + i + 1]!;
    const fromBelow = isLowest ? 0 : (b0 + 2 * b1 + b2) / 4;
    const fromAbove = isHighest ? 0 : (a0 + 2 * a1 + a2) / 4;
    out[i] = ((h0 + 2 * h1 + h2) / 2 + fromBelow) / 4 + fromAbove / 4;
    b0 = b1;
    h0 = h1;
    a0 = a1;
    b1 = b2;
    h1 = h2;
    a1 = a2;
  }
}
