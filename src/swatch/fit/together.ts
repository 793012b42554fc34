import type { Together } from '../../burn/learned.ts';
import type { Material } from '../../burn/material.ts';
import { statedRelative } from '../../burn/uncertainty.ts';
import type { Machine } from '../../machine/profile.ts';
import { WOOD } from '../../sure/boards.ts';
import { logSigma } from '../../sure/draws.ts';
import { correlationOf, digits, MACHINE_NAMES, numbersOf, quantityOf } from '../../sure/together.ts';
import { isFit, type RemovalBound, type RemovalFit } from './cuts.ts';

/**
 * How what a swatch told hangs together with what it could not tell. Doses were reckoned with the power and spot of the
 * profile: by what these are off, the fitted numbers are off too, and on that machine the two make up for each other. So do
 * removal and the wall loss and moisture it was fitted with.
 * @param fitted the whole profile, whose `plus_minus` are told for the machine as it stands.
 * @returns null where nothing was told that hangs together with anything.
 */
export function toldTogether(
  fitted: Material,
  names: readonly string[],
  removal: RemovalFit | RemovalBound | null,
  { name, laser, spot, plus_minus }: Machine,
): Together | null {
  const doses = ['first_mark_j_mm2', 'full_char_j_mm2'].filter((each) => names.includes(each));
  if (doses.length === 0 && !isFit(removal)) return null;
  const [power, width] = [plus_minus.optical_power_percent / 100, plus_minus.spot_width_percent / 100].map(
    logSigma,
  ) as [number, number];
  const own = (each: string): number => {
    const quantity = quantityOf(fitted, each);
    return quantity ? logSigma(statedRelative(quantity)) : 0;
  };
  /** What each number follows, one standard deviation of each cause. */
  const causes = (each: string): Readonly<Record<string, number>> => {
    if (each === 'optical_power') return { power };
    if (each === 'spot_width') return { width };
    if (each === 'removal_j_mm3' && isFit(removal))
      return { power, width: -width, ...removal.leans, [each]: removal.ownPart };
    return doses.includes(each) ? { power, [each]: own(each) } : { [each]: own(each) };
  };
  const all = [...MACHINE_NAMES, ...WOOD];
  const rows = all.map(causes);
  const both = (a: number, b: number): number =>
    Object.entries(rows[a]!).reduce((sum, [cause, part]) => sum + part * (rows[b]![cause] ?? 0), 0);
  const covariance = all.map((_, i) => all.map((__, j) => both(i, j)));
  return {
    machine: {
      name,
      laser_power_w: laser.optical_power_w,
      spot_width_mm: [...spot.width_mm],
      optical_power_percent: { value: 0, plus_minus: plus_minus.optical_power_percent },
      spot_width_percent: { value: 0, plus_minus: plus_minus.spot_width_percent },
    },
    names: all,
    correlation: correlationOf(covariance),
    log_sigma: covariance.map((row, k) => digits(Math.sqrt(row[k]!))),
    before: numbersOf(fitted, WOOD),
    doubt: 1,
  };
}
