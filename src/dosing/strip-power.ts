import { firedNeed } from '../burn/firing.ts';
import type { Material } from '../burn/material.ts';
import { needAt, needOf } from '../burn/need.ts';
import { grainsPerS, roundS } from '../change/rounding.ts';
import { powerLaw } from '../laser/power.ts';
import { meanWidthMm } from '../laser/spot.ts';
import type { Machine, Spot } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { speedRatio } from '../program/beam-on.ts';
import { headZMm } from '../program/operations.ts';
import type { Program } from '../program/program.ts';
import { rowFirings } from '../warmth/rows.ts';
import type { Strips } from './picture-rows.ts';
import { meanSpeedMmPerS } from './pieces.ts';
import { type RowsLightness, rowsLightness } from './rows-lightness.ts';
import { sForWatts } from './s-for-watts.ts';

/** By how much a round changes the energy of a strip at most. */
const MOST_STEP = 2;
/** Warmth is not counted on to save more than leaves this part of a need. */
const LEAST_TIMES = 0.5;
/** Power that is further than this part from what is wanted is something else. */
const OFF = 0.1;

/** The energies of the strips as they are corrected, and the S that gives them. */
interface StripPower {
  /** The S of each move. */
  s(): Float64Array;
  /** Takes each strip's energy nearer to what it should be, by what it looks like now (L*, by move). */
  correct(seenL: Float64Array): void;
  /** Where the laser can only come near: the parts of the strips' length that get less, and more, than is wanted. */
  limits(): { readonly tooLightShare: number; readonly tooDarkShare: number };
}

/**
 * Begins with what the wood's curve says of rows all alike, and with what warmth and repeated firing make of that as far as
 * a burn of the same strips at another S tells.
 * @param asItIsL what each strip looks like with the S that the program has, L* by move.
 */
export function startPowers(
  motion: Motion,
  { wishedL, widthMm, lengthMm, rows }: Strips,
  machine: Machine,
  material: Material,
  asItIsL: Float64Array,
): StripPower {
  const { moves } = motion.program;
  const { laser, spot } = machine;
  const law = powerLaw(laser);
  const grains = grainsPerS(laser.s_max);
  const looks = looksOf(motion.program, rows, spot, material);
  const lookOf = (k: number): RowsLook => looks.get(moves.operation[k]!)!;
  const speeds = Float64Array.from(wishedL, (wish, k) =>
    Number.isNaN(wish) ? 0 : meanSpeedMmPerS(motion, k),
  );
  const need = needOf(material, laser.wavelength_nm);
  // J/mm for each J/mm² of plain mean dose, where the wood is cool and fired once.
  const jPerMmOfPlain = Float64Array.from(
    widthMm,
    (mm, k) => mm * needAt(need, meanWidthMm(spot) / speeds[k]!),
  );
  const plainAsItIs = (k: number): number =>
    law.watts(moves.s[k]!, speedRatio(moves, k, speeds[k]!)) / (speeds[k]! * jPerMmOfPlain[k]!);

  const isBurned = (k: number): boolean => wishedL[k]! < lookOf(k).bareL;
  // What warmth saved of each need for each J/mm² of plain mean dose; below 0 where a strip needed more than cool wood.
  const saved = Float64Array.from(wishedL, (wish, k) => {
    if (Number.isNaN(wish) || !lookOf(k).tells(asItIsL[k]!)) return Number.NaN;
    const plain = plainAsItIs(k);
    if (plain === 0) return Number.NaN;
    return (1 - plain / lookOf(k).plainForL(asItIsL[k]!)) / plain;
  });
  const usuallySaved = Math.max(
    0,
    meanOf(saved, (k) => lengthMm[k]! * plainAsItIs(k)),
  );
  /** How many times the need of cool wood that is fired once a strip has with a plain mean dose, J/mm². */
  const needTimes = (k: number, plain: number): number => {
    const part = Number.isNaN(saved[k]!) ? usuallySaved : saved[k]!;
    // Warmth goes with the dose; how often wood is fired, which makes the need greater, does not.
    return part > 0
      ? Math.max(LEAST_TIMES, 1 / (1 + part * plain))
      : Math.min(lookOf(k).mostTimes, 1 - part * plainAsItIs(k));
  };
  const jPerMm = Float64Array.from(wishedL, (wish, k) => {
    if (Number.isNaN(wish) || !isBurned(k)) return 0;
    const plain = lookOf(k).plainForL(wish);
    return needTimes(k, plain) * plain * jPerMmOfPlain[k]!;
  });
  const sOf = (k: number): number => {
    if (Number.isNaN(wishedL[k]!)) return moves.s[k]!;
    const wanted = sForWatts(laser, jPerMm[k]! * speeds[k]!, speedRatio(moves, k, speeds[k]!));
    return roundS(wanted, grains);
  };
  return {
    s: () => Float64Array.from(wishedL, (_, k) => sOf(k)),
    correct(seenL) {
      for (let k = 0; k < jPerMm.length; k++) {
        if (!(jPerMm[k]! > 0) || Number.isNaN(seenL[k]!)) continue;
        const { plainForL } = lookOf(k);
        const ratio = plainForL(wishedL[k]!) / plainForL(seenL[k]!);
        jPerMm[k] = jPerMm[k]! * Math.min(MOST_STEP, Math.max(1 / MOST_STEP, ratio));
      }
    },
    limits() {
      let [all, light, dark] = [0, 0, 0];
      for (let k = 0; k < jPerMm.length; k++) {
        const mm = lengthMm[k]!;
        all += mm;
        if (!(jPerMm[k]! > 0) || mm === 0) continue;
        const wanted = jPerMm[k]! * speeds[k]!;
        const given = law.watts(sOf(k), speedRatio(moves, k, speeds[k]!));
        if (given < wanted * (1 - OFF)) light += mm;
        else if (given > wanted * (1 + OFF)) dark += mm;
      }
      return { tooLightShare: light / all, tooDarkShare: dark / all };
    },
  };
}

/** How rows look by what they get, and the most that repeated firing makes of their need. */
interface RowsLook extends RowsLightness {
  readonly mostTimes: number;
}

/** By the number of their operation. */
function looksOf(
  program: Program,
  rows: Strips['rows'],
  spot: Spot,
  material: Material,
): ReadonlyMap<number, RowsLook> {
  return new Map(
    program.operations.flatMap((operation) => {
      const lie = rows.get(operation.n);
      if (!lie) return [];
      const firings = rowFirings(spot, lie.spacingMm, lie);
      const look = rowsLightness(spot, lie, headZMm(program, operation), material);
      return [[operation.n, { ...look, mostTimes: firedNeed(firings, 0, material) }] as const];
    }),
  );
}

/** The mean of what is a number, by its weights; 0 where nothing is. */
function meanOf(values: Float64Array, weightOf: (k: number) => number): number {
  let [sum, all] = [0, 0];
  for (let k = 0; k < values.length; k++) {
    if (Number.isNaN(values[k]!)) continue;
    const weight = weightOf(k);
    sum += weight * values[k]!;
    all += weight;
  }
  return all > 0 ? sum / all : 0;
}
