import { labOf } from '../burn/colour.ts';
import type { Material } from '../burn/material.ts';
import { FULL_CHAR_TONE } from '../burn/tone.ts';
import { InputError } from '../errors.ts';

/** Between which tones a picture is to lie, as parts of the way in lightness from the bare wood to full char. */
export interface ToneEnds {
  /** What the faintest level that is burned at all comes near to. */
  readonly lightest: number;
  /** What the greatest S becomes. */
  readonly darkest: number;
}

/** What is taken where nothing is said: just off bare wood, and just short of full char, where char lightens again. */
export const TONE_ENDS: ToneEnds = { lightest: 0.03, darkest: 0.95 };

/** @throws {InputError} where the ends are not 0 ≤ lightest < darkest ≤ 1. */
export function checkEnds({ lightest, darkest }: ToneEnds): void {
  if (lightest >= 0 && lightest < darkest && darkest <= 1) return;
  throw new InputError(
    `found tones from ${lightest * 100} % to ${darkest * 100} % of the way to char; expected the lightest below the darkest, both from 0 to 100 %`,
  );
}

/** Lightness L* and tones of a wood, one from the other, up to full char. */
export interface Lightness {
  readonly bareL: number;
  readonly charL: number;
  /** L* that is meant by a darkness 0 (not burned) … 1 (the greatest S). */
  wishedL(darkness: number, ends: ToneEnds): number;
  /** The tone with that L*; 0 for bare wood and lighter, full char for darker. */
  toneOfL(l: number): number;
}

/** Steps of the table by which tones are found: L* is off by less than 0.02. */
const STEPS = 4096;

export function lightnessOf(material: Material): Lightness {
  const bareL = labOf(0, material)[0];
  const charL = labOf(FULL_CHAR_TONE, material)[0];
  // By its share of the way, the tone: L* falls from bare wood to full char and never rises on the way.
  const table = new Float64Array(STEPS + 1);
  let tone = 0;
  const shareOf = (each: number) => (labOf(each, material)[0] - bareL) / (charL - bareL);
  for (let k = 0; k <= STEPS; k++) {
    while (tone < FULL_CHAR_TONE && shareOf(tone) < k / STEPS) tone += FULL_CHAR_TONE / STEPS;
    table[k] = Math.min(FULL_CHAR_TONE, tone);
  }
  return {
    bareL,
    charL,
    wishedL: (darkness, { lightest, darkest }) =>
      darkness > 0
        ? bareL + (charL - bareL) * (lightest + (darkest - lightest) * Math.min(1, darkness))
        : bareL,
    toneOfL(l) {
      const share = Math.min(1, Math.max(0, (l - bareL) / (charL - bareL)));
      return table[Math.round(share * STEPS)]!;
    },
  };
}
