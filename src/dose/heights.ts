import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { isLit } from '../program/beam-on.ts';

/** Heights nearer than this are one height, mm. */
const SAME_HEIGHT_MM = 1e-6;

/**
 * Least and greatest height at which the beam is told to be on, mm, where that matters: with a Rayleigh length, and
 * where they differ. Else one height: that of the first burn.
 */
export function burnHeights(motion: Motion, machine: Machine): readonly [leastMm: number, mostMm: number] {
  const { moves } = motion.program;
  const { count, zMm } = moves;
  const { fires_on_rapids } = machine.laser;
  const { rests } = motion;
  let least = Infinity;
  let most = -Infinity;
  const take = (z: number): void => {
    if (z < least) least = z;
    if (z > most) most = z;
  };
  for (let i = 0; i < count; i++) {
    if (!isLit(moves, i, fires_on_rapids)) continue;
    take(i > 0 ? zMm[i - 1]! : 0);
    take(zMm[i]!);
    if (machine.spot.rayleigh_mm === null) break;
  }
  for (let r = 0; r < rests.count; r++) {
    if (!isLit(rests, r, fires_on_rapids)) continue;
    const move = rests.beforeMove[r]! - 1;
    take(move < 0 ? 0 : zMm[move]!);
    if (machine.spot.rayleigh_mm === null) break;
  }
  if (!(least <= most)) return [0, 0];
  return machine.spot.rayleigh_mm === null || most - least <= SAME_HEIGHT_MM ? [least, least] : [least, most];
}
