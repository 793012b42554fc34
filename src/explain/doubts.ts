import type { Machine } from '../machine/profile.ts';
import { MM_PER_INCH, mmPerSToMmPerMin } from '../units.ts';
import { feedWords, numberWords } from '../words.ts';

/**
 * Values that no engraver of a hobby or a small shop has, each with the slip it looks like. All bounds: common
 * practice, no source; they lie well outside what such machines do, and only make a person look again.
 */

/** Light of a diode, or of any shorter wave than a gas tube's, and of a tube, W. */
const STRONGEST_W = 100;
const STRONGEST_TUBE_W = 500;
const TUBE_NM = 5000;
const WEAKEST_W = 0.02;
/** A beam of this much light may be told in mW. */
const IN_MW = 1000;

const SPOT_MM = [0.01, 2] as const;
const MM_PER_MICRON = 0.001;

/** Top speeds along x and y: belts and screws; a scanning mirror's 1 m/s and more is asked about. */
const SPEED_MM_S = [8, 1500] as const;
const ACCELERATION_MM_S2 = [5, 50_000] as const;
const BED_MM = [30, 5000] as const;
const S_PER_MIN = 60;

type Range = readonly [least: number, most: number];
const isWithin = ([least, most]: Range, value: number): boolean => value >= least && value <= most;

/**
 * What in a machine looks like a slip: `a spot of 80 × 100 mm (0.08 × 0.1 mm, given in µm?)`; none in a usual one.
 * Clauses without a full stop, for a sentence about the machine.
 */
export const doubtsOf = (machine: Machine): string[] =>
  [
    powerDoubt(machine),
    spotDoubt(machine),
    ...speedDoubts(machine),
    ...accelerationDoubts(machine),
    bedDoubt(machine),
  ].filter((doubt) => doubt !== null);

/** The doubts as one sentence to read before a forecast; null: there are none. */
export function doubtSentence(machine: Machine): string | null {
  const doubts = doubtsOf(machine);
  return doubts.length === 0 ? null : `Look again at the machine profile: it has ${doubts.join('; ')}.`;
}

function powerDoubt({ laser }: Machine): string | null {
  const { optical_power_w: watts, wavelength_nm: nm } = laser;
  const found = `${numberWords(watts)} W of light`;
  if (watts < WEAKEST_W) return `${found} (${numberWords(watts * 1000)} W, given in kW?)`;
  if (watts <= (nm < TUBE_NM ? STRONGEST_W : STRONGEST_TUBE_W)) return null;
  if (watts >= IN_MW) return `${found} (${numberWords(watts / 1000)} W, given in mW?)`;
  return `${found} (is that the electrical power? a diode gives less than half of it as light)`;
}

function spotDoubt({ spot }: Machine): string | null {
  const widths = spot.width_mm;
  if (widths.every((mm) => isWithin(SPOT_MM, mm))) return null;
  const words = (factor = 1) => `${widths.map((mm) => numberWords(mm * factor)).join(' × ')} mm`;
  return `a spot of ${words()} ${slip(widths, SPOT_MM, [
    [MM_PER_MICRON, `${words(MM_PER_MICRON)}, given in µm?`],
    [MM_PER_INCH, `${words(MM_PER_INCH)}, given in inches?`],
  ])}`;
}

/** The first slip that brings all values into the usual range, in parentheses; else a plain question. */
function slip(
  values: readonly number[],
  usual: Range,
  slips: readonly (readonly [factor: number, words: string])[],
): string {
  const likely = slips.find(([factor]) => values.every((value) => isWithin(usual, value * factor)));
  return `(${likely ? likely[1] : `usual are ${usual.map((value) => numberWords(value, 5)).join(' to ')}; is the unit right?`})`;
}

/** x and y together where both are the same and both in doubt. */
function overAxes(
  values: readonly [number, number, number],
  usual: Range,
  say: (value: number, axes: string) => string,
): string[] {
  const [x, y] = values;
  if (x === y) return isWithin(usual, x) ? [] : [say(x, 'x and y')];
  return (['x', 'y'] as const).flatMap((axis, k) =>
    isWithin(usual, values[k]!) ? [] : [say(values[k]!, axis)],
  );
}

const speedDoubts = ({ max_speed_mm_s }: Machine): string[] =>
  overAxes(max_speed_mm_s, SPEED_MM_S, (speed, axes) => {
    const isSlow = speed < SPEED_MM_S[0];
    const found = isSlow ? feedWords(speed) : `${numberWords(speed, 4)} mm/s`;
    const asPerMin = `${numberWords(mmPerSToMmPerMin(speed), 4)} mm/s, given as mm/min?`;
    const asPerS = `${numberWords(speed / S_PER_MIN, 4)} mm/s, that is mm/min given as mm/s?`;
    return `a top speed of ${found} along ${axes} ${slip([speed], SPEED_MM_S, [
      isSlow ? [S_PER_MIN, asPerMin] : [1 / S_PER_MIN, asPerS],
    ])}`;
  });

const accelerationDoubts = ({ acceleration_mm_s2 }: Machine): string[] =>
  overAxes(acceleration_mm_s2, ACCELERATION_MM_S2, (mmPerS2, axes) => {
    const perMin = numberWords(mmPerS2 / S_PER_MIN ** 2, 4);
    return `an acceleration of ${numberWords(mmPerS2, 7)} mm/s² along ${axes} ${slip(
      [mmPerS2],
      ACCELERATION_MM_S2,
      [
        [1 / S_PER_MIN ** 2, `${perMin} mm/s², given in mm/min²?`],
        [1000, `${numberWords(mmPerS2 * 1000, 4)} mm/s², given in m/s²?`],
      ],
    )}`;
  });

function bedDoubt({ work_area_mm: bed }: Machine): string | null {
  if (bed.every((mm) => isWithin(BED_MM, mm))) return null;
  const words = (factor: number) => `${bed.map((mm) => numberWords(mm * factor, 6)).join(' × ')} mm`;
  return `a bed of ${words(1)} ${slip(bed, BED_MM, [
    [MM_PER_INCH, `${words(MM_PER_INCH)}, given in inches?`],
    [10, `${words(10)}, given in cm?`],
    [MM_PER_MICRON, `${words(MM_PER_MICRON)}, given in µm?`],
  ])}`;
}
