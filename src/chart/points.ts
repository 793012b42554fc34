import { passesToCut } from '../burn/settings-for.ts';
import {
  beamOf,
  type Outcome,
  speedPower,
  topSpeedMmPerS,
  type Use,
  type Work,
  wattsAt,
} from '../burn/speed-power.ts';
import { measureRows } from '../findings/evidence/row-lines.ts';
import { headZMm } from '../program/operations.ts';
import type { Operation, Program } from '../program/program.ts';
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
  /** How many passes at the greatest S cut through; null where the thickness is not known or none do. */
  readonly passesToCut: number | null;
}

/** What all points of a job share. */
type PointSetup = Omit<Work, 'use' | 'passes' | 'headZMm'>;

/**
 * Every operation of a program that burns at a feed, in the order burned, as a place on the chart.
 * @returns speeds in mm/s, powers as shares of full power.
 */
export const pointsOf = (program: Program, setup: PointSetup): ChartPoint[] =>
  program.operations
    .filter(({ sMax, feedMmPerS }) => sMax > 0 && feedMmPerS > 0)
    .map((operation) => pointOf(program, operation, setup));

function pointOf(program: Program, operation: Operation, setup: PointSetup): ChartPoint {
  const { machine, material, thicknessMm } = setup;
  const use = useOf(program, operation, setup);
  const z = headZMm(program, operation);
  const work: Work = { ...setup, use, passes: operation.passes, headZMm: z };
  const share = (s: number): number => Math.min(1, s / machine.laser.s_max);
  const speedMmPerS = Math.min(operation.feedMmPerS, topSpeedMmPerS(work));
  const power = share(operation.sMax);
  const outcome = speedPower(work).outcome(speedMmPerS, wattsAt(machine.laser, power));
  const cutPasses =
    thicknessMm === null
      ? Infinity
      : passesToCut(
          outcome.doseJPerMm2 / operation.passes,
          outcome.dwellS,
          thicknessMm,
          material,
          beamOf(machine, z),
        );
  return {
    operation,
    work,
    speedMmPerS,
    leastPower: share(operation.sMin),
    power,
    outcome,
    passesToCut: Number.isFinite(cutPasses) ? cutPasses : null,
  };
}

function useOf(program: Program, operation: Operation, { machine }: PointSetup): Use {
  if (operation.kind === 'outline') return { kind: 'line' };
  const measured = measureRows(program, operation)?.spacingMm ?? usualRowSpacingMm(machine.spot);
  return { kind: 'rows', rowSpacingMm: Number(measured.toFixed(4)) };
}
