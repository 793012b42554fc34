import type { Material } from '../burn/material.ts';
import { doseForTone, plainDoseForTone } from '../burn/tone.ts';
import { grainsPerS, roundS } from '../change/rounding.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { speedRatio } from '../program/beam-on.ts';
import type { Strips } from './picture-rows.ts';
import { meanSpeedMmPerS } from './pieces.ts';
import { sForWatts } from './s-for-watts.ts';
import { lightnessOf } from './wish.ts';

/**
 * How much of what is still wrong is made good in a round: a little more than all of it, since a strip is lit by its
 * neighbours too. Tried from 0.8 to 1.25 on pictures of many kinds: less is slower, and none of them swings.
 */
const STEP = 1.1;
/** By how much a round changes the energy of a strip at most. */
const MOST_STEP = 2;
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

/** Begins with what the wood's curve says of each strip alone. */
export function startPowers(
  motion: Motion,
  { wishedL, widthMm, lengthMm }: Strips,
  machine: Machine,
  material: Material,
): StripPower {
  const { moves } = motion.program;
  const { laser, spot } = machine;
  const law = powerLaw(laser);
  const grains = grainsPerS(laser.s_max);
  const lightness = lightnessOf(material);
  const speeds = Float64Array.from(wishedL, (wish, k) =>
    Number.isNaN(wish) ? 0 : meanSpeedMmPerS(motion, k),
  );
  const plain = (l: number) => plainDoseForTone(lightness.toneOfL(l), material);
  const jPerMm = Float64Array.from(wishedL, (wish, k) => {
    if (Number.isNaN(wish) || wish >= lightness.bareL) return 0;
    const dwellS = Math.min(...spot.width_mm) / speeds[k]!;
    const dose = doseForTone(lightness.toneOfL(wish), dwellS, material, laser.wavelength_nm);
    return dose * Math.max(widthMm[k]!, Math.min(...spot.width_mm) / 2);
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
        const ratio = (plain(wishedL[k]!) / plain(seenL[k]!)) ** STEP;
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
