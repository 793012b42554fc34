import type { Machine } from '../machine/profile.ts';
import { mmPerSToMmPerMin } from '../units.ts';

/**
 * A machine's settings as its controller would print them, in the numbered family: what a person pastes into a file to
 * make a profile of. What no controller knows of itself, the light and the spot, is not in it; nor is a speed step at
 * corners, which this family has no number for.
 */
export function listingOf({
  cornering,
  arc_tolerance_mm,
  laser,
  max_speed_mm_s,
  acceleration_mm_s2,
  work_area_mm,
}: Machine): string {
  const settings: [n: number, value: number][] = [
    ...(cornering.rule === 'junction-deviation' ? [[11, cornering.deviation_mm] as [number, number]] : []),
    [12, arc_tolerance_mm],
    [30, laser.s_max],
    [32, 1], // power changes without a stop
    ...max_speed_mm_s.map((speed, axis): [number, number] => [110 + axis, mmPerSToMmPerMin(speed)]),
    ...acceleration_mm_s2.map((each, axis): [number, number] => [120 + axis, each]),
    ...work_area_mm.map((mm, axis): [number, number] => [130 + axis, mm]),
  ];
  return `${settings.map(([n, value]) => `$${n}=${n < 100 ? value : value.toFixed(3)}`).join('\n')}\nok\n`;
}
