import { max } from 'd3-array';
import type { Material } from './material.ts';
import { needAt, needOf } from './need.ts';
import { plainDoseForTone, toneOfPlainDose } from './tone.ts';

/**
 * Rows seen from where one looks at a piece: as one area, whose tone is the mean of what its places come out as, on dark lines
 * and between them, and whose depth is that of its deepest lines. What rows get across them: `doseAcross` in `ripple.ts`.
 */

/** What an area of rows is told by. */
export interface SeenArea {
  /** The one dose that gives its tone, J/mm². */
  readonly doseJPerMm2: number;
  /** How many times that its deepest lines get. */
  readonly deepTimes: number;
}

/** How long each place lay under the spot, s, on what wood and under what light, nm. */
export interface Lit {
  readonly dwellS: number;
  readonly material: Material;
  readonly wavelengthNm: number;
}

/** The tone of an area whose mean dose is a plain one (`tone.ts`), J/mm². */
export const areaTone = (across: readonly number[], plainJPerMm2: number, material: Material): number =>
  across.reduce((sum, times) => sum + toneOfPlainDose(times * plainJPerMm2, material), 0) / across.length;

/**
 * The one dose that gives the tone of an area: less than its mean dose where the middle of rows is black anyway and what lies
 * between them stays pale.
 * @param across what its places get, as multiples of the mean.
 * @param meanJPerMm2 in one cool firing, J/mm².
 */
export function seenAsArea(
  across: readonly number[],
  meanJPerMm2: number,
  { dwellS, material, wavelengthNm }: Lit,
): SeenArea {
  if (across.length === 1) return { doseJPerMm2: meanJPerMm2, deepTimes: 1 };
  const need = needAt(needOf(material, wavelengthNm), dwellS);
  const tone = areaTone(across, meanJPerMm2 / need, material);
  const isBetween = tone > 0 && tone < 1;
  const doseJPerMm2 = isBetween ? need * plainDoseForTone(tone, material) : meanJPerMm2;
  return { doseJPerMm2, deepTimes: (max(across)! * meanJPerMm2) / doseJPerMm2 };
}

/** Doses are halved between so often: to a part in a million million. */
const HALVINGS = 48;

/**
 * The least plain mean dose of an area that gives it a tone, J/mm²: the inverse of {@link areaTone}.
 * @returns ∞ where none does, or only more than {@link MOST_TIMES}: between rows far apart the wood stays bare.
 */
export function plainMeanForTone(across: readonly number[], tone: number, material: Material): number {
  const even = plainDoseForTone(tone, material);
  // Between so much that the darkest place alone falls short of it, and so much that all but the palest are beyond.
  let low = even / max(across)!;
  let high = even * MOST_TIMES;
  if (areaTone(across, high, material) < tone) return Infinity;
  for (let k = 0; k < HALVINGS; k++) {
    const middle = Math.sqrt(low * high);
    if (areaTone(across, middle, material) < tone) low = middle;
    else high = middle;
  }
  return high;
}

/** With so many times what an even area takes any line would be a cut. */
const MOST_TIMES = 1000;

const KNOTS = 512;

/**
 * How many times its plain mean dose the one dose is that gives an area's tone, for asking a million times: even between
 * knots of the logarithm, which moves no tone by a thousandth.
 */
export function startSeenTimes(
  across: readonly number[],
  material: Material,
): (plainJPerMm2: number) => number {
  if (across.length === 1) return () => 1;
  const from = Math.log(material.first_mark_j_mm2.value / max(across)!);
  const perLn = KNOTS / (Math.log(MOST_TIMES * material.full_char_j_mm2.value) - from);
  const known: (number | undefined)[] = [];
  /** The logarithm of the multiple at a knot. */
  const lnTimes = (knot: number): number => {
    const plain = Math.exp(from + knot / perLn);
    const tone = areaTone(across, plain, material);
    return tone > 0 ? Math.log(plainDoseForTone(tone, material) / plain) : 0;
  };
  const at = (knot: number): number => (known[knot] ??= lnTimes(knot));
  return (plainJPerMm2) => {
    const place = (Math.log(plainJPerMm2) - from) * perLn;
    if (!(place > 0)) return 1;
    const knot = Math.min(KNOTS - 1, Math.floor(place));
    const part = Math.min(1, place - knot);
    return Math.exp(at(knot) + part * (at(knot + 1) - at(knot)));
  };
}
