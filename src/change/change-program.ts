import type { Machine } from '../machine/profile.ts';
import type { Program } from '../program/program.ts';
import { type Change, leavesOut, type Wishes, wishesOf } from './change.ts';
import { changeSettings } from './change-settings.ts';
import type { Changed } from './changed.ts';
import { leaveOut } from './leave-out.ts';
import { changeOrder } from './order.ts';
import { placeProgram } from './place-program.ts';
import { placementOf } from './placement.ts';
import { changeRoute, changesRoute } from './route.ts';

/**
 * A program with changed settings. The operations keep their numbers unless some are left out, and what does not
 * change is shared with the program it came from.
 * @param changes speeds in mm/s, power as a share of full scale; of one for all and one for an operation the later stands.
 * @throws {InputError} in one sentence, where a change cannot be made.
 */
export const changeProgram = (program: Program, changes: readonly Change[], machine: Machine): Program =>
  changeByWishes(program, wishesOf(program, changes), machine).program;

/** The same, with where each move and stop comes from. */
export function changeByWishes(program: Program, wishes: Wishes, machine: Machine): Changed {
  const settled = changeSettings(program, wishes, machine);
  const reroutes = program.operations.some((operation) => {
    const wish = wishes[operation.n - 1];
    return wish && changesRoute(wish, operation);
  });
  const rerouted = reroutes ? changeRoute(settled, wishes) : settled;
  const ordered = wishes.some((wish) => wish?.last || wish?.insideFirst)
    ? changeOrder(rerouted, wishes, machine)
    : rerouted;
  const left = leavesOut(wishes) ? leaveOut(ordered, wishes, machine) : ordered;
  const placement = placementOf(program, wishes, machine.laser.fires_on_rapids);
  return placement ? placeProgram(left, placement, machine) : left;
}
