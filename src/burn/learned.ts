import { z } from 'zod';

/**
 * What a profile was taught by burns that turned out otherwise than forecast. Wood and machine are learned together: that a
 * cut stayed shallow may be the wood's doing or the lens's, and burns alone seldom tell. So beside the numbers themselves it
 * is kept how they hang together, and with which machine.
 */

const percent = z.strictObject({
  /** How much more (or less) than the machine's own profile says, %. */
  value: z.number().min(-99).max(1000),
  plus_minus: z.number().min(0).max(1000),
});

const MOST_NAMES = 32;
/** Rounding of what is written in a file. */
const SLACK = 1e-6;

export const learnedSchema = z
  .strictObject({
    /** The machine it was learned on, by the numbers of its profile, and what was learned of it. */
    machine: z.strictObject({
      name: z.string().max(200),
      laser_power_w: z.number().positive(),
      spot_width_mm: z.tuple([z.number().positive(), z.number().positive()]),
      optical_power_percent: percent,
      spot_width_percent: percent,
    }),
    /** Names of the numbers that hang together, and their correlation: of the logarithms, row by row. */
    names: z.array(z.string().max(60)).min(1).max(MOST_NAMES),
    correlation: z
      .array(
        z.array(
          z
            .number()
            .min(-1 - SLACK)
            .max(1 + SLACK),
        ),
      )
      .max(MOST_NAMES),
    /**
     * One standard deviation of the logarithms, name by name, where the profile's `plus_minus` are told for the machine as it
     * stands and leave out what its power and spot may be off by; left out: as `plus_minus` say.
     */
    log_sigma: z.array(z.number().min(0).max(10)).max(MOST_NAMES).optional(),
    /** The numbers as they were before any burn was told of, to go back to where burns contradict each other. */
    before: z.record(
      z.string().max(60),
      z.strictObject({ value: z.number(), plus_minus: z.number().min(0).nullable(), basis: z.string() }),
    ),
    /** By what the squared errors of what is told are multiplied: more than 1 once burns have contradicted each other. */
    doubt: z.number().min(1).max(1e9),
  })
  .refine(
    ({ names, correlation }) =>
      correlation.length === names.length && correlation.every((row) => row.length === names.length),
    { error: 'a row and a column of correlation for each name', path: ['correlation'] },
  )
  .refine(({ names, log_sigma }) => log_sigma === undefined || log_sigma.length === names.length, {
    error: 'a number for each name',
    path: ['log_sigma'],
  })
  .refine(({ names: [power, width] }) => power === 'optical_power' && width === 'spot_width', {
    error: 'optical_power and spot_width before all others',
    path: ['names'],
  });

export type Together = z.infer<typeof learnedSchema>;

/** One burn that was told of. */
export const burnEntrySchema = z.strictObject({
  date: z.string().max(40),
  /** The job's file name, and the beginning of its SHA-256. */
  job: z.string().max(300),
  job_hash: z.string().max(64),
  machine: z.string().max(200),
  /** What was said of it. */
  said: z.string().max(1000),
  /** What was learned from it, with before and after. */
  learned: z.string().max(2000),
  /**
   * By how much of what the machine's profile says this burn moved what is known of its power and spot; left out: it
   * teaches nothing of them, or was taken back, or the machine's profile has them in its own numbers.
   */
  moved: z.strictObject({ optical_power_percent: z.number(), spot_width_percent: z.number() }).optional(),
});

export type BurnEntry = z.infer<typeof burnEntrySchema>;
