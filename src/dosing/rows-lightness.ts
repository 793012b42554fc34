import type { Material } from '../burn/material.ts';
import { doseAcross, type EvenRows } from '../burn/ripple.ts';
import { toneOfPlainDose } from '../burn/tone.ts';
import type { Spot } from '../machine/profile.ts';
import { lightnessTable } from './footprints.ts';

/** How light rows are that are all burned alike: the mean L* of their middles and of what lies between them. */
export interface RowsLightness {
  /** With less than the first mark on a row's middle. */
  readonly bareL: number;
  /** The least plain mean dose (`burn/tone.ts`), J/mm², with which they are as dark as an L*, or as dark as they become. */
  plainForL(l: number): number;
  /** Whether rows that are so light must have had that dose: not where they are bare, or as dark as they become. */
  tells(l: number): boolean;
}

/** Mean doses from the first mark on a row's middle to this many times full char, more of which only cuts deeper. */
const MOST_CHARS = 8;
const KNOTS = 512;
/** So near to its ends lightness hardly changes with the dose, L*. */
const NEAR_END_L = 1;

/** @param rows null, and rows far apart: what gets the same dose all over. */
export function rowsLightness(
  spot: Spot,
  rows: EvenRows | null,
  headZMm: number,
  material: Material,
): RowsLightness {
  const across = doseAcross(spot, rows, headZMm) ?? [1];
  const lightness = lightnessTable(material);
  const lnLeast = Math.log(material.first_mark_j_mm2.value / across.reduce((a, b) => Math.max(a, b)));
  const lnStep = (Math.log(MOST_CHARS * material.full_char_j_mm2.value) - lnLeast) / KNOTS;
  const plainAt = (knot: number): number => Math.exp(lnLeast + knot * lnStep);
  // Full char lightens as it is burned on: what is darker with less is found there.
  const falling = new Float64Array(KNOTS + 1);
  for (let knot = 0; knot <= KNOTS; knot++) {
    const plain = plainAt(knot);
    const sum = across.reduce((l, times) => l + lightness(toneOfPlainDose(times * plain, material)), 0);
    falling[knot] = Math.min(sum / across.length, knot > 0 ? falling[knot - 1]! : Infinity);
  }
  const [bareL, darkestL] = [falling[0]!, falling[KNOTS]!];
  return {
    bareL,
    plainForL(l) {
      if (l >= bareL) return plainAt(0);
      let [above, below] = [0, KNOTS];
      while (below - above > 1) {
        const middle = (above + below) >> 1;
        if (falling[middle]! > Math.max(l, darkestL)) above = middle;
        else below = middle;
      }
      const [from, to] = [falling[above]!, falling[below]!];
      return plainAt(above + (from - Math.max(l, darkestL)) / (from - to));
    },
    tells: (l) => l < bareL - NEAR_END_L && l > darkestL + NEAR_END_L,
  };
}
