import { type Outcome, ROW_MM, topSpeedMmPerS, type Use, type Work, wattsAt } from '../burn/speed-power.ts';
import { crossedRows, layHatches } from '../findings/evidence/hatches.ts';
import { lineEnergies } from '../findings/evidence/line-energy.ts';
import { isOfLines, type RowLines } from '../findings/evidence/row-lines.ts';
import { measuredShape, useOfRows } from '../findings/evidence/rows-use.ts';
import { isMostlySlow, surveyOperations, timesFullSpeed } from '../findings/evidence/survey.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
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
  /** Whether it is lines side by side, too far apart to be seen as one area: this is what they come out as, not the area. */
  readonly isOfLines: boolean;
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
  const hatches = hatchesAtFeed(program, setup.machine);
  return program.operations
    .map((operation, k) => ({ operation, hatch: hatches[k]! }))
    .filter(({ operation: { sMax, feedMmPerS } }) => sMax > 0 && feedMmPerS > 0)
    .map(({ operation, hatch }) => ({
      ...pointOf(program, operation, hatch, setup, sureness),
      slowTimes: slowTimesOf(operation),
    }));
}

/** The rows of each operation, and what crosses them, each at its feed and greatest S. */
function hatchesAtFeed(program: Program, { laser }: Machine): readonly RowLines[][] {
  const lineJPerMm = new Map(
    program.operations.map(({ n, passes, sMax, feedMmPerS }) => [
      n,
      feedMmPerS > 0 ? (passes * wattsAt(laser, shareOf(sMax, laser))) / feedMmPerS : 0,
    ]),
  );
  return layHatches(program).map((laid, k) =>
    crossedRows(laid, program.operations[k]!, (n) => lineJPerMm.get(n)!),
  );
}

const shareOf = (s: number, { s_max }: Machine['laser']): number => Math.min(1, s / s_max);

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
  hatch: readonly RowLines[],
  setup: PointSetup,
  sureness: Sureness,
): Omit<ChartPoint, 'slowTimes'> {
  const { rowLengthMm: _, motion: _unused, ...bench } = setup;
  const { machine } = bench;
  const use = useOf(program, operation, hatch, setup);
  const z = headZMm(program, operation);
  const work: Work = { ...bench, use, passes: operation.passes, headZMm: z };
  const share = (s: number): number => shareOf(s, machine.laser);
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
    isOfLines: isOfLines(program, operation, hatch[0] ?? null, machine.spot),
    sure: sureness.sure,
  };
}

function useOf(
  program: Program,
  operation: Operation,
  hatch: readonly RowLines[],
  { machine, rowLengthMm }: PointSetup,
): Use {
  if (operation.kind === 'outline') return { kind: 'line' };
  const rows = hatch[0];
  const spacingMm = Number((rows?.spacingMm ?? usualRowSpacingMm(machine.spot)).toFixed(4));
  if (!rows) return { kind: 'rows', rowSpacingMm: spacingMm, rowLengthMm: rowLengthMm ?? ROW_MM };
  const shapeOf = measuredShape(program, operation, hatch);
  return useOfRows({ ...rows, spacingMm }, (each) => {
    const shape = shapeOf(each);
    return { ...shape, rowLengthMm: rowLengthMm ?? shape.rowLengthMm };
  });
}
