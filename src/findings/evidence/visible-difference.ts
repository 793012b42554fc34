import { labOf } from '../../burn/colour.ts';
import type { Material } from '../../burn/material.ts';
import { needAt, needOf } from '../../burn/need.ts';
import { FULL_CHAR_TONE, plainDoseForTone, TONE_REGIONS, toneOfPlainDose } from '../../burn/tone.ts';

/**
 * Colour difference ΔE*ab from which two places look plainly different: the class "large difference" begins
 * at 6 (Allegretti et al. 2009, as quoted in Acta Facultatis Xylologiae Zvolen 61(2), 2019). More dose on wood
 * that is black already changes nothing to the eye and stays below it.
 */
export const PLAINLY_DIFFERENT = 6;

/** The least tone that people call a mark. */
export const MARK_TONE = TONE_REGIONS[1].fromTone;

/** Answers how different two doses look on one wood. */
export interface Eye {
  /**
   * Colour difference ΔE*ab of two places, each a dose (J/mm²) and the time it lay under the spot (s).
   * Within 0.1 of `colourDifference` of the exact tones.
   */
  difference(doseJPerMm2: number, dwellS: number, otherJPerMm2: number, otherDwellS: number): number;
  /**
   * The same for two thin lines or dots with these doses at their middle, on a ground that has some dose already: the
   * greater difference of their middles and of their rims, where half of what they add is left. A line that is
   * black in the middle still shows where it grows thick.
   */
  lineDifference(
    doseJPerMm2: number,
    dwellS: number,
    otherJPerMm2: number,
    otherDwellS: number,
    groundJPerMm2?: number,
  ): number;
}

const STEPS = 512;

/** An eye for one wood under one wavelength; looks colours up, so it may be asked a million times. */
export function createEye(material: Material, wavelengthNm: number): Eye {
  const need = needOf(material, wavelengthNm);
  const lnFirst = Math.log(material.first_mark_j_mm2.value);
  // Tone reaches 1 soon after full char and stays there; lay the table out to that dose.
  const lnLast = Math.log(plainDoseForTone(1, material)) + 1e-9;
  const perLn = STEPS / (lnLast - lnFirst);
  const lab = new Float64Array(3 * (STEPS + 1));
  for (let k = 0; k <= STEPS; k++) {
    const tone = toneOfPlainDose(Math.exp(lnFirst + k / perLn), material);
    lab.set(labOf(k === STEPS ? 1 : Math.max(tone, 0), material), 3 * k);
  }
  const placeOf = (doseJPerMm2: number, dwellS: number): number => {
    const plain = doseJPerMm2 / needAt(need, dwellS);
    return plain > 0 ? Math.min(STEPS - 1e-9, Math.max(0, (Math.log(plain) - lnFirst) * perLn)) : 0;
  };
  const mix = (place: number, axis: 0 | 1 | 2): number => {
    const k = Math.floor(place);
    const low = lab[3 * k + axis]!;
    return low + (lab[3 * k + 3 + axis]! - low) * (place - k);
  };
  const difference: Eye['difference'] = (dose, dwellS, other, otherDwellS) => {
    const a = placeOf(dose, dwellS);
    const b = placeOf(other, otherDwellS);
    const dL = mix(a, 0) - mix(b, 0);
    const da = mix(a, 1) - mix(b, 1);
    const db = mix(a, 2) - mix(b, 2);
    return Math.sqrt(dL * dL + da * da + db * db);
  };
  return {
    difference,
    lineDifference: (dose, dwellS, other, otherDwellS, ground = 0) =>
      Math.max(
        difference(dose, dwellS, other, otherDwellS),
        difference((dose + ground) / 2, dwellS, (other + ground) / 2, otherDwellS),
      ),
  };
}

/** The dose of the darkest char at a dwell, J/mm²: from here on more dose shows no more. */
export const blackDoseJPerMm2 = (material: Material, wavelengthNm: number, dwellS: number): number =>
  plainDoseForTone(FULL_CHAR_TONE, material) * needAt(needOf(material, wavelengthNm), dwellS);
