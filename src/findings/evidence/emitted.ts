import { powerFor } from '../../burn/speed-power.ts';
import type { Operation } from '../../program/program.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';

/** What the operation emits at full speed as it stands, W. */
export function emittedW(
  { law, machine }: Evidence,
  { operation, fullSpeedMmPerS }: OperationEvidence,
): number {
  return law.watts(Math.min(operation.sMax, machine.laser.s_max), ratioOf(operation, fullSpeedMmPerS));
}

/** Proportional power whose feed is beyond the machine never comes up to S. */
export const ratioOf = ({ powerMode, feedMmPerS }: Operation, fullSpeedMmPerS: number): number =>
  powerMode === 'proportional' ? Math.min(1, fullSpeedMmPerS / feedMmPerS) : 1;

/** The duty with which it emits so many times what it does, 0 … 1 of full power. */
export const dutyFor = (evidence: Evidence, each: OperationEvidence, times: number): number =>
  powerFor(evidence.machine.laser, times * emittedW(evidence, each)) /
  ratioOf(each.operation, each.fullSpeedMmPerS);
