import { bisectLeft } from 'd3-array';
import type { Fired } from '../../burn/firing.ts';
import type { LineDose } from '../../dose/land.ts';
import type { Moves } from '../../program/program.ts';

/** What a place on a line gets, from all that the job burns there. */
export interface OnLine extends Fired {
  readonly doseJPerMm2: number;
  /** Energy-weighted mean; 0 where nothing falls. */
  readonly dwellS: number;
  /** Energy-weighted mean height of the head. */
  readonly headZMm: number;
}

/** What fell on points, of which only lines have places. */
type Fallen = Omit<LineDose, 'places'>;

/** What place k gets. */
export const doseAtPlace = ({ dose, needTimes, firings }: Fallen, k: number): OnLine =>
  onLine(
    dose.doseJPerMm2[k]!,
    dose.doseLnDwell[k]!,
    dose.lowestMm,
    dose.doseAbove ? dose.doseAbove[k]! : 0,
    needTimes ? needTimes[k]! : 1,
    firings ? firings[k]! : null,
  );

const onLine = (
  doseJPerMm2: number,
  doseLnDwell: number,
  lowestMm: number,
  doseAbove: number,
  needTimes: number,
  firings: number | null,
): OnLine => ({
  doseJPerMm2,
  dwellS: doseJPerMm2 > 0 ? Math.exp(doseLnDwell / doseJPerMm2) : 0,
  headZMm: lowestMm + (doseJPerMm2 > 0 ? doseAbove / doseJPerMm2 : 0),
  needTimes,
  firings,
});

/**
 * What a point on move i gets, straight between the two places next to it along the path; null where move i has no place.
 * Places stand as near as the grid's cells, and at every start, end and corner.
 */
export function doseOnLine(
  lines: LineDose,
  moves: Moves,
  i: number,
  xMm: number,
  yMm: number,
): OnLine | null {
  const { places } = lines;
  const { count, move, begins } = places;
  const x0 = i > 0 ? moves.xMm[i - 1]! : 0;
  const y0 = i > 0 ? moves.yMm[i - 1]! : 0;
  const fromStart = (k: number): number => Math.hypot(places.xMm[k]! - x0, places.yMm[k]! - y0);
  const at = Math.hypot(xMm - x0, yMm - y0);
  const first = bisectLeft(move, i);
  const end = bisectLeft(move, i + 1);
  if (first === end) return null;
  let low = first;
  let high = end;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (fromStart(middle) < at) low = middle + 1;
    else high = middle;
  }
  // Places on the moves before and after stand in where the stroke goes on.
  const after = low < count && (low < end || begins[low] === 0) ? low : low - 1;
  const before = after > 0 && begins[after] === 0 ? after - 1 : after;
  const between = Math.hypot(
    places.xMm[after]! - places.xMm[before]!,
    places.yMm[after]! - places.yMm[before]!,
  );
  const back = Math.hypot(places.xMm[after]! - xMm, places.yMm[after]! - yMm);
  const part = between > 0 ? Math.max(0, 1 - back / between) : 1;
  const mix = (values: Float64Array): number => values[before]! + (values[after]! - values[before]!) * part;
  const { dose, needTimes, firings } = lines;
  return onLine(
    mix(dose.doseJPerMm2),
    mix(dose.doseLnDwell),
    dose.lowestMm,
    dose.doseAbove ? mix(dose.doseAbove) : 0,
    needTimes ? mix(needTimes) : 1,
    firings ? mix(firings) : null,
  );
}
