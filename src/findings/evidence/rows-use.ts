import { type CrossingUse, ROW_MM, type RowsUse } from '../../burn/speed-power.ts';
import { burnsAtFeed } from '../../program/beam-on.ts';
import type { Operation, Program } from '../../program/program.ts';
import type { CrossingLines, RowLines } from './row-lines.ts';

/** How long rows are and how many; what is left out is not told of them. */
type Shape = Pick<RowsUse, 'rowLengthMm' | 'rowCount' | 'overscanMm'>;

/** What is told of rows, and of those that cross them. */
export type ShapeOf = (rows: RowLines | CrossingLines) => Shape;

/** Rows of a job as a use of the beam, with what crosses them. */
export function useOfRows(rows: RowLines, shapeOf: ShapeOf): RowsUse {
  const { ux, uy, spacingMm, crossing = [] } = rows;
  const crossingUse = (other: CrossingLines): CrossingUse => ({
    ux: ux * other.ux + uy * other.uy,
    uy: ux * other.uy - uy * other.ux,
    rowSpacingMm: other.spacingMm,
    meanTimes: other.meanTimes,
    ...shapeOf(other),
  });
  return {
    kind: 'rows',
    rowSpacingMm: spacingMm!,
    ...shapeOf(rows),
    ...(crossing.length > 0 && { crossing: crossing.map(crossingUse) }),
  };
}

/** How rows of an operation lie in its job, to two digits. */
export function measuredShape(
  program: Program,
  operation: Operation,
  hatch: readonly RowLines[],
): (rows: RowLines | CrossingLines) => Required<Shape> {
  const all = hatch.reduce((sum, { count }) => sum + count, 0);
  const overscanMm = toTwoDigits(darkMm(program, operation) / (2 * all));
  return ({ longestMm, count }) => ({
    rowLengthMm: longestMm > 0 ? toTwoDigits(longestMm) : ROW_MM,
    rowCount: count,
    overscanMm,
  });
}

const toTwoDigits = (value: number): number => Number(value.toPrecision(2));

/** How far the head runs dark between its rows, mm: beyond both ends of each. */
function darkMm({ moves }: Program, { firstMove, lastMove }: Operation): number {
  let sum = 0;
  for (let i = firstMove + 1; i <= lastMove; i++) {
    if (burnsAtFeed(moves, i)) continue;
    sum += Math.hypot(moves.xMm[i]! - moves.xMm[i - 1]!, moves.yMm[i]! - moves.yMm[i - 1]!);
  }
  return sum;
}
