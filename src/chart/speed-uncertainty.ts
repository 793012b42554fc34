import type { SpeedPower, Work } from '../burn/speed-power.ts';
import { type Case, relativeUncertainty } from '../sure/contributions.ts';
import { speedPowerInRows } from '../warmth/rows.ts';

/**
 * How far a speed may be off by what is not known of wood, machine and board: one standard uncertainty, as a part of it.
 * @returns null where nothing is uncertain that bears on it.
 */
export function speedUncertainty(
  work: Work,
  watts: number,
  speedMmPerS: (answers: SpeedPower, watts: number) => number,
): number | null {
  const { material, machine, thicknessMm } = work;
  const [x, y] = machine.spot.width_mm;
  const inCase = ({ material: wood, power, width, thickness }: Case): number => {
    const spot = { ...machine.spot, width_mm: [x * width, y * width] as [number, number] };
    const answers = speedPowerInRows({
      ...work,
      material: wood,
      machine: { ...machine, spot },
      thicknessMm: thicknessMm && thicknessMm * thickness,
    });
    return speedMmPerS(answers, watts * power);
  };
  return relativeUncertainty({ material, machine, thickness: work }, inCase);
}
