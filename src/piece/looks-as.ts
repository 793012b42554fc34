import { bisectLeft } from 'd3-array';
import type { Material } from '../burn/material.ts';
import { FULL_CHAR_TONE, toneOfPlainDose } from '../burn/tone.ts';
import { lightByTone } from './marks.ts';

/** The part of an operation's cells that got about this dose at short dwell, J/mm²; the rest got none. */
export interface Mark {
  readonly plainJPerMm2: number;
  readonly part: number;
}

/** How far multiples of dose are followed, as logarithms, and in what steps. */
const MOST_LN = 3;
const STEP_LN = 0.05;

/**
 * What learning compares with what a photo shows of an operation: by what (ln) the doses would have to be multiplied for
 * the marks to look on this wood as they do on another, or with other doses. All marks count by what they take from bare
 * wood's light, pale edges of lines as well as their black middles, as they do on the photo; from full char on no more.
 * @returns a function of the doses' multiple and the other wood.
 */
export function startLooksAs(
  marks: readonly Mark[],
  material: Material,
): (doseTimes: number, wood: Material) => number {
  const light = lightByTone(material);
  const top = light.length - 1;
  const taken = (tone: number): number => {
    const at = Math.min(FULL_CHAR_TONE, tone) * top;
    const below = Math.floor(at);
    return 1 - light[below]! - (at - below) * (light[below + 1]! - light[below]!);
  };
  const dark = (doseTimes: number, wood: Material): number =>
    marks.reduce(
      (sum, { plainJPerMm2, part }) => sum + part * taken(toneOfPlainDose(doseTimes * plainJPerMm2, wood)),
      0,
    );
  const steps = Math.round((2 * MOST_LN) / STEP_LN);
  const known = Float64Array.from({ length: steps + 1 }, (_, k) =>
    dark(Math.exp(k * STEP_LN - MOST_LN), material),
  );
  return (doseTimes, wood) => {
    const wanted = dark(doseTimes, wood);
    const above = bisectLeft(known, wanted);
    if (above === 0) return -MOST_LN;
    if (above > steps) return MOST_LN;
    const part = (wanted - known[above - 1]!) / (known[above]! - known[above - 1]!);
    return (above - 1 + part) * STEP_LN - MOST_LN;
  };
}
