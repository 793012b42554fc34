import { z } from 'zod';
import { InputError } from '../errors.ts';
import { readChecked } from '../schema.ts';
import { GUESS } from './basis.ts';
import { burnEntrySchema, learnedSchema } from './learned.ts';

/**
 * The material profile: what Charcast must know of a wood to say how it answers a dose. Held exactly as in
 * the JSON file, each name with its unit. Every number carries its uncertainty and where it comes from; what
 * each one means stands in MODEL.md. Unknown fields are an error that names them.
 */

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
