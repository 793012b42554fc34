import type { Lab, Material } from '../../burn/material.ts';
import { areaMm2 } from '../../grid.ts';
import { labOfLinear, linearOfLab } from '../../photo/colour-space.ts';
import { threeOf } from '../../photo/photo.ts';
import { type PhotoReading, SAMPLE_MM } from '../photo/read.ts';
import { type PatchDose, readArea } from '../replay.ts';

/** The colour of bare wood against which the photo is read. */
export interface BareReference {
  readonly lab: Lab;
  /** One standard deviation of L*, a* and b*. */
  readonly sigma: Lab;
}

export interface Observation {
  readonly dose: PatchDose;
  /** The patch as the photo shows it, the bare wood taken as the reference. */
  readonly lab: Lab;
  readonly sigma: Lab;
}

/** White office paper in CIELAB (near the papers of ISO 12647-2, L* 93 to 95; value from memory). */
const PAPER: Lab = [94, 0, 0];
/** One standard deviation of it, and of the light beside the board against the light on it. */
const PAPER_SIGMA: Lab = [2, 1.5, 2];

/** The bare wood's colour: measured against white paper where some is shown, else as the profile has it. */
export function bareReference(base: Material, { whiteOverBare }: PhotoReading): BareReference {
  const { value, plus_minus } = base.colour.bare_lab;
  if (whiteOverBare === null) {
    const sigma = plus_minus ?? 5;
    return { lab: value, sigma: [sigma, sigma, sigma] };
  }
  const paper = linearOfLab(PAPER);
  const light = threeOf((c) => paper[c] / whiteOverBare[c]);
  return { lab: labOfLinear(light), sigma: PAPER_SIGMA };
}

/** Light of the noise floor of a photo, linear: what JPEG, black level and rounding leave unsure. */
const DARK_FLOOR = 0.0007;
/** Neighbouring samples of bare wood share their grain: so many of them count as one. */
const SAMPLES_ALIKE = 5;
/** No colour is read better than this. */
const COLOUR_FLOOR = 0.25;

/** The patches as observations: their colour against the reference, and how far grain and noise may have moved it. */
export function observationsOf(
  doses: readonly PatchDose[],
  { patches, scatter, bare }: PhotoReading,
  reference: BareReference,
): Observation[] {
  const light = linearOfLab(reference.lab);
  return doses.map((dose, k) => {
    const { ratio } = patches[k]!;
    const colour = threeOf((c) => ratio[c] * light[c]);
    const lab = labOfLinear(colour);
    const share = SAMPLES_ALIKE / Math.max(SAMPLES_ALIKE, readMm2(dose) / SAMPLE_MM ** 2);
    // What a small rise of ln R, ln G, ln B does to L*, a*, b*.
    const rise = 0.01;
    const slopes = [0, 1, 2].map((c) => {
      const more = threeOf((j) => (j === c ? colour[j] * Math.exp(rise) : colour[j]));
      return labOfLinear(more).map((each, j) => (each - lab[j]!) / rise);
    });
    const sigma = threeOf((j) => {
      let variance = COLOUR_FLOOR ** 2;
      for (let a = 0; a < 3; a++) {
        for (let b = 0; b < 3; b++) variance += slopes[a]![j]! * slopes[b]![j]! * scatter[3 * a + b]! * share;
        const dark = DARK_FLOOR / Math.max(DARK_FLOOR, ratio[a]! * bare[a]!);
        variance += (slopes[a]![j]! * dark) ** 2;
      }
      return Math.sqrt(variance);
    });
    return { dose, lab, sigma };
  });
}

const readMm2 = ({ patch }: PatchDose): number => areaMm2(readArea(patch));
