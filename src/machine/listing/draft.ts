import { InputError } from '../../errors.ts';
import type { MachineFile, Range } from '../profile.ts';

/** What a line of a listing meant, or why it was not used. Line 0: the listing as a whole. */
export interface Remark {
  readonly line: number;
  readonly text: string;
}

/** Something told that rests on a rule: `doubt` names the choice and what else it could be. */
export interface Told extends Remark {
  readonly doubt?: { readonly choice: 'm203' | 'm205x'; readonly other: string };
}

/** A profile as it grows while a listing is read: only what the listing says. */
export interface Draft {
  readonly maxSpeedMmPerS: Axes;
  readonly accelerationMmPerS2: Axes;
  /** A limit of acceleration along the path, whatever its direction. */
  pathAccelerationMmPerS2?: number;
  /** Where the axes begin (0 unless told) and end. */
  readonly axisStartMm: Axes;
  readonly axisEndMm: Axes;
  cornering?: MachineFile['cornering'];
  arcToleranceMm?: number;
  dwellUnit?: 's' | 'ms';
  lookaheadMoves?: number;
  readonly laser: Partial<NonNullable<MachineFile['laser']>>;
  readonly told: Told[];
  /** Settings that were not used. */
  readonly unused: Remark[];
  /** Text that is no setting, and words for the unit of what follows. */
  readonly passedOver: Remark[];
}

/** x, y, z. */
export type Axes = [number | undefined, number | undefined, number | undefined];
export const AXIS_NAMES = ['x', 'y', 'z'] as const;

export const createDraft = (): Draft => ({
  maxSpeedMmPerS: [undefined, undefined, undefined],
  accelerationMmPerS2: [undefined, undefined, undefined],
  axisStartMm: [undefined, undefined, undefined],
  axisEndMm: [undefined, undefined, undefined],
  laser: {},
  told: [],
  unused: [],
  passedOver: [],
});

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)$/;

/**
 * The number of a setting.
 * @param setting how it stands in the listing, as `$110=` or `M203 X`, for the sentence
 * @param what the quantity and its unit: `a speed in mm/min`
 * @param range what it may be, in the profile's unit
 * @param unit how many of the profile's units one of the listing's is
 * @returns the number in the profile's unit
 * @throws {InputError} when it is no plain number, or outside the range.
 */
export function numberOf(
  written: string,
  setting: string,
  what: string,
  range: Range,
  unit: number,
  line: number,
): number {
  const shown = written.length > 24 ? `${written.slice(0, 24)}…` : written;
  if (!NUMBER.test(written)) {
    throw new InputError(`found ${setting}${shown}; expected ${what}, as a plain number`, { line });
  }
  const value = Number(written) * unit;
  const [least, most] = range;
  if (!(value >= least && value <= most)) {
    const limits = [least, most].map((limit) => Number((limit / unit).toPrecision(3)));
    throw new InputError(`found ${setting}${shown}; expected ${what}, from ${limits[0]} to ${limits[1]}`, {
      line,
    });
  }
  return value;
}
