import type { Stock } from '../../src/board.ts';
import { depthOf } from '../../src/burn/depth.ts';
import type { Material } from '../../src/burn/material.ts';
import { beamOf } from '../../src/burn/speed-power.ts';
import { InputError } from '../../src/errors.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { PLACE_PLUS_MINUS } from '../../src/outcome/reached.ts';
import { fitSwatch } from '../../src/swatch/fit/fit.ts';
import { makeSwatch } from '../../src/swatch/make.ts';
import { readPhoto } from '../../src/swatch/photo/read.ts';
import { replaySwatch, type SwatchDoses } from '../../src/swatch/replay.ts';
import type { Swatch } from '../../src/swatch/swatch.ts';
import { seeded } from '../support/random.ts';
import { photograph } from '../swatch/photograph.ts';
import { randomCamera } from '../swatch/scene.ts';
import { asked, type Tried } from './simulate.ts';
import { normals, truthOf, woodOf } from './workshop.ts';

/**
 * A workshop that burns one swatch: its key is the profile's, its doses, its photo and its cuts are those of the true wood
 * on the true machine, of which the person knows nothing but what the photo shows.
 */

const CELL_MM = 0.0625;

/** What every such workshop has in common: the swatch, and its doses as the person reckons them. */
export interface SwatchTrial {
  readonly material: Material;
  readonly machine: Machine;
  readonly board: Stock;
  readonly swatch: Swatch;
  readonly gcode: string;
  readonly doses: SwatchDoses;
}

/** @param sizeMm width and height of its board; the photo shows each as large. */
export function swatchTrial(
  material: Material,
  machine: Machine,
  sizeMm: readonly [number, number],
): SwatchTrial {
  const board = { widthMm: sizeMm[0], heightMm: sizeMm[1], thicknessMm: 3, xMm: 0, yMm: 0 };
  const { swatch, gcode } = makeSwatch(machine, board);
  return { material, machine, board, swatch, gcode, doses: replaySwatch(swatch, material) };
}

export interface SwatchTried extends Omit<Tried, 'flagged'> {
  /** The sentence by which the photo or the fit was refused, so that all stays as it was known before; null: it was not. */
  readonly refused: string | null;
}

export function trySwatch(trial: SwatchTrial, seed: number): SwatchTried {
  const { material, machine, board, swatch, gcode } = trial;
  const truth = truthOf(material, machine, board, seed);
  const random = seeded(9000 + seed);
  const normal = normals(8000 + seed);
  // The swatch's own board is as thick as it is, and takes the light as it does.
  const thicknessMm = board.thicknessMm! * Math.exp(0.03 * normal());
  const laser = { ...truth.machine.laser };
  laser.optical_power_w *= Math.exp(PLACE_PLUS_MINUS * normal());
  const gantry = { ...truth.machine, laser };
  const burn = woodOf(gcode, { ...truth, machine: gantry, stock: { ...board, thicknessMm } }, CELL_MM);
  const pixels = { widthPx: 10 * board.widthMm, heightPx: Math.round(11.2 * board.heightMm) };
  const camera = randomCamera({ stock: board }, truth.material, random, pixels);
  const photo = photograph(burn, truth.material, swatch, camera, random);
  // Of the truth no more is asked than which cuts come through.
  const cutsAlone = { ...swatch, machine: gantry, patches: swatch.patches.slice(0, 1), lines: [] };
  const cuts = replaySwatch(cutsAlone, truth.material)
    .cuts.filter(
      ({ cut: { passes }, peakJPerMm2, dwellS }) =>
        depthOf(peakJPerMm2 / passes, dwellS, truth.material, beamOf(gantry), passes) >= thicknessMm,
    )
    .map(({ cut }) => cut.n);
  const options = { base: material, cuts, date: '2026-01-01', name: 'fitted' };
  try {
    const { material: fitted } = fitSwatch(swatch, trial.doses, readPhoto(photo, swatch), options);
    return { ...asked(trial, { material: fitted, machine }, truth, seed), refused: null };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { ...asked(trial, trial, truth, seed), refused: `${seed}: ${error.message}` };
  }
}
