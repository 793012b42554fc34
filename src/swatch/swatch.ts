import { z } from 'zod';
import { InputError } from '../errors.ts';
import { machineSchema } from '../machine/profile.ts';
import { readChecked } from '../schema.ts';

/**
 * The swatch as data: everything that `swatch.json` holds, and everything from which its G-code is written
 * and replayed. Positions are in the job's coordinates, mm; `n` counts from 1.
 */

const finite = z.number().min(-1e5).max(1e5);
const point = z.tuple([finite, finite]);
const size = z.number().min(0.05).max(1000);
const speed = z.number().min(0.01).max(10_000);
const level = z.number().min(0).max(1e9);
const number = z.number().int().positive().max(999);

const swatchSchema = z.strictObject({
  version: z.literal(1),
  /** The machine it was made for, whole, so that the swatch can be replayed. */
  machine: machineSchema,
  stock: z.strictObject({
    width_mm: size,
    height_mm: size,
    thickness_mm: size.nullable(),
    at_mm: point,
  }),
  /** The wood whose profile the settings were chosen for; the real one may answer quite differently. */
  chosen_for: z.string(),
  /** The piece of the stock the swatch takes up: its lower left corner and its size. */
  area: z.strictObject({ at_mm: point, size_mm: z.tuple([size, size]) }),
  row_spacing_mm: z.number().min(0.01).max(2),
  /**
   * Four burned discs, anticlockwise from the lower left. The first has a hole in it: it tells which way up a
   * photo is.
   */
  marks: z.strictObject({
    at_mm: z.array(point).length(4),
    radius_mm: size,
    hole_radius_mm: size,
    speed_mm_s: speed,
    s: level,
  }),
  /** Filled rectangles by lower left corner and size; those with the same y are burned in the same rows, but for those alone. */
  patches: z
    .array(
      z.strictObject({
        n: number,
        at_mm: point,
        size_mm: z.tuple([size, size]),
        speed_mm_s: speed,
        s: level,
        /** Burned in rows of its own, so short that the beam is back while the wood is warm; swatches of before had none. */
        alone: z.literal(true).optional(),
        /** How many times its rows are burned; left out: once. */
        passes: z.number().int().min(1).max(10).optional(),
      }),
    )
    .min(4)
    .max(200),
  /** Single lines, each from its start along x or y. */
  lines: z
    .array(
      z.strictObject({
        n: number,
        along: z.enum(['x', 'y']),
        at_mm: point,
        length_mm: size,
        speed_mm_s: speed,
        s: level,
      }),
    )
    .max(100),
  /** Cut lines along y, the strongest first; each is burned `passes` times. */
  cuts: z
    .array(
      z.strictObject({
        n: number,
        at_mm: point,
        length_mm: size,
        speed_mm_s: speed,
        s: level,
        passes: z.number().int().min(1).max(50),
      }),
    )
    .max(60),
  /** Engraved numbers: power in percent over the columns, feed in mm/min beside the rows, n over the cuts. */
  labels: z.strictObject({
    height_mm: size,
    speed_mm_s: speed,
    s: level,
    items: z.array(z.strictObject({ text: z.string().regex(/^\d{1,6}$/), at_mm: point })).max(300),
  }),
  /** A number engraved as the labels are, by its lower left corner; keys of before had none. */
  code: z.strictObject({ text: z.string().regex(/^\d{4}$/), at_mm: point, height_mm: size }).optional(),
});

export type Swatch = z.infer<typeof swatchSchema>;
export type Patch = Swatch['patches'][number];
/** The patches burned in rows that run across all of a band: how dark the others come out hangs on more than their dose. */
export const gridPatches = ({ patches }: Pick<Swatch, 'patches'>): readonly Patch[] =>
  patches.filter(({ alone }) => !alone);
export type LadderLine = Swatch['lines'][number];
export type CutLine = Swatch['cuts'][number];

/** More rows than any swatch of ours has several times over; replaying them takes room and time. */
const MOST_ROWS = 40_000;

/**
 * Checks a parsed `swatch.json`.
 * @throws {InputError} one sentence that names the field, what was found and what was expected.
 */
export function readSwatch(value: unknown, source?: string): Swatch {
  const swatch = readChecked(swatchSchema, value, 'a swatch file', source);
  const rows = swatch.patches.reduce((sum, { size_mm }) => sum + size_mm[1] / swatch.row_spacing_mm, 0);
  if (rows > MOST_ROWS) {
    throw new InputError(
      `found patches of ${Math.round(rows)} rows in all; expected a swatch file as it was written, with at most ${MOST_ROWS}`,
      { source },
    );
  }
  refusePower(swatch, source);
  refuseOverlap(swatch, source);
  return swatch;
}

/** S beyond the scale gives no more than full power: what such a part got would not be what the key says. */
function refusePower({ machine, marks, patches, lines, cuts, labels }: Swatch, source?: string): void {
  const parts = [
    ['the marks', marks.s],
    ...patches.map(({ n, s }) => [`patch ${n}`, s] as const),
    ...lines.map(({ n, s }) => [`line ${n}`, s] as const),
    ...cuts.map(({ n, s }) => [`cut ${n}`, s] as const),
    ['the labels', labels.s],
  ] as const;
  const most = machine.laser.s_max;
  const beyond = parts.find(([, s]) => s > most);
  if (beyond === undefined) return;
  throw new InputError(
    `found S${beyond[1]} for ${beyond[0]} of a swatch whose machine has an s_max of ${most}; expected a swatch file as it was written, with no S beyond that`,
    { source },
  );
}

/** Positions are whole microns. */
const TOUCH_MM = 0.002;

/** Where two patches lie over each other the wood got both doses, and neither patch's colour tells of its own. */
function refuseOverlap({ patches }: Swatch, source?: string): void {
  const overlap = (a: Patch, b: Patch, axis: 0 | 1): boolean =>
    Math.min(a.at_mm[axis] + a.size_mm[axis], b.at_mm[axis] + b.size_mm[axis]) -
      Math.max(a.at_mm[axis], b.at_mm[axis]) >
    TOUCH_MM;
  patches.forEach((a, k) => {
    const b = patches.slice(k + 1).find((other) => overlap(a, other, 0) && overlap(a, other, 1));
    if (b === undefined) return;
    throw new InputError(
      `found the patches ${a.n} and ${b.n} lying over each other; expected a swatch file as it was written, with every patch on wood of its own`,
      { source },
    );
  });
}
