import { firedNeed } from '../burn/firing.ts';
import { ROW_MM, type SpeedPower, speedPower, type Use, type Work } from '../burn/speed-power.ts';
import { phi } from '../dose/normal.ts';
import { meanWidthMm, widthAcrossMm } from '../laser/spot.ts';
import { lately } from '../lately.ts';
import type { Machine } from '../machine/profile.ts';
import { moveDurationS, peakSpeed, rampMm } from '../motion/trapezoid.ts';
import { sigmaFromWidthMm } from '../units.ts';
import { skinShare } from './depth-kernel.ts';
import { type HeatOfWood, heatOfWood } from './heat-of-wood.ts';
import { keptOf } from './kept.ts';

/**
 * What rows of a stated length do to one another, without a job: the warmth they leave and how often each fires a
 * place. What holds in the mean over a square of rows to and fro, each with the head turning at its acceleration beyond
 * its ends, as `walk-warmth.ts` finds it for such a job (tested).
 */

/** {@link speedPower}, with the warmth that rows leave and repeated firing, as a forecast has them. */
export const speedPowerInRows = (work: Work): SpeedPower =>
  speedPower(work, needTimesOfWork(work), firingsOfWork(work));

/** As how many equal firings the passes of a work count, and rows that overlap. */
const firingsOfWork = ({ machine, use, passes }: Work): number =>
  use.kind === 'line' ? passes : passes * rowFirings(machine.spot, use.rowSpacingMm);

/** How many times the need of one cool firing a place of this work has, at a speed and power. */
export function needTimesOfWork(work: Work): (speedMmPerS: number, watts: number) => number {
  const { machine, material, use, thicknessMm } = work;
  const firings = firingsOfWork(work);
  if (use.kind === 'line') return () => firedNeed(firings, 0, material);
  const heat = heatOfWood(material, machine.laser.wavelength_nm, thicknessMm);
  const kept = keptOf(heat.keeping);
  const sigmaMm = acrossSigmaMm(machine.spot);
  const warmthPerJPerMm = rowTable(machine, use, heat);
  return (speedMmPerS, watts) => {
    const lineJPerMm = watts / speedMmPerS;
    const peak = lineJPerMm / (sigmaMm * Math.sqrt(2 * Math.PI));
    const keptJPerMm = lineJPerMm * kept.ofStroke(peak);
    return firedNeed(firings, keptJPerMm * warmthPerJPerMm(speedMmPerS), material);
  };
}

/**
 * As how many equal firings rows so far apart count: (Σh)²/Σh² over their Gaussians, Σ e^(−(k·p)²/4σ²) over all whole k.
 */
export function rowFirings(spot: Work['machine']['spot'], rowSpacingMm: number): number {
  const sigmaMm = acrossSigmaMm(spot);
  let sum = 1;
  for (let k = 1; k * rowSpacingMm < 8 * sigmaMm; k++)
    sum += 2 * Math.exp(-((k * rowSpacingMm) ** 2) / (4 * sigmaMm * sigmaMm));
  return sum;
}

/** Rows run along x. */
const acrossSigmaMm = (spot: Work['machine']['spot']): number => sigmaFromWidthMm(widthAcrossMm(spot, 1, 0));

/** The last row is felt at so many places along the new one, each as long ago as it is; those before by their mean. */
const PLACES = 24;
/** Rows before the new one that are asked place by place. */
const NEAR_ROWS = 6;

type Rows = Use & { readonly kind: 'rows' };

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
  const {
    rowSpacingMm,
    rowLengthMm = ROW_MM,
    rowCount = Math.round(rowLengthMm / rowSpacingMm),
    overscanMm,
  } = use;
  const sigma2 = sigmaFromWidthMm(meanWidthMm(machine.spot)) ** 2;
  const rows = Math.max(1, rowCount);
  /** What a row so old and so far away, of which `part` is near enough, gives. */
  const felt = (k: number, ageS: number, part: (sigmaMm: number) => number): number => {
    const variance = sigma2 + 2 * heat.diffusivityMm2PerS * ageS;
    const across = Math.exp(-((k * rowSpacingMm) ** 2) / (2 * variance)) / Math.sqrt(2 * Math.PI * variance);
    return across * part(Math.sqrt(variance)) * skinShare(heat, ageS);
  };
  /** Mean over a row of how much of it is near enough. */
  const partOfRow = (sigmaMm: number): number => {
    const reach = rowLengthMm / sigmaMm;
    const ends = (Math.sqrt(2 / Math.PI) * (1 - Math.exp((-reach * reach) / 2))) / reach;
    return 2 * phi(reach) - 1 - ends;
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
      sum += (to - from) * share(k) * felt(k, k * rowS, partOfRow);
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
