import { greatestOf, leastOf } from '../../lists.ts';
import { alongDirection } from '../../motion/limits.ts';
import { tenthAbove } from '../phrases.ts';
import type { Evidence } from './evidence.ts';
import { fitWords, overhang } from './overhang.ts';
import type { RowLines } from './row-lines.ts';
import { boundsOf } from './survey.ts';

/** Overscan to leave, over the bare v²/2a: row ends are rounded to hundredths and belts give a little. */
const SPARE = 1.07;

/** The way the head needs to come up to a speed, mm: v²/2a; and the overscan to leave for it. */
export function runUp(speedMmPerS: number, accelMmPerS2: number) {
  const neededMm = (speedMmPerS * speedMmPerS) / (2 * accelMmPerS2);
  return { neededMm, overscanMm: tenthAbove(neededMm * SPARE) };
}

/** The same for the rows of an operation: of several directions that which needs most. */
export function rowsRunUp({ machine }: Evidence, rows: readonly RowLines[], speedMmPerS: number) {
  const accels = rows.map(({ ux, uy }) => alongDirection(machine.acceleration_mm_s2, ux, uy, 0));
  const accelMmPerS2 = leastOf(accels);
  return { ...runUp(speedMmPerS, accelMmPerS2), accelMmPerS2 };
}

/** Where the bed has no room for that overscan: how to make some. */
export function roomWords(
  evidence: Evidence,
  n: number,
  rows: readonly RowLines[],
  overscanMm: number,
): string {
  const [width, height] = evidence.machine.work_area_mm;
  const bed = { minXMm: 0, minYMm: 0, maxXMm: width, maxYMm: height };
  const burned = boundsOf(evidence.survey, n);
  if (overhang(burned, bed, 0)) return ''; // told by off-bed
  const alongXMm = overscanMm * greatestOf(rows.map(({ ux }) => Math.abs(ux)));
  const alongYMm = overscanMm * greatestOf(rows.map(({ uy }) => Math.abs(uy)));
  const reach = {
    minXMm: burned.minXMm - alongXMm,
    minYMm: burned.minYMm - alongYMm,
    maxXMm: burned.maxXMm + alongXMm,
    maxYMm: burned.maxYMm + alongYMm,
  };
  return overhang(reach, bed, 0.01) ? ` ${fitWords(reach, bed, 'job', 'bed')}` : '';
}
