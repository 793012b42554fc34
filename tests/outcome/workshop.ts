import type { Stock } from '../../src/board.ts';
import type { Burn } from '../../src/burn/burn.ts';
import type { Material } from '../../src/burn/material.ts';
import type { CutForecast } from '../../src/findings/evidence/cut-forecast.ts';
import { meantCutsOf } from '../../src/findings/evidence/cuts.ts';
import { type Evidence, gatherEvidence } from '../../src/findings/evidence/evidence.ts';
import { type Answered, burnOfProgram, readOptions, toldOf } from '../../src/forecast.ts';
import type { Machine } from '../../src/machine/profile.ts';
import { readProgram } from '../../src/program/read.ts';
import { THICKNESS_PART } from '../../src/sure/boards.ts';
import { seeded } from '../support/random.ts';

/**
 * A workshop as it really is: wood, machine and board drawn from what the profiles leave open, by a generator of the
 * tests' own. The person there has the profiles; the burn has the truth.
 */
export interface Workshop {
  readonly material: Material;
  readonly machine: Machine;
  readonly stock: Stock;
}

/** What comes of a job there: no trouble is looked for, and nothing is said of it. */
export function answerTo(text: string, { material, machine, stock }: Workshop, cellMm: number): Answered {
  const program = readProgram(text, readOptions(machine));
  return burnOfProgram(program, { machine, material, options: { stock, cellMm } });
}

/** What the wood of a job comes to there, which is all that a photo shows. */
export const woodOf = (text: string, workshop: Workshop, cellMm: number): Burn =>
  answerTo(text, workshop, cellMm).burn;

/** How far a cut comes; how likely that is on other boards is not asked. */
export type CutThere = Pick<CutForecast, 'operation' | 'through' | 'shallowestMm'>;

export const cutsIn = (evidence: Evidence): CutThere[] =>
  meantCutsOf(evidence).map(({ each, path: { uncut, weakest, shallowestMm } }) => ({
    operation: each.operation.n,
    through: uncut === null && weakest !== null,
    shallowestMm,
  }));

/** The cuts of a job there. */
export const cutsThere = (text: string, workshop: Workshop, cellMm: number): CutThere[] =>
  cutsIn(gatherEvidence(toldOf(answerTo(text, workshop, cellMm))));

/** Standard normal numbers by the polar method (G. Marsaglia & T. A. Bray, *SIAM Review* 6, 260 (1964)). */
export function normals(seed: number): () => number {
  const random = seeded(seed);
  return () => {
    for (;;) {
      const [u, v] = [2 * random() - 1, 2 * random() - 1];
      const square = u * u + v * v;
      if (square > 0 && square < 1) return u * Math.sqrt((-2 * Math.log(square)) / square);
    }
  };
}

const WOOD = [
  'density_kg_m3',
  'moisture_percent',
  'first_mark_j_mm2',
  'full_char_j_mm2',
  'char_rise_k',
  'removal_j_mm3',
  'wall_loss',
  'firing_cost',
] as const;

export function truthOf(material: Material, machine: Machine, stock: Stock, seed: number): Workshop {
  const normal = normals(seed);
  const times = (relative: number): number => Math.exp(Math.sqrt(Math.log1p(relative ** 2)) * normal());
  const power = times(machine.plus_minus.optical_power_percent / 100);
  const width = times(machine.plus_minus.spot_width_percent / 100);
  const thicknessMm = stock.thicknessMm!;
  const thick = times((stock.thicknessPlusMinusMm ?? THICKNESS_PART * thicknessMm) / thicknessMm);
  const wood = structuredClone(material);
  const vary = (quantity: Material['wall_loss'], most = Infinity) => {
    const { value, plus_minus } = quantity;
    if (value > 0) quantity.value = Math.min(most, value * times((plus_minus ?? 0) / value));
  };
  for (const name of WOOD) vary(wood[name]);
  for (const row of wood.absorption) {
    vary(row.absorptance, 1);
    vary(row.depth_mm);
  }
  wood.first_mark_j_mm2.value = Math.min(wood.first_mark_j_mm2.value, 0.98 * wood.full_char_j_mm2.value);
  const [x, y] = machine.spot.width_mm;
  return {
    material: wood,
    machine: {
      ...machine,
      laser: { ...machine.laser, optical_power_w: machine.laser.optical_power_w * power },
      spot: { ...machine.spot, width_mm: [x * width, y * width] },
    },
    stock: { ...stock, thicknessMm: thicknessMm * thick },
  };
}
