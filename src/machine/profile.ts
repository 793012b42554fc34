import { z } from 'zod';
import { readChecked } from '../schema.ts';

/**
 * The machine profile: what Charcast must know of a machine to replay a job on it. Held exactly as in the
 * JSON file (`max_speed_mm_s`, …), each name with its unit; every field but `laser.optical_power_w` has a
 * default, an unknown field is an error that names it.
 */

/** Least and greatest value a field may have. */
export type Range = readonly [least: number, most: number];
/**
 * Bounds are far outside what machines do; they keep a broken number from costing hours or memory: speeds of
 * 1 µm/s to 100 m/s, lengths up to 100 m, spots no finer than a twentieth of a hair.
 */
export const RANGES = {
  speedMmPerS: [0.001, 1e5],
  accelerationMmPerS2: [0.01, 1e12],
  lengthMm: [0.001, 1e5],
  deviationMm: [0, 1e9],
  stepMmPerS: [0, 1e9],
  arcToleranceMm: [1e-5, 10],
  sMax: [0.001, 1e9],
} as const satisfies Record<string, Range>;

const within = (least: number, most: number) => z.number().min(least).max(most);
const speed = within(...RANGES.speedMmPerS);
const acceleration = within(...RANGES.accelerationMmPerS2);
const length = within(...RANGES.lengthMm);
const perAxis = <Value extends z.ZodNumber>(value: Value) => z.tuple([value, value, value]);

const cornering = z.discriminatedUnion('rule', [
  z.strictObject({
    rule: z.literal('junction-deviation'),
    deviation_mm: within(...RANGES.deviationMm).default(0.02),
  }),
  z.strictObject({ rule: z.literal('speed-step'), step_mm_s: within(...RANGES.stepMmPerS).default(8) }),
]);

const link = z.strictObject({
  baud: within(1, 1e9).default(115200),
  ack_bytes: z.number().int().min(0).max(1000).default(4),
  lines_per_second: within(0.01, 1e7).nullable().default(null),
});

/** A shorter lag moves no mark by as much as a micrometre, and would be followed in as short steps. */
const SHORTEST_RISE_MS = 0.001;

const laser = z.strictObject({
  /** Optical power at full duty, W: what leaves the lens, not the electrical rating. */
  optical_power_w: z.number().positive().min(1e-6).max(10_000),
  wavelength_nm: within(100, 20_000).default(450),
  /** The S that means full duty. */
  s_max: within(...RANGES.sMax).default(1000),
  /** How many non-zero power levels the controller can tell apart; null: any. */
  power_levels: z.number().int().positive().max(1_000_000).nullable().default(null),
  /** Duty below which the diode does not lase, as a fraction of full duty. */
  threshold_fraction: within(0, 0.999).default(0),
  /** Time constant of the first-order lag of power behind its command. */
  rise_time_ms: within(0, 10_000)
    .refine((ms) => ms === 0 || ms >= SHORTEST_RISE_MS, { message: `0, or at least ${SHORTEST_RISE_MS}` })
    .default(0),
  /** How long the beam follows the head late (negative: early), a fixed time on top of the lag. */
  beam_delay_ms: within(-1000, 1000).default(0),
  /** Whether M4 makes power follow the speed; `constant` where the controller knows no such mode. */
  m4_power: z.enum(['proportional', 'constant']).default('proportional'),
  fires_on_rapids: z.boolean().default(false),
  /** Which words switch the beam: M3, M4 and M5; M106 and M107; auto: the latter if the job has no M3 or M4. */
  power_words: z.enum(['auto', 'M3', 'M106']).default('auto'),
});

const spotWidth = within(0.005, 100);
const OBLONG_AT_MOST = 20;

const spot = z.strictObject({
  shape: z.enum(['gaussian', 'uniform-ellipse', 'uniform-rectangle']).default('gaussian'),
  /** D4σ along the spot's own two axes (for a Gaussian the 1/e² diameters); full widths when uniform. */
  width_mm: z
    .tuple([spotWidth, spotWidth])
    .refine(([a, b]) => Math.max(a, b) <= OBLONG_AT_MOST * Math.min(a, b), {
      message: `widths no more than ${OBLONG_AT_MOST} times apart`,
    })
    .default([0.1, 0.1]),
  rotation_deg: within(-360, 360).default(0),
  focus_z_mm: within(-1e5, 1e5).default(0),
  /** Height above or below focus at which the spot is √2 times as wide; null: it keeps its width. */
  rayleigh_mm: within(0.01, 1e6).nullable().default(null),
});

/** Standard uncertainties, each in per cent of the value: lenses get dirty, diodes age, spots are measured on card. */
const plusMinus = z.strictObject({
  optical_power_percent: within(0, 100).default(10),
  spot_width_percent: within(0, 100).default(10),
});

export const machineSchema = z.strictObject({
  name: z.string().max(200).default('unnamed gantry'),
  /** What is worth keeping about the machine and is no setting of the forecast. */
  notes: z.array(z.string().max(1000)).max(1000).default([]),
  work_area_mm: z.tuple([length, length]).default([400, 400]),
  max_speed_mm_s: perAxis(speed).default([100, 100, 10]),
  acceleration_mm_s2: perAxis(acceleration).default([500, 500, 50]),
  cornering: cornering.prefault({ rule: 'junction-deviation' }),
  /** How many moves the controller knows at once, the one under way counted; null: the whole job. */
  lookahead_moves: z.number().int().positive().max(10_000).nullable().default(16),
  arc_tolerance_mm: within(...RANGES.arcToleranceMm).default(0.002),
  dwell_unit: z.enum(['s', 'ms']).default('s'),
  link: link.nullable().default(null),
  laser,
  spot: spot.prefault({}),
  plus_minus: plusMinus.prefault({}),
});

export type Machine = z.infer<typeof machineSchema>;
/** A profile as it may stand in a file: whatever has a default may be missing. */
export type MachineFile = z.input<typeof machineSchema>;
export type Spot = Machine['spot'];
export type LaserSource = Machine['laser'];

/**
 * Checks a parsed JSON value and fills in the defaults.
 * @throws {InputError} one sentence that names the field, what was found and what was expected.
 */
export function readMachine(value: unknown, source?: string): Machine {
  return readChecked(machineSchema, value, 'a machine profile', source);
}
