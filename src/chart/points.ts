import { type Outcome, ROW_MM, topSpeedMmPerS, type Use, type Work, wattsAt } from '../burn/speed-power.ts';
import { lineEnergies } from '../findings/evidence/line-energy.ts';
import { measureRows } from '../findings/evidence/row-lines.ts';
import { isMostlySlow, surveyOperations, timesFullSpeed } from '../findings/evidence/survey.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import { headZMm } from '../program/operations.ts';
import type { Operation, Program } from '../program/program.ts';
import { type ComesThrough, SURE, type Sureness, startSureness } from '../sure/come-through.ts';
import type { Engraved } from '../sure/engraved.ts';
import { comesThroughAt, engravedAt } from '../sure/settings.ts';
import { speedPowerInRows } from '../warmth/rows.ts';
import { usualRowSpacingMm } from './row-spacing.ts';

/** One operation of a job as a place on the chart, and what comes of it there. */
export interface ChartPoint {
  readonly operation: Operation;
  /** Rows at their own spacing and lines, burned as often as the job burns them. */
  readonly work: Work;
  /** The programmed feed, or the machine's top speed where that is slower. */
  readonly speedMmPerS: number;
  /** Shares of full power of the operation's least and greatest S, at most 1. */
  readonly leastPower: number;
  readonly power: number;
  /** At the greatest S, all passes together. */
  readonly outcome: Outcome;
  /** How sure it is to cut through at the greatest S; null where the thickness is not known. */
  readonly comesThrough: ComesThrough | null;
  /** Between what tones and depths it comes out on such boards. */
  readonly engraved: Engraved;
  /** The part of such boards that is enough. */
  readonly sure: number;
  /**
   * Where the head hardly ever comes up to the feed: what constant power gives there, as a multiple of the point's dose. Null
   * where it does, where proportional power follows, and where nobody looked.
   */
  readonly slowTimes: number | null;
}

/** What all points of a job share. */
interface PointSetup extends Omit<Work, 'use' | 'passes' | 'headZMm'> {
  /** How long to take rows to be, mm; left out: as long as they are. */
  readonly rowLengthMm?: number;
  /** How the head runs; left out: nobody looks whether it comes up to the feed. */
  readonly motion?: Motion;
}

/**
 * Every operation of a program that burns at a feed, in the order burned, as a place on the chart.
 * @returns speeds in mm/s, powers as shares of full power.
 */
export function pointsOf(program: Program, setup: PointSetup, sure: number = SURE): ChartPoint[] {
  const sureness = startSureness(setup.material, setup.machine, setup, sure);
  const slowTimesOf = setup.motion ? slowTimes(setup.motion, setup.machine) : () => null;
  return program.operations
    .filter(({ sMax, feedMmPerS }) => sMax > 0 && feedMmPerS > 0)
    .map((operation) => ({
      ...pointOf(program, operation, setup, sureness),
      slowTimes: slowTimesOf(operation),
    }));
}

/** As it says in {@link ChartPoint}. */
function slowTimes(motion: Motion, machine: Machine): (operation: Operation) => number | null {
  const law = powerLaw(machine.laser);
  const { operations } = motion.program;
  const energies = lineEnergies(motion, machine, law);
  const survey = surveyOperations(motion, operations.length, energies, law, machine.laser.s_max);
  return ({ n, powerMode }) =>
    powerMode === 'constant' && isMostlySlow(survey, n) ? timesFullSpeed(survey, n) : null;
}

function pointOf(
  program: Program,
  operation: Operation,
  setup: PointSetup,
  sureness: Sureness,
): Omit<ChartPoint, 'slowTimes'> {
  const { rowLengthMm: _, motion: _unused, ...bench } = setup;
  const { machine } = bench;
  const use = useOf(program, operation, setup);
  const z = headZMm(program, operation);
  const work: Work = { ...bench, use, passes: operation.passes, headZMm: z };
  const share = (s: number): number => Math.min(1, s / machine.laser.s_max);
  const speedMmPerS = Math.min(operation.feedMmPerS, topSpeedMmPerS(work));
  const power = share(operation.sMax);
  const answers = speedPowerInRows(work);
  const watts = wattsAt(machine.laser, power);
  return {
    operation,
    work,
    speedMmPerS,
    leastPower: share(operation.sMin),
    power,
    outcome: answers.outcome(speedMmPerS, watts),
    comesThrough: comesThroughAt(answers, sureness, speedMmPerS, watts),
    engraved: engravedAt(answers, sureness, speedMmPerS, watts),
    sure: sureness.sure,
  };
}

function useOf(program: Program, operation: Operation, { machine, rowLengthMm }: PointSetup): Use {
  if (operation.kind === 'outline') return { kind: 'line' };
  const rows = measureRows(program, operation);
  const spacingMm = rows?.spacingMm ?? usualRowSpacingMm(machine.spot);
  const measuredMm = rows && rows.longestMm > 0 ? Number(rows.longestMm.toPrecision(2)) : ROW_MM;
  return {
    kind: 'rows',
    rowSpacingMm: Number(spacingMm.toFixed(4)),
    rowLengthMm: rowLengthMm ?? measuredMm,
    ...(rows ? { rowCount: rows.count, overscanMm: overscanMm(program, operation, rows.count) } : {}),
  };
}

/** How far the head runs dark beyond an end of a row, mm: half of what it runs dark for each row. */
function overscanMm({ moves }: Program, { firstMove, lastMove }: Operation, rows: number): number {
  let darkMm = 0;
  for (let i = firstMove + 1; i <= lastMove; i++) {
    if (burnsAtFeed(moves, i)) continue;
    darkMm += Math.hypot(moves.xMm[i]! - moves.xMm[i - 1]!, moves.yMm[i]! - moves.yMm[i - 1]!);
  }
  return Number((darkMm / (2 * rows)).toPrecision(2));
}
