import type { SpeedPower, Work } from '../burn/speed-power.ts';
import { askedOnce } from '../lately.ts';
import { type Case, startRelativeUncertainty } from '../sure/contributions.ts';
import { speedPowerInRows } from '../warmth/rows.ts';

/**
 * How far a speed may be off by what is not known of wood, machine and board: one standard uncertainty, as a part of it;
 * null where nothing is uncertain that bears on it.
 */
export type SpeedUncertainty = (
  watts: number,
  speedMmPerS: (answers: SpeedPower, watts: number) => number,
) => number | null;

/** For one speed of a work after another: the answers in each case are worked out once. */
export function startSpeedUncertainty(work: Work): SpeedUncertainty {
  const { material, machine, thicknessMm } = work;
  const [x, y] = machine.spot.width_mm;
  const uncertainty = startRelativeUncertainty({ material, machine, thickness: work });
  const answersIn = askedOnce(({ material: wood, width, thickness }: Case): SpeedPower => {
    const spot = { ...machine.spot, width_mm: [x * width, y * width] as [number, number] };
    return speedPowerInRows({
      ...work,
      material: wood,
      machine: { ...machine, spot },
      thicknessMm: thicknessMm && thicknessMm * thickness,
    });
  });
  return (watts, speedMmPerS) => uncertainty((each) => speedMmPerS(answersIn(each), watts * each.power));
}
