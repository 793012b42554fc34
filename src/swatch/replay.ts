import type { Material } from '../burn/material.ts';
import { type Deposit, depositStepMm, type Fallen, startDeposit } from '../dose/deposit.ts';
import { type BeamVisitor, toAll } from '../dose/visitor.ts';
import { walkBeam } from '../dose/walk-beam.ts';
import { readOptions } from '../forecast.ts';
import { type Bounds, frameOver } from '../grid.ts';
import { greatestOf } from '../lists.ts';
import type { Machine } from '../machine/profile.ts';
import { planMotion } from '../motion/plan.ts';
import { readProgram } from '../program/read.ts';
import { heatOfWood } from '../warmth/heat-of-wood.ts';
import { followWarmth, type WarmthVisitor } from '../warmth/walk-warmth.ts';
import { swatchGcode } from './gcode.ts';
import { widthsMm } from './givens.ts';
import type { CutLine, LadderLine, Patch, Swatch } from './swatch.ts';

/**
 * What each part of a swatch truly got: the swatch's own job replayed with the machine's acceleration, link
 * and lag, and the energy deposited on a small fine grid within each part.
 */
export interface SwatchDoses {
  readonly patches: readonly PatchDose[];
  readonly lines: readonly LineDose[];
  readonly cuts: readonly CutDose[];
}

export interface PatchDose {
  readonly patch: Patch;
  readonly meanJPerMm2: number;
  /** Doses that as many equal parts of the area got, rising: how the dose ripples between rows. */
  readonly partsJPerMm2: readonly number[];
  /** Mean (of the logarithm) of how long a place lay under the spot, s. */
  readonly dwellS: number;
  /** How often and how warm its rows fired each place, as `burn/firing.ts` counts it. */
  readonly firings: number;
  readonly warmthK: number;
}

export interface LineDose {
  readonly line: LadderLine;
  readonly lineEnergyJPerMm: number;
  /** Dose across the line, from −reach to +reach in steps of `stepMm`. */
  readonly profileJPerMm2: Float64Array;
  readonly stepMm: number;
  readonly dwellS: number;
}

export interface CutDose {
  readonly cut: CutLine;
  /** On the line's centre, all passes together. */
  readonly peakJPerMm2: number;
  readonly dwellS: number;
}

/** How far within a patch its colour is read, away from the edge that the spot and the photo blur. */
const READ_INSET_MM = 0.9;
const PARTS = 3;
/** A patch's rows are alike, so a strip of this width tells of all of it. */
const PATCH_STRIP_MM = 0.6;
/** A line's profile is deposited this many σ to either side, in steps of σ/8. */
const LINE_REACH_SIGMA = 6;
const LINE_STEPS_PER_SIGMA = 8;
/** How much of its length is looked at: lines are even along it. */
const LINE_STRIP_SIGMA = 4;

/**
 * Replays a swatch's own job and says what each part of it got: doses in J/mm², line energies in J/mm, dwells in s.
 * @param wood how warm patches are hangs a little on what they are burned into.
 * @throws {InputError} when the swatch's machine cannot replay it.
 */
export function replaySwatch(swatch: Swatch, wood: Material): SwatchDoses {
  const { machine } = swatch;
  const [widthX, widthY] = widthsMm(machine.spot);
  const windows: Window[] = [];
  const open = (bounds: Bounds, cellMm: number): Window => {
    const window = openWindow(bounds, cellMm, machine);
    windows.push(window);
    return window;
  };
  const patches = swatch.patches.map(
    (patch) => [patch, open(stripOf(patch), swatch.row_spacing_mm / 6)] as const,
  );
  const lines = swatch.lines.map((line) => {
    const sigma = (line.along === 'x' ? widthY : widthX) / 4;
    return [line, sigma, open(bandOf(line, line.along, sigma), sigma / LINE_STEPS_PER_SIGMA)] as const;
  });
  const cuts = swatch.cuts.map((cut) => {
    const sigma = widthX / 4;
    return [cut, open(bandOf(cut, 'y', sigma), sigma / LINE_STEPS_PER_SIGMA)] as const;
  });

  const program = readProgram(swatchGcode(swatch), readOptions(machine));
  const heat = heatOfWood(wood, machine.laser.wavelength_nm, swatch.stock.thickness_mm);
  const warmths = startPatchWarmth(swatch.patches);
  const following = followWarmth(machine, heat, warmths.add);
  walkBeam(
    planMotion(program, machine),
    machine,
    depositStepMm(machine.spot),
    toAll([toWindows(windows), following]),
  );
  following.finish();

  return {
    patches: patches.map(([patch, window], k) => patchDose(patch, window.deposit.finish(), warmths.of(k))),
    lines: lines.map(([line, sigma, window]) => lineDose(line, sigma, window.deposit.finish())),
    cuts: cuts.map(([cut, window]) => {
      const profile = profileOf(window.deposit.finish(), 'y');
      const peak = greatestOf(profile.dose);
      return { cut, peakJPerMm2: peak, dwellS: profile.dwellS };
    }),
  };
}

/** A deposit, and the rectangle whose strokes it must be told of. */
interface Window {
  readonly deposit: Deposit;
  readonly reach: Bounds;
}

function openWindow(bounds: Bounds, cellMm: number, machine: Machine): Window {
  const margin = 2 * Math.max(...machine.spot.width_mm);
  return {
    deposit: startDeposit(machine.spot, frameOver(bounds, cellMm)),
    reach: {
      minXMm: bounds.minXMm - margin,
      minYMm: bounds.minYMm - margin,
      maxXMm: bounds.maxXMm + margin,
      maxYMm: bounds.maxYMm + margin,
    },
  };
}

/** One walk of the beam for all windows; each hears only of what may reach it. */
function toWindows(windows: readonly Window[]): BeamVisitor {
  return {
    stroke(stroke) {
      const { x0, y0, x1, y1 } = stroke;
      for (const { deposit, reach } of windows) {
        if (Math.max(x0, x1) < reach.minXMm || Math.min(x0, x1) > reach.maxXMm) continue;
        if (Math.max(y0, y1) < reach.minYMm || Math.min(y0, y1) > reach.maxYMm) continue;
        deposit.stroke(stroke);
      }
    },
    rest(stroke) {
      const { x0: x, y0: y } = stroke;
      for (const { deposit, reach } of windows) {
        if (x < reach.minXMm || x > reach.maxXMm || y < reach.minYMm || y > reach.maxYMm) continue;
        deposit.rest(stroke);
      }
    },
  };
}

/** Means over the energy that lands where a patch is read: how warm it finds the wood, and the dose it leaves alone. */
interface PatchWarmth {
  readonly warmthK: number;
  readonly ownJPerMm2: number;
}

function startPatchWarmth(patches: readonly Patch[]): {
  readonly add: WarmthVisitor;
  of(patch: number): PatchWarmth;
} {
  // Asked for every part of the burn, most of which lie in none of many: numbers in a row.
  const areas = Float64Array.from(
    patches.map(readArea).flatMap(({ minXMm, maxXMm, minYMm, maxYMm }) => [minXMm, maxXMm, minYMm, maxYMm]),
  );
  const sums = patches.map(() => ({ energyJ: 0, warm: 0, own: 0 }));
  const lies = (k: number, x: number, y: number): boolean =>
    x >= areas[4 * k]! && x <= areas[4 * k + 1]! && y >= areas[4 * k + 2]! && y <= areas[4 * k + 3]!;
  const areaAt = (x: number, y: number): number => {
    for (let k = 0; k < sums.length; k++) if (lies(k, x, y)) return k;
    return -1;
  };
  let last = 0;
  return {
    add({ first, end, xMm, yMm, energyJ, warmthK, ownJPerMm2 }) {
      for (let k = first; k < end; k++) {
        const [x, y] = [xMm[k]!, yMm[k]!];
        const at = lies(last, x, y) ? last : areaAt(x, y);
        if (at < 0) continue;
        last = at;
        const sum = sums[at]!;
        sum.energyJ += energyJ[k]!;
        sum.warm += energyJ[k]! * warmthK[k]!;
        sum.own += energyJ[k]! * ownJPerMm2[k]!;
      }
    },
    of(patch) {
      const { energyJ, warm, own } = sums[patch]!;
      return energyJ > 0
        ? { warmthK: warm / energyJ, ownJPerMm2: own / energyJ }
        : { warmthK: 0, ownJPerMm2: 0 };
    },
  };
}

/** The part of a patch where its colour is read. */
export function readArea({ at_mm: [x, y], size_mm: [width, height] }: Patch): Bounds {
  return {
    minXMm: x + READ_INSET_MM,
    minYMm: y + READ_INSET_MM,
    maxXMm: x + width - READ_INSET_MM,
    maxYMm: y + height - READ_INSET_MM,
  };
}

function stripOf(patch: Patch): Bounds {
  const area = readArea(patch);
  const middle = (area.minXMm + area.maxXMm) / 2;
  return { ...area, minXMm: middle - PATCH_STRIP_MM / 2, maxXMm: middle + PATCH_STRIP_MM / 2 };
}

/** A short piece from the middle of a line, wide enough for its whole profile. */
function bandOf(
  line: { at_mm: [number, number]; length_mm: number },
  along: 'x' | 'y',
  sigma: number,
): Bounds {
  const [x, y] = line.at_mm;
  const middle = line.length_mm / 2;
  const cellMm = sigma / LINE_STEPS_PER_SIGMA;
  // An odd number of cells, so that the centre of the line is the centre of a cell.
  const reach = (Math.round(LINE_REACH_SIGMA * LINE_STEPS_PER_SIGMA) + 0.5) * cellMm;
  const half = (LINE_STRIP_SIGMA * sigma) / 2;
  return along === 'x'
    ? { minXMm: x + middle - half, maxXMm: x + middle + half, minYMm: y - reach, maxYMm: y + reach }
    : { minXMm: x - reach, maxXMm: x + reach, minYMm: y + middle - half, maxYMm: y + middle + half };
}

function patchDose(patch: Patch, dose: Fallen, { warmthK, ownJPerMm2 }: PatchWarmth): PatchDose {
  const sorted = Float64Array.from(dose.grid.data).sort();
  const partsJPerMm2 = Array.from({ length: PARTS }, (_, k) => {
    const from = Math.floor((k * sorted.length) / PARTS);
    const to = Math.floor(((k + 1) * sorted.length) / PARTS);
    return mean(sorted.subarray(from, to));
  });
  const meanJPerMm2 = mean(sorted);
  const squares = sorted.reduce((sum, each) => sum + each * each, 0) / sorted.length;
  const alike = meanJPerMm2 * ownJPerMm2;
  return {
    patch,
    meanJPerMm2,
    partsJPerMm2,
    dwellS: dwellOf(dose),
    firings: alike > 0 ? Math.max(1, squares / alike) : 1,
    warmthK,
  };
}

function lineDose(line: LadderLine, sigma: number, dose: Fallen): LineDose {
  const { dose: profileJPerMm2, dwellS } = profileOf(dose, line.along);
  const stepMm = sigma / LINE_STEPS_PER_SIGMA;
  const lineEnergyJPerMm = profileJPerMm2.reduce((sum, each) => sum + each, 0) * stepMm;
  return { line, lineEnergyJPerMm, profileJPerMm2, stepMm, dwellS };
}

/** Mean dose across a line that runs along an axis. */
function profileOf(dose: Fallen, along: 'x' | 'y'): { dose: Float64Array; dwellS: number } {
  const { nx, ny, data } = dose.grid;
  const profile = new Float64Array(along === 'x' ? ny : nx);
  for (let j = 0, k = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, k++) profile[along === 'x' ? j : i]! += data[k]!;
  }
  const alongCells = along === 'x' ? nx : ny;
  for (let k = 0; k < profile.length; k++) profile[k]! /= alongCells;
  return { dose: profile, dwellS: dwellOf(dose) };
}

function dwellOf(dose: Fallen): number {
  let energy = 0;
  let weighted = 0;
  for (let k = 0; k < dose.grid.data.length; k++) {
    energy += dose.grid.data[k]!;
    weighted += dose.doseLnDwell[k]!;
  }
  return energy > 0 ? Math.exp(weighted / energy) : 0;
}

const mean = (values: Float64Array): number => values.reduce((sum, each) => sum + each, 0) / values.length;
