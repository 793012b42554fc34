import { z } from 'zod';
import { InputError } from '../errors.ts';
import { readChecked } from '../schema.ts';
import { burnEntrySchema, learnedSchema } from './learned.ts';

/**
 * The material profile: what Charcast must know of a wood to say how it answers a dose. Held exactly as in
 * the JSON file, each name with its unit. Every number carries its uncertainty and where it comes from; what
 * each one means stands in MODEL.md. Unknown fields are an error that names them.
 */

export const GUESS = 'a guess to be calibrated';

const basis = z
  .string()
  .regex(
    /^(measured by \S|derived from \S|a guess to be calibrated)/,
    `words that begin with "measured by …", "derived from …" or "${GUESS}"`,
  );

/** A number, one standard uncertainty in the same unit (null: not known), and where both come from. */
const quantityOf = <Value extends z.ZodType>(value: Value) =>
  z.strictObject({
    value,
    plus_minus: z.number().min(0).nullable().default(null),
    basis: basis.default(GUESS),
  });

const quantity = (range: z.ZodNumber, value: number, plusMinus: number) =>
  quantityOf(range).default({ value, plus_minus: plusMinus, basis: GUESS });

const lab = z.tuple([z.number().min(0).max(100), z.number(), z.number()]);
const pair = z.tuple([z.number(), z.number()]);

const colour = (value: [number, number, number], plusMinus: number) =>
  quantityOf(lab).default({ value, plus_minus: plusMinus, basis: GUESS });

const positive = z.number().positive();
const dose = positive.max(1e6);

/** How the bare material takes light of one wavelength. */
const absorption = z.strictObject({
  wavelength_nm: positive,
  /** The share of the light that is not thrown back. */
  absorptance: quantityOf(z.number().min(0.01).max(1)),
  /** Depth at which 1/e of it is left, mm. */
  depth_mm: quantityOf(positive.max(10)),
});

const paleWood: z.infer<typeof absorption>[] = [
  [450, 0.55, 0.15],
  [532, 0.4, 0.25],
  [1064, 0.2, 0.7],
  [10600, 0.85, 0.06],
].map(([nm, absorptance, depthMm]) => ({
  wavelength_nm: nm!,
  absorptance: { value: absorptance!, plus_minus: 0.1, basis: GUESS },
  depth_mm: { value: depthMm!, plus_minus: depthMm! / 3, basis: GUESS },
}));

const materialSchema = z.strictObject({
  name: z.string().default('unnamed material'),
  /** What a person must know before burning it; null: nothing beyond the usual cautions. */
  caution: z.string().nullable().default(null),
  density_kg_m3: quantity(positive.max(3000), 450, 60),
  moisture_percent: quantity(z.number().min(0).max(200), 9, 3),
  /** Rows in rising order of wavelength; between them values run evenly over ln λ, beyond them they stay. */
  absorption: z
    .array(absorption)
    .min(1)
    .refine((rows) => rows.every((row, i) => i === 0 || row.wavelength_nm > rows[i - 1]!.wavelength_nm), {
      error: 'rows in rising order of wavelength',
    })
    .default(paleWood),
  /** The wavelength the two doses below are told for. */
  marked_with_nm: positive.default(450),
  /** Local dose at which the first change shows, the beam passing in a few ms, J/mm². */
  first_mark_j_mm2: quantity(dose, 0.13, 0.04),
  /** Local dose at which the surface is darkest, the beam passing in a few ms, J/mm². */
  full_char_j_mm2: quantity(dose, 1.1, 0.35),
  /** Surface rise that conduction must feed for full char when the beam lingers, K. */
  char_rise_k: quantity(z.number().min(0).max(5000), 1200, 250),
  /** Dose per depth removed once the surface chars, at 12 % moisture, J/mm³. */
  removal_j_mm3: quantity(positive.max(100), 2.3, 0.3),
  /** How much more dose a narrow, deep kerf takes than an open floor, as a fraction. */
  wall_loss: quantity(z.number().min(0).max(10), 0.5, 0.2),
  /** The share of a light firing's dose that stays as heat. */
  heat_kept: quantity(z.number().min(0).max(1), 0.31, 0.1),
  /** What stays of a firing at most, whatever its dose, J/mm². */
  heat_kept_most_j_mm2: quantity(z.number().positive().max(10), 0.075, 0.025),
  /** Need falls with the wood's warmth X on arrival as 1 − X/this, K. */
  warmth_scale_k: quantity(z.number().positive().max(1e5), 650, 200),
  /** What each further firing of wood that has cooled asks for, as a share of what one firing needs. */
  firing_cost: quantity(z.number().min(0).max(1), 0.33, 0.15),
  colour: z
    .strictObject({
      /** CIELAB of the bare and of the darkest surface. */
      bare_lab: colour([83, 4, 20], 4),
      char_lab: colour([26, 1.5, 2.5], 4),
      /** How far a* and b* rise above the straight way from bare to char where they are highest. */
      warmth_ab: quantityOf(pair).default({ value: [8, 12], plus_minus: 3, basis: GUESS }),
      /** How much L* rises again beyond full char. */
      lightening_l: quantity(z.number().min(0).max(30), 2.5, 1.5),
    })
    .prefault({}),
  /** How its numbers hang together, where burns were told of; null: each stands for itself. */
  learned: learnedSchema.nullable().default(null),
  /** The burns that it was learned from, the last one last. */
  history: z.array(burnEntrySchema).max(10_000).default([]),
});

export type Material = z.infer<typeof materialSchema>;

/** A number of a profile, one standard uncertainty of it, and where both come from. */
export type Quantity = Material['wall_loss'];
export type Lab = readonly [l: number, a: number, b: number];

/**
 * Checks a parsed JSON value and fills in the defaults (a pale wood, every number a guess).
 * @throws {InputError} one sentence that names the field, what was found and what was expected.
 */
export function readMaterial(value: unknown, source?: string): Material {
  const material = readChecked(materialSchema, value, 'a material profile', source);
  const { first_mark_j_mm2: first, full_char_j_mm2: full } = material;
  if (first.value >= full.value) {
    throw new InputError(
      `found ${full.value} J/mm² for full_char_j_mm2; expected more than the first mark's ${first.value} J/mm²`,
      { source },
    );
  }
  return material;
}

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
