import { GUESS } from './basis.ts';
import type { Material } from './material.ts';

/**
 * Where the numbers of a profile come from, told for people. Apart from the schema of profiles, of which a forecast needs
 * nothing.
 */

/** One number of a profile, told for people. */
interface Told {
  /** `first mark`, `absorptance at 450 nm`. */
  readonly words: string;
  readonly value: number | readonly number[];
  readonly plusMinus: number | null;
  /** As printed beside the number; '' where it has none. */
  readonly unit: string;
  /** *measured by …*, *derived from …* or *a guess to be calibrated*, as in the profile. */
  readonly basis: string;
}

/** Every number of a profile that has a basis, in the order of the file. */
export function numbersOf(material: Material): Told[] {
  const { colour } = material;
  const told = (
    words: string,
    unit: string,
    q: { value: number | readonly number[]; plus_minus: number | null; basis: string },
  ): Told => ({ words, value: q.value, plusMinus: q.plus_minus, unit, basis: q.basis });
  return [
    told('density', 'kg/m³', material.density_kg_m3),
    told('moisture', '%', material.moisture_percent),
    ...material.absorption.flatMap((row) => [
      told(`absorptance at ${row.wavelength_nm} nm`, '', row.absorptance),
      told(`absorption depth at ${row.wavelength_nm} nm`, 'mm', row.depth_mm),
    ]),
    told('first mark', 'J/mm²', material.first_mark_j_mm2),
    told('full char', 'J/mm²', material.full_char_j_mm2),
    told('surface rise of full char', 'K', material.char_rise_k),
    told('removal', 'J/mm³', material.removal_j_mm3),
    told('wall loss', '', material.wall_loss),
    told('heat kept', '', material.heat_kept),
    told('most heat kept', 'J/mm²', material.heat_kept_most_j_mm2),
    told('warmth that would save all of the need', 'K', material.warmth_scale_k),
    told('share of the need that each further firing adds', '', material.firing_cost),
    told('bare colour', 'L* a* b*', colour.bare_lab),
    told('char colour', 'L* a* b*', colour.char_lab),
    told('warm tint', 'a* b*', colour.warmth_ab),
    told('lightening beyond full char', 'L*', colour.lightening_l),
  ];
}

/** One sentence for each number of the profile that is a guess; empty when none is. */
export const guessesOf = (material: Material): string[] =>
  numbersOf(material)
    .filter(({ basis }) => basis.startsWith(GUESS))
    .map(
      ({ words, value, unit }) =>
        `${material.name}: ${words}, ${[value, unit].flat().join(' ').trim()}, is ${GUESS}.`,
    );

/**
 * What a picture or a report says of them, in one sentence: names the guesses that decide how dark and how
 * deep; null when neither of them is a guess.
 */
export function guessNote(material: Material): string | null {
  const deciding = ['first mark', 'full char', 'removal'];
  const guessed = numbersOf(material)
    .filter(({ words, basis }) => deciding.includes(words) && basis.startsWith(GUESS))
    .map(({ words }) => words);
  if (guessed.length === 0) return null;
  const names = guessed.join(', ').replace(/, ([^,]*)$/, ' and $1');
  return `How ${material.name} answers is partly a guess (${names}); a burned swatch calibrates it.`;
}
