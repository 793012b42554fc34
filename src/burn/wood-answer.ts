import { type BeamOnWood, rayleighMm } from './beam-on-wood.ts';
import { type DepthLaw, depthLaw, depthOfExcess, excessForDepth } from './depth.ts';
import type { Material } from './material.ts';
import { needAt, needOf } from './need.ts';
import { CHAR_BEGINS_TONE, plainDoseForTone, toneOfPlainDose } from './tone.ts';

/**
 * What one wood makes of doses under one beam: the one place that verdicts, margins, charts and pictures of depth
 * take it from. Doses in J/mm², dwell in s; `headZMm` is the height the head burned at, which decides where in the
 * wood the focus lies.
 */
export interface WoodAnswer {
  tone(doseJPerMm2: number, dwellS: number): number;
  /**
   * Depth removed, mm, as if the board had no back.
   * @param needTimes how many times the need of one cool firing (`firing.ts`); default 1.
   */
  depthMm(doseJPerMm2: number, dwellS: number, headZMm: number, needTimes?: number): number;
  /** The dose that reaches a depth; ∞ where none does. */
  doseForDepth(depthMm: number, dwellS: number, headZMm: number, needTimes?: number): number;
}

/** Heights nearer than this part of the Rayleigh length share a law: the beam differs by less than 0.3 %. */
const SAME_HEIGHT = 0.01;
/** Laws kept; a long slope in z has that many heights. */
const MOST_LAWS = 256;

export function woodAnswer(material: Material, beam: Omit<BeamOnWood, 'headZMm'>): WoodAnswer {
  const need = needOf(material, beam.wavelengthNm);
  const begins = plainDoseForTone(CHAR_BEGINS_TONE, material);
  const lawAt = depthLawsByHeight(material, beam);
  return {
    tone: (dose, dwellS) => toneOfPlainDose(dose / needAt(need, dwellS), material),
    depthMm: (dose, dwellS, headZMm, needTimes = 1) =>
      depthOfExcess(lawAt(headZMm), dose - begins * needTimes * needAt(need, dwellS)),
    doseForDepth: (depthMm, dwellS, headZMm, needTimes = 1) =>
      begins * needTimes * needAt(need, dwellS) + excessForDepth(lawAt(headZMm), depthMm),
  };
}

/** The depth law at every height of the head, worked out when first asked for. */
function depthLawsByHeight(material: Material, beam: BeamOnWood): (headZMm: number) => DepthLaw {
  const grainMm = SAME_HEIGHT * rayleighMm(beam);
  const laws = new Map<number, DepthLaw>();
  return (headZMm) => {
    const key = beam.spot.rayleigh_mm === null ? 0 : Math.round(headZMm / grainMm);
    const known = laws.get(key);
    if (known) return known;
    if (laws.size >= MOST_LAWS) laws.clear();
    const law = depthLaw(material, { ...beam, headZMm });
    laws.set(key, law);
    return law;
  };
}
