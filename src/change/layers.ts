import { jobBounds } from '../board.ts';
import type { Dose } from '../dose/dose.ts';
import { burnHeights } from '../dose/heights.ts';
import { type Landing, landOn } from '../dose/land.ts';
import { type LinePlaces, NO_PLACES } from '../dose/line-places.ts';
import { litOnly } from '../dose/lit-only.ts';
import type { PointDose } from '../dose/point-dose.ts';
import { type FrameWindow, type Grid, type GridFrame, grownBounds, windowWithin } from '../grid.ts';
import { lightReachMm } from '../laser/reach.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import type { Program } from '../program/program.ts';

/**
 * What some operations alone put on the grid, on the window of it that they can reach. Doses add up, so the
 * layers of all operations together are the job's dose.
 */
export interface Layer extends Landing, Pick<FrameWindow, 'i0' | 'j0'> {}

/** Which operations count: 1 at their number, 0 for what belongs to none. */
export type Members = Uint8Array;

/** What a layer is a part of: the whole grid, from which its window is cut, and the places along all lines. */
export interface Ground {
  readonly frame: GridFrame;
  /** null: the dose on lines is worked out elsewhere. */
  readonly places: LinePlaces | null;
}

/** Lets only the members' energy fall. Rests belong to the operation of the move that led to them. */
export function depositLayer(motion: Motion, machine: Machine, ground: Ground, members: Members): Layer {
  const places = ground.places ?? NO_PLACES;
  const { operation } = motion.program.moves;
  const alone = litOnly(motion, (move) => members[move < 0 ? 0 : operation[move]!] === 1);
  const { i0, j0, frame } = windowOf(alone.program, machine, ground.frame);
  // Heights are told from the whole job's lowest, so that they add up too.
  const heights = burnHeights(motion, machine);
  return { i0, j0, ...landOn(frame, alone, machine, { heights, places }) };
}

/** The part of the grid that the light of a job can fall on; at least one cell. */
function windowOf(program: Program, machine: Machine, whole: GridFrame): FrameWindow {
  const { burn, burnZMm } = jobBounds(program, machine.laser.fires_on_rapids);
  return windowWithin(whole, grownBounds(burn, lightReachMm(machine, burnZMm)));
}

/** A layer, and by what it is multiplied. */
export interface Weighted {
  readonly layer: Layer;
  readonly scale: number;
}

/**
 * Adds layers up on a grid.
 * @param over a dose nobody reads any more: its arrays are written over. Without it (or where its size is another)
 *   they are new ones. Owned by the caller either way.
 */
export function addUp(
  layers: readonly Weighted[],
  { frame: { nx, ny, x0Mm, y0Mm, cellMm }, places }: Ground,
  operations: number,
  over: Dose | null = null,
): Landing {
  const energyJ = new Float64Array(operations + 1);
  const beamOnS = new Float64Array(operations + 1);
  let total = 0;
  let outside = 0;
  for (const { layer, scale } of layers) {
    total += scale * layer.dose.energyJ;
    outside += scale * layer.dose.outsideJ;
    for (let n = 0; n <= operations; n++) {
      energyJ[n]! += scale * layer.energyJ[n]!;
      beamOnS[n]! += layer.beamOnS[n]!;
    }
  }
  const sumOf = (values: (dose: Dose) => Float32Array): Float32Array => {
    const spent = over && (values(over) as Float32Array | null);
    const sum = spent?.length === nx * ny ? spent : new Float32Array(nx * ny);
    // A layer as large as the grid is copied: clearing first and adding then would cost twice.
    const first = layers.find(({ layer }) => values(layer.dose).length === sum.length);
    if (first) copyScaled(sum, values(first.layer.dose), first.scale);
    else if (sum === spent) sum.fill(0);
    for (const each of layers) {
      if (each !== first) addScaled(sum, nx, each.layer, values(each.layer.dose), each.scale);
    }
    return sum;
  };
  const grid: Grid = { nx, ny, x0Mm, y0Mm, cellMm, unit: 'J/mm²', data: sumOf((dose) => dose.grid.data) };
  const doseLnDwell = sumOf((dose) => dose.doseLnDwell);
  const { lowestMm, highestMm, doseAbove } = layers[0]!.layer.dose.height;
  const height = {
    lowestMm,
    highestMm,
    doseAbove: doseAbove && sumOf(({ height: each }) => each.doseAbove!),
  };
  const dose: Dose = { grid, doseLnDwell, height, energyJ: total, outsideJ: outside };
  const lines = { places: places ?? NO_PLACES, dose: places ? addPoints(layers) : NO_DOSE };
  return { dose, lines, energyJ, beamOnS };
}

const NO_DOSE: PointDose = {
  doseJPerMm2: new Float64Array(0),
  doseLnDwell: new Float64Array(0),
  doseAbove: null,
  lowestMm: 0,
};

function addPoints(layers: readonly Weighted[]): PointDose {
  const first = layers[0]!.layer.lines.dose;
  const sumOf = (values: (dose: PointDose) => Float64Array): Float64Array => {
    const sum = new Float64Array(first.doseJPerMm2.length);
    for (const { layer, scale } of layers) {
      const from = values(layer.lines.dose);
      for (let k = 0; k < sum.length; k++) sum[k] = sum[k]! + scale * from[k]!;
    }
    return sum;
  };
  return {
    doseJPerMm2: sumOf((dose) => dose.doseJPerMm2),
    doseLnDwell: sumOf((dose) => dose.doseLnDwell),
    doseAbove: first.doseAbove && sumOf((dose) => dose.doseAbove!),
    lowestMm: first.lowestMm,
  };
}

function copyScaled(to: Float32Array, from: Float32Array, scale: number): void {
  if (scale === 1) to.set(from);
  else for (let k = 0; k < from.length; k++) to[k] = scale * from[k]!;
}

function addScaled(to: Float32Array, nx: number, layer: Layer, from: Float32Array, scale: number): void {
  const { nx: width, ny: height } = layer.dose.grid;
  for (let j = 0; j < height; j++) {
    const target = (layer.j0 + j) * nx + layer.i0;
    const source = j * width;
    for (let i = 0; i < width; i++) to[target + i] = to[target + i]! + scale * from[source + i]!;
  }
}
