import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import { asksForLight } from '../program/beam-on.ts';
import type { Operation, Program } from '../program/program.ts';

/** What the rounding of S may change, as a part of full power, before an operation must be walked again. */
const GRAIN = 1e-5;

/**
 * By what factor all that an operation emits changes when only its S are scaled; null where no one factor
 * does: under a threshold or power levels, shades and speeds change by different factors.
 * @param before the operation as it was, in its program.
 * @param after the same moves with their S scaled and rounded.
 * @param scale by which S was multiplied before it was rounded.
 */
export function emissionScale(
  before: Program,
  after: Program,
  operation: Operation,
  scale: number,
  machine: Machine,
): number | null {
  const { laser } = machine;
  const { firstMove, lastMove, sMin, sMax, powerMode } = operation;
  // Proportional power on rapids, which outrun the feed, is cut off at full duty.
  if (laser.fires_on_rapids && powerMode === 'proportional') return null;
  const isLinear = laser.power_levels === null && laser.threshold_fraction === 0;
  const clips = Math.max(sMax, sMax * scale) > laser.s_max * (1 + GRAIN);
  if (isLinear && !clips) {
    return sMin === sMax ? after.operations[operation.n - 1]!.sMax / sMax : scale;
  }
  if (powerMode === 'proportional') return null;

  const law = powerLaw(laser);
  // Another operation's route may have moved this one's moves along.
  const shift = after.operations[operation.n - 1]!.firstMove - firstMove;
  let factor: number | null = null;
  let lastS = 0;
  for (let k = firstMove; k <= lastMove; k++) {
    const s = before.moves.s[k]!;
    if (s === lastS || !asksForLight(before.moves, k)) continue;
    lastS = s;
    const was = law.watts(s, 1);
    const is = law.watts(after.moves.s[k + shift]!, 1);
    factor ??= was > 0 ? is / was : null;
    if (factor === null || Math.abs(is - factor * was) > GRAIN * laser.optical_power_w) return null;
  }
  return factor;
}
