import { SLOWEST_MM_PER_S } from '../burn/settings-for.ts';
import { ROW_MM, type SpeedPower, topSpeedMmPerS, type Use, type Work } from '../burn/speed-power.ts';
import { defocus } from '../laser/spot.ts';
import { leastOf } from '../lists.ts';
import { SURE, type Sureness, startSureness } from '../sure/come-through.ts';
import { fastestForSure } from '../sure/settings.ts';
import { mmPerMinToMmPerS, mmPerSToMmPerMin } from '../units.ts';
import { speedPowerInRows } from '../warmth/rows.ts';
import { type CutCurve, cutCurveOf, type DoseCurve, doseCurveOf, type Edge, edgesOf } from './curves.ts';
import type { ChartPoint } from './points.ts';

/**
 * The speed–power chart as plain data: for each use of the beam (single lines, rows so far apart) one panel with
 * the edges of the regions, curves of equal dose, and the operations of a job. Pictures only draw it.
 */
export interface Chart {
  readonly panels: readonly ChartPanel[];
  /** Operations whose row spacing or passes got no panel: more than {@link MOST_PANELS} would be too many. */
  readonly leftOut: number;
  /** The part of such boards that come through where the chart says *cut*. */
  readonly sure: number;
}

export const MOST_PANELS = 4;

export interface ChartPanel {
  readonly work: Work;
  /** Both ends of the speed axis, mm/s; the upper one is the machine's top speed. */
  readonly speedsMmPerS: readonly [number, number];
  /** Full power and the least that gives light, as shares: below it nothing is marked. */
  readonly leastPower: number;
  readonly edges: readonly Edge[];
  readonly doses: readonly DoseCurve[];
  /** Cutting with more passes than the panel's own. */
  readonly cuts: readonly CutCurve[];
  readonly points: readonly ChartPoint[];
}

/** The axis spans at least this ratio of speeds … */
const LEAST_SPAN = 30;
/** … and shows this much beyond the slowest thing on it. */
const ROOM = 1.6;
/** Passes for which a cut's edge is drawn. */
const PASS_COUNTS = [2, 3, 5, 8];
/** Cut edges nearer together than this ratio of speeds would run into each other. */
const CUTS_APART = 1.3;

/**
 * The chart of a machine on a wood: plain data, speeds in mm/s, powers as shares of full power, doses in J/mm².
 * @param uses what to show, a panel each, besides what the points need.
 * @param points of a job, from `pointsOf`; each goes to the panel of its use. Rows burned several times get a
 *   panel of their own, whose dose is that of all passes; lines share one, with cut edges for more passes.
 * @param sure the part of such boards that must come through where a cut begins, 0.5 … 0.99.
 */
export function chartOf(
  setup: Omit<Work, 'use'>,
  uses: readonly Use[],
  points: readonly ChartPoint[] = [],
  sure: number = SURE,
): Chart {
  const works: Work[] = [];
  const add = (work: Work): void => {
    if (!works.some((known) => sameWork(known, work))) works.push(work);
  };
  // What the job burns out of focus is shown as it burns it.
  for (const use of uses)
    add({ ...setup, use, headZMm: points.find((p) => sameUse(p.work.use, use))?.work.headZMm ?? 0 });
  for (const point of points) add(panelWork(point, setup));
  const shown = works.slice(0, MOST_PANELS).sort((a, b) => order(a) - order(b));
  const pointsFor = (work: Work) => points.filter((point) => sameWork(panelWork(point, setup), work));
  const shownPoints = shown.map(pointsFor);
  const answers = shown.map(speedPowerInRows);
  const sureness = startSureness(setup.material, setup.machine, setup, sure);
  const slowest = axisStart(answers, sureness, shownPoints.flat());
  return {
    panels: answers.map((each, k) => panelOf(each, sureness, slowest, shownPoints[k]!)),
    leftOut: points.length - shownPoints.flat().length,
    sure,
  };
}

/** Rows before lines, near rows before far ones, few passes before many. */
const order = ({ use, passes }: Work): number =>
  (use.kind === 'rows' ? use.rowSpacingMm : 1e6) + passes * 1e-6;

/** Rows keep their passes, since their tone is what matters; lines go by the chart's. */
const panelWork = ({ work }: ChartPoint, { passes }: Omit<Work, 'use'>): Work =>
  work.use.kind === 'rows' ? work : { ...work, passes };

function sameWork(a: Work, b: Work): boolean {
  if (a.passes !== b.passes || !sameUse(a.use, b.use)) return false;
  // Out of focus the same settings burn another way.
  const [width, other] = [a, b].map(({ machine, headZMm = 0 }) => defocus(machine.spot, headZMm));
  return Math.abs(width! - other!) <= SAME_WIDTH * width!;
}

function sameUse(a: Use, b: Use): boolean {
  if (a.kind === 'line' || b.kind === 'line') return a.kind === b.kind;
  const [length, other] = [a, b].map(({ rowLengthMm = ROW_MM }) => rowLengthMm);
  const [crossing, others] = [a, b].map(({ crossing: across = [] }) => across);
  return (
    isNear(a.rowSpacingMm, b.rowSpacingMm) &&
    Math.max(length! / other!, other! / length!) <= SAME_LENGTH &&
    crossing!.length === others!.length &&
    crossing!.every((each, k) => {
      const theirs = others![k]!;
      return isNear(each.rowSpacingMm, theirs.rowSpacingMm) && isNear(each.meanTimes, theirs.meanTimes);
    })
  );
}

const isNear = (a: number, b: number): boolean => Math.abs(a - b) <= SAME_SPACING * a;

/** One start for all panels: a round speed that leaves the cut, every point and enough of everything in sight. */
function axisStart(
  answers: readonly SpeedPower[],
  sureness: Sureness,
  points: readonly ChartPoint[],
): number {
  const wanted = answers.flatMap((each) => {
    const full = each.work.machine.laser.optical_power_w;
    const cut = fastestForSure(each, sureness, full) / ROOM;
    const char = each.fastest('char', full) / ROOM;
    return cut > 0 ? [char, cut] : [char];
  });
  const slowestPoint = points.map(({ speedMmPerS }) => speedMmPerS / ROOM);
  const start = Math.max(SLOWEST_MM_PER_S, leastOf(wanted));
  const tops = answers.map((each) => topSpeedMmPerS(each.work) / LEAST_SPAN);
  return roundedDown(Math.min(start, leastOf(tops), leastOf(slowestPoint)));
}

/** Rows this much alike share a panel: those half as long leave the wood a few kelvin warmer. */
const SAME_SPACING = 0.02;
const SAME_LENGTH = 2;
/** Spots this much alike burn alike. */
const SAME_WIDTH = 0.02;

/** The next number of one digit and zeros below, in mm/min. */
function roundedDown(mmPerS: number): number {
  const mmPerMin = mmPerSToMmPerMin(mmPerS);
  const power = 10 ** Math.floor(Math.log10(mmPerMin));
  return mmPerMinToMmPerS(Math.floor((mmPerMin / power) * (1 + 1e-9)) * power);
}

function panelOf(
  answers: SpeedPower,
  sureness: Sureness,
  fromMmPerS: number,
  points: readonly ChartPoint[],
): ChartPanel {
  const { work } = answers;
  const { laser } = work.machine;
  const toMmPerS = topSpeedMmPerS(work);
  return {
    work,
    speedsMmPerS: [fromMmPerS, toMmPerS],
    leastPower: laser.threshold_fraction,
    edges: edgesOf(answers, sureness),
    doses: doseSteps(answers, fromMmPerS, toMmPerS).map((dose) => doseCurveOf(answers, dose)),
    cuts: cutCurves(work, sureness, fromMmPerS, toMmPerS),
    points,
  };
}

/** Round doses, 1, 2, 5 × 10ⁿ J/mm², whose curves cross the panel well inside it. */
function doseSteps({ work, speedForDose }: SpeedPower, from: number, to: number): number[] {
  const full = work.machine.laser.optical_power_w;
  const doseAt = (speed: number, watts: number): number => speedForDose(1, watts) / speed;
  const most = doseAt(from, full) / 1.25;
  const least = doseAt(to, full * 0.25);
  const steps: number[] = [];
  for (let n = Math.floor(Math.log10(least)); 10 ** n <= most; n++) {
    for (const digit of [1, 2, 5]) {
      const dose = Number(`${digit}e${n}`);
      if (dose >= least && dose <= most) steps.push(dose);
    }
  }
  return steps;
}

/** Edges of the cut for more passes, as far as they lie on the panel and apart. Only lines are cut along. */
function cutCurves(work: Work, sureness: Sureness, from: number, to: number): CutCurve[] {
  if (work.use.kind === 'rows' || work.thicknessMm === null) return [];
  const full = work.machine.laser.optical_power_w;
  const curves: CutCurve[] = [];
  let before = fastestForSure(speedPowerInRows(work), sureness, full);
  for (const passes of PASS_COUNTS.map((count) => count * work.passes)) {
    const answers = speedPowerInRows({ ...work, passes });
    const speed = fastestForSure(answers, sureness, full);
    if (speed <= from * CUTS_APART || speed >= to || speed < before * CUTS_APART) continue;
    curves.push(cutCurveOf(answers, sureness));
    before = speed;
  }
  return curves;
}
