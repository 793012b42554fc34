import { firedNeed } from '../burn/firing.ts';
import {
  type CrossingUse,
  ROW_MM,
  type RowsUse,
  type SpeedPower,
  speedPower,
  type Work,
} from '../burn/speed-power.ts';
import { phi } from '../dose/normal.ts';
import { meanWidthMm, widthAcrossMm } from '../laser/spot.ts';
import { lately } from '../lately.ts';
import type { Machine, Spot } from '../machine/profile.ts';
import { moveDurationS, peakSpeed, rampMm } from '../motion/trapezoid.ts';
import { sigmaFromWidthMm } from '../units.ts';
import { skinShare } from './depth-kernel.ts';
import { type HeatOfWood, heatOfWood } from './heat-of-wood.ts';
import { keptOf, keptOfStroke } from './kept.ts';

/**
 * What rows of a stated length do to one another, without a job: the warmth they leave and how often each fires a
 * place. What holds in the mean over a square of rows to and fro, each with the head turning at its acceleration beyond
 * its ends, as `walk-warmth.ts` finds it for such a job (tested).
 */

/** {@link speedPower}, with the warmth that rows leave and repeated firing, as a forecast has them. */
export const speedPowerInRows = (work: Work): SpeedPower =>
  speedPower(work, needTimesOfWork(work), firingsOfWork(work));

/**
 * As how many equal firings the passes of a work count, and rows that overlap or cross: <(Σh)²>/<Σh²> over an area, to which
 * rows of different directions add what their means give together.
 */
export function firingsOfWork({
  machine: { spot },
  use,
  passes,
}: Pick<Work, 'machine' | 'use' | 'passes'>): number {
  if (use.kind === 'line') return passes;
  let [alone, together, sharesSquared] = [0, 0, 0];
  for (const { rows, share } of directionsOf(use)) {
    // <h²> of rows that do not overlap, over their mean squared.
    const squares = rows.rowSpacingMm / (2 * Math.sqrt(Math.PI) * acrossSigmaMm(spot, rows));
    alone += share ** 2 * squares;
    together += share ** 2 * squares * rowFirings(spot, rows.rowSpacingMm, rows);
    sharesSquared += share ** 2;
  }
  return (passes * (together + 1 - sharesSquared)) / alone;
}

/** The rows of one direction: what they leave of the mean dose, and of line energy for each of that of the first. */
interface Direction {
  readonly rows: Rows;
  readonly share: number;
  readonly lineTimes: number;
}

/** Rows run along x, and what crosses them as it is said. */
type Rows = Omit<CrossingUse, 'meanTimes'>;

function directionsOf(use: RowsUse): Direction[] {
  const own = { ...use, ux: 1, uy: 0, meanTimes: 1 };
  const all = [own, ...(use.crossing ?? [])];
  const whole = all.reduce((sum, { meanTimes }) => sum + meanTimes, 0);
  return all.map((rows) => ({
    rows,
    share: rows.meanTimes / whole,
    lineTimes: (rows.meanTimes * rows.rowSpacingMm) / own.rowSpacingMm,
  }));
}

/** How many times the need of one cool firing a place of this work has, at a speed and power. */
export function needTimesOfWork(work: Work): (speedMmPerS: number, watts: number) => number {
  const { machine, material, use, thicknessMm } = work;
  const firings = firingsOfWork(work);
  if (use.kind === 'line') return () => firedNeed(firings, 0, material);
  const heat = heatOfWood(material, machine.laser.wavelength_nm, thicknessMm);
  const kept = keptOf(heat.keeping);
  const directions = directionsOf(use).map((each) => ({
    ...each,
    sigmaMm: acrossSigmaMm(machine.spot, each.rows),
    own: rowTable(machine, each.rows, heat),
  }));
  const all = directions.map(({ rows }) => rows);
  const lingering = pairsOf(directions.length).map(([before, after]) => ({
    before: directions[before]!,
    share: directions[after]!.share,
    of: startTable(lingeringWarmth(machine, all.slice(before, after + 1), heat)),
  }));
  return (speedMmPerS, watts) => {
    const keptJPerMm = ({ lineTimes, sigmaMm }: (typeof directions)[number]): number => {
      const lineJPerMm = (lineTimes * watts) / speedMmPerS;
      return lineJPerMm * keptOfStroke(kept, lineJPerMm / (sigmaMm * Math.sqrt(2 * Math.PI)));
    };
    const own = sumOf(directions, (each) => each.share * keptJPerMm(each) * each.own(speedMmPerS));
    const left = sumOf(
      lingering,
      ({ before, share, of }) => ((share * keptJPerMm(before)) / before.rows.rowSpacingMm) * of(speedMmPerS),
    );
    return firedNeed(firings, own + left, material);
  };
}

const sumOf = <T>(list: readonly T[], of: (each: T) => number): number =>
  list.reduce((sum, each) => sum + of(each), 0);

/** Each of so many with each that comes after it. */
const pairsOf = (count: number): [before: number, after: number][] =>
  Array.from({ length: count }, (_, after) =>
    Array.from({ length: after }, (_, before): [number, number] => [before, after]),
  ).flat();

/** Ages at which what is left of earlier rows is asked: so many places of either direction, evenly over its time. */
const TIMES = 6;

/**
 * Mean warmth, K, on the last of several directions that are burned one after the other, for each J/mm² that the first has
 * left in the wood: its area as a whole, from as long ago as its rows and these are burned.
 */
function lingeringWarmth(
  machine: Machine,
  directions: readonly Rows[],
  heat: HeatOfWood,
): (speedMmPerS: number) => number {
  const [first, last] = [directions[0]!, directions.at(-1)!];
  const { lengthMm, count } = sizeOf(first);
  const sigma2 = sigmaFromWidthMm(meanWidthMm(machine.spot)) ** 2;
  return (speedMmPerS) => {
    const takesS = (rows: Rows): number => {
      const size = sizeOf(rows);
      const { rowS } = timesOfRow(speedMmPerS, machine.acceleration_mm_s2[0], size.lengthMm, rows.overscanMm);
      return size.count * rowS;
    };
    const betweenS = sumOf(directions.slice(1, -1), takesS);
    const [firstS, lastS] = [takesS(first), takesS(last)];
    let sum = 0;
    for (let early = 0; early < TIMES; early++) {
      for (let late = 0; late < TIMES; late++) {
        const ageS = (firstS * (early + 0.5) + lastS * (late + 0.5)) / TIMES + betweenS;
        const sigmaMm = Math.sqrt(sigma2 + 2 * heat.diffusivityMm2PerS * ageS);
        const part = partNear(lengthMm, sigmaMm) * partNear(count * first.rowSpacingMm, sigmaMm);
        sum += part * skinShare(heat, ageS);
      }
    }
    return sum / TIMES ** 2 / heat.volumetricJPerMm3K;
  };
}

/** Rows of which nobody says how long they are, or how many. */
function sizeOf({ rowSpacingMm, rowLengthMm = ROW_MM, rowCount }: Rows) {
  return {
    lengthMm: rowLengthMm,
    count: Math.max(1, rowCount ?? Math.round(rowLengthMm / rowSpacingMm)),
  };
}

/** The mean, over a length, of how much of it is near enough to be felt. */
function partNear(lengthMm: number, sigmaMm: number): number {
  const reach = lengthMm / sigmaMm;
  const ends = (Math.sqrt(2 / Math.PI) * (1 - Math.exp((-reach * reach) / 2))) / reach;
  return 2 * phi(reach) - 1 - ends;
}

/**
 * As how many equal firings rows so far apart count: (Σh)²/Σh² over their Gaussians, Σ e^(−(k·p)²/4σ²) over all whole k.
 */
export function rowFirings(spot: Spot, rowSpacingMm: number, along: Along = ALONG_X): number {
  const sigmaMm = acrossSigmaMm(spot, along);
  let sum = 1;
  for (let k = 1; k * rowSpacingMm < 8 * sigmaMm; k++)
    sum += 2 * Math.exp(-((k * rowSpacingMm) ** 2) / (4 * sigmaMm * sigmaMm));
  return sum;
}

type Along = Pick<CrossingUse, 'ux' | 'uy'>;
const ALONG_X: Along = { ux: 1, uy: 0 };

const acrossSigmaMm = (spot: Spot, { ux, uy }: Along): number =>
  sigmaFromWidthMm(widthAcrossMm(spot, ux, uy));

/** The last row is felt at so many places along the new one, each as long ago as it is; those before by their mean. */
const PLACES = 24;
/** Rows before the new one that are asked place by place. */
const NEAR_ROWS = 6;

/** {@link rowWarmth} by a table, which all rows share that differ in nothing it rests on. */
function rowTable(machine: Machine, use: Rows, heat: HeatOfWood): (speedMmPerS: number) => number {
  const { diffusivityMm2PerS, depthMm, volumetricJPerMm3K, thicknessMm } = heat;
  const { rowSpacingMm, rowLengthMm, rowCount, overscanMm } = use;
  return tablesLately(
    [
      diffusivityMm2PerS,
      depthMm,
      volumetricJPerMm3K,
      thicknessMm,
      meanWidthMm(machine.spot),
      machine.acceleration_mm_s2[0],
      rowSpacingMm,
      rowLengthMm,
      rowCount,
      overscanMm,
    ],
    () => startTable(rowWarmth(machine, use, heat)),
  );
}

const tablesLately = lately<(speedMmPerS: number) => number>(64);

/** Mean warmth, K, that 1 J of heat left on each mm of rows gives, at a speed in mm/s. */
function rowWarmth(machine: Machine, use: Rows, heat: HeatOfWood): (speedMmPerS: number) => number {
  const { rowSpacingMm, overscanMm } = use;
  const { lengthMm: rowLengthMm, count: rows } = sizeOf(use);
  const sigma2 = sigmaFromWidthMm(meanWidthMm(machine.spot)) ** 2;
  /** What a row so old and so far away, of which `part` is near enough, gives. */
  const felt = (k: number, ageS: number, part: (sigmaMm: number) => number): number => {
    const variance = sigma2 + 2 * heat.diffusivityMm2PerS * ageS;
    const across = Math.exp(-((k * rowSpacingMm) ** 2) / (2 * variance)) / Math.sqrt(2 * Math.PI * variance);
    return across * part(Math.sqrt(variance)) * skinShare(heat, ageS);
  };
  return (speedMmPerS) => {
    const { rowS, toEndS } = timesOfRow(speedMmPerS, machine.acceleration_mm_s2[0], rowLengthMm, overscanMm);
    // Over all rows, this part has one that far before it.
    const share = (k: number): number => (rows - k) / rows;
    let sum = 0;
    for (let k = 1; k < Math.min(rows, NEAR_ROWS + 1); k++) {
      for (let place = 0; place < PLACES; place++) {
        // Nearer together towards the end where the head has just turned: there heat is young.
        const atMm = ((place + 0.5) / PLACES) ** 2 * rowLengthMm;
        const width = (2 * place + 1) / (PLACES * PLACES);
        const ageS = k % 2 === 0 ? k * rowS : (k - 1) * rowS + 2 * toEndS(atMm);
        const part = (sigmaMm: number) => phi(atMm / sigmaMm) + phi((rowLengthMm - atMm) / sigmaMm) - 1;
        sum += share(k) * width * felt(k, ageS, part);
      }
    }
    // Older rows differ little from one to the next: several count as the middle one of them.
    for (let from = NEAR_ROWS + 1; from < rows; ) {
      const to = Math.min(rows, from + Math.max(1, from >> 3));
      const k = (from + to - 1) / 2;
      sum += (to - from) * share(k) * felt(k, k * rowS, (sigmaMm) => partNear(rowLengthMm, sigmaMm));
      from = to;
    }
    return sum / heat.volumetricJPerMm3K;
  };
}

/**
 * How long a row takes from one turn to the next, s, and from a place so far before its end, mm, to the turn beyond it.
 * Where the head has less room beyond the ends than it takes to turn, it slows down on the row itself, and of a short row
 * it never reaches its speed.
 */
function timesOfRow(
  speedMmPerS: number,
  accelerationMmPerS2: number,
  rowLengthMm: number,
  overscanMm = rampMm(accelerationMmPerS2, 0, speedMmPerS),
): { readonly rowS: number; readonly toEndS: (atMm: number) => number } {
  const wayMm = rowLengthMm + 2 * overscanMm;
  const peakMmPerS = peakSpeed(wayMm, accelerationMmPerS2, 0, 0, speedMmPerS);
  const brakeMm = rampMm(accelerationMmPerS2, 0, peakMmPerS);
  const rowS = moveDurationS(wayMm, accelerationMmPerS2, 0, peakMmPerS, 0);
  /** Until the head stands, so far before that place. */
  const toRestS = (mm: number): number =>
    mm < brakeMm
      ? Math.sqrt((2 * mm) / accelerationMmPerS2)
      : (mm - brakeMm) / peakMmPerS + peakMmPerS / accelerationMmPerS2;
  return {
    rowS,
    toEndS: (atMm) => {
      const leftMm = overscanMm + atMm;
      return leftMm <= wayMm / 2 ? toRestS(leftMm) : rowS - toRestS(wayMm - leftMm);
    },
  };
}

/** Speeds at which a table is made, evenly over their logarithm. */
const SLOWEST_MM_PER_S = 0.1;
const PER_E_FOLD = 3;
const SAMPLES = 31;

/** A function of speed, asked at few speeds and straight between over the logarithms of both; made when first asked. */
function startTable(of: (speedMmPerS: number) => number): (speedMmPerS: number) => number {
  const known: (number | undefined)[] = [];
  const at = (k: number): number =>
    (known[k] ??= Math.log(Math.max(1e-30, of(SLOWEST_MM_PER_S * Math.exp(k / PER_E_FOLD)))));
  return (speedMmPerS) => {
    const place = Math.min(
      SAMPLES - 1e-9,
      Math.max(0, PER_E_FOLD * Math.log(speedMmPerS / SLOWEST_MM_PER_S)),
    );
    const k = Math.floor(place);
    return Math.exp(at(k) + (at(k + 1) - at(k)) * (place - k));
  };
}
