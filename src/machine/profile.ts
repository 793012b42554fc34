import { z } from 'zod';
import { readChecked } from '../schema.ts';

/**
 * The machine profile: what Charcast must know of a machine to replay a job on it. Held exactly as in the
 * JSON file (`max_speed_mm_s`, …), each name with its unit; every field but `laser.optical_power_w` has a
 * default, an unknown field is an error that names it.
 */

const positive = z.number().positive();
const perAxis = z.tuple([positive, positive, positive]);

const cornering = z.discriminatedUnion('rule', [
  z.strictObject({ rule: z.literal('junction-deviation'), deviation_mm: z.number().min(0).default(0.02) }),
  z.strictObject({ rule: z.literal('speed-step'), step_mm_s: z.number().min(0).default(8) }),
]);

const link = z.strictObject({
  baud: positive.default(115200),
  ack_bytes: z.number().int().min(0).default(4),
  lines_per_second: positive.nullable().default(null),
});

const laser = z.strictObject({
  /** Optical power at full duty, W: what leaves the lens, not the electrical rating. */
  optical_power_w: positive.max(10_000),
  wavelength_nm: positive.default(450),
  /** The S that means full duty. */
  s_max: positive.default(1000),
  /** How many non-zero power levels the controller can tell apart; null: any. */
  power_levels: z.number().int().positive().max(1_000_000).nullable().default(null),
  /** Duty below which the diode does not lase, as a fraction of full duty. */
  threshold_fraction: z.number().min(0).lt(1).default(0),
  /** Time constant of the first-order lag of power behind its command. */
  rise_time_ms: z.number().min(0).max(10_000).default(0),
  /** How long the beam follows the head late (negative: early), a fixed time on top of the lag. */
  beam_delay_ms: z.number().min(-1000).max(1000).default(0),
  fires_on_rapids: z.boolean().default(false),
  /** Which words switch the beam: M3, M4 and M5; M106 and M107; auto: the latter if the job has no M3 or M4. */
  power_words: z.enum(['auto', 'M3', 'M106']).default('auto'),
});

const spot = z.strictObject({
  shape: z.enum(['gaussian', 'uniform-ellipse', 'uniform-rectangle']).default('gaussian'),
  /** D4σ along the spot's own two axes (for a Gaussian the 1/e² diameters); full widths when uniform. */
  width_mm: z.tuple([positive, positive]).default([0.1, 0.1]),
  rotation_deg: z.number().default(0),
  focus_z_mm: z.number().default(0),
  rayleigh_mm: positive.nullable().default(null),
});

export const machineSchema = z.strictObject({
  name: z.string().default('unnamed gantry'),
  work_area_mm: z.tuple([positive, positive]).default([400, 400]),
  max_speed_mm_s: perAxis.default([100, 100, 10]),
  acceleration_mm_s2: perAxis.default([500, 500, 50]),
  cornering: cornering.prefault({ rule: 'junction-deviation' }),
  lookahead_moves: z.number().int().positive().nullable().default(16),
  arc_tolerance_mm: positive.default(0.002),
  dwell_unit: z.enum(['s', 'ms']).default('s'),
  link: link.nullable().default(null),
  laser,
  spot: spot.prefault({}),
});

export type Machine = z.infer<typeof machineSchema>;
export type Spot = Machine['spot'];
export type LaserSource = Machine['laser'];

/**
 * Checks a parsed JSON value and fills in the defaults.
 * @throws {BenchError} one sentence that names the field, what was found and what was expected.
 */
export function readMachine(value: unknown, source?: string): Machine {
  return readChecked(machineSchema, value, 'a machine profile', source);
}
