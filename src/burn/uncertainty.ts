import type { Material, Quantity } from './material.ts';

/** The relative standard uncertainty that a number is told with; 0 where none is. */
export const statedRelative = ({ value, plus_minus }: Quantity): number =>
  value > 0 ? (plus_minus ?? 0) / value : 0;

/**
 * No dose that a swatch tells is known to less than this part of itself: the machine's power wanders, a sheet differs from
 * place to place, and no wood follows the model exactly (a judgement).
 */
export const LEAST_DOSE_PART = 0.05;

const MOST_OF_FULL_CHAR = 0.98;

/** However its numbers are moved, a wood's first mark stays below its full char, J/mm². */
export const heldBelowChar = (firstMarkJPerMm2: number, fullCharJPerMm2: number): number =>
  Math.min(firstMarkJPerMm2, MOST_OF_FULL_CHAR * fullCharJPerMm2);

/** The numbers of a profile that decide doses and depths, one by one: a name, and how to put another value in. */
const DECIDING = [
  'density_kg_m3',
  'moisture_percent',
  'first_mark_j_mm2',
  'full_char_j_mm2',
  'char_rise_k',
  'removal_j_mm3',
  'wall_loss',
] as const;

/**
 * The relative standard uncertainty of anything worked out from a material (a speed, a dose): each of its numbers
 * is moved by one standard uncertainty, by ratio, and the changes of the result's logarithm are added in squares,
 * as independent small errors are (JCGM 100:2008, Guide to the Expression of Uncertainty in Measurement, eq. 10).
 * A number without a stated uncertainty counts as exact.
 *
 * @param quantity positive and finite for the material itself.
 * @returns null where the profile states no uncertainty that bears on the result.
 */
export function relativeUncertainty(
  material: Material,
  quantity: (material: Material) => number,
): number | null {
  const base = quantity(material);
  let squares = 0;
  let known = false;
  for (const changed of shifted(material)) {
    const change = Math.log(quantity(changed) / base);
    if (!Number.isFinite(change)) continue;
    known = true;
    squares += change * change;
  }
  return known && squares > 0 ? Math.sqrt(squares) : null;
}

/** The material with one number after another a standard uncertainty larger. */
function* shifted(material: Material): Generator<Material> {
  for (const name of DECIDING) {
    const value = larger(material[name]);
    if (value === null) continue;
    const held = name === 'first_mark_j_mm2' ? heldBelowChar(value, material.full_char_j_mm2.value) : value;
    yield { ...material, [name]: { ...material[name], value: held } };
  }
  for (let k = 0; k < material.absorption.length; k++) {
    for (const name of ['absorptance', 'depth_mm'] as const) {
      const row = material.absorption[k]!;
      const value = larger(row[name]);
      if (value === null) continue;
      const held = name === 'absorptance' ? Math.min(1, value) : value;
      const changed = { ...row, [name]: { ...row[name], value: held } };
      yield { ...material, absorption: material.absorption.with(k, changed) };
    }
  }
}

const larger = ({ value, plus_minus }: Quantity): number | null =>
  plus_minus === null || plus_minus === 0 ? null : value + plus_minus;
