import { depositStepMm } from '../../src/dose/deposit.ts';
import { walkBeam } from '../../src/dose/walk-beam.ts';
import { meanWidthMm } from '../../src/laser/spot.ts';
import type { Machine } from '../../src/machine/profile.ts';
import type { Motion } from '../../src/motion/motion.ts';
import type { HeatOfWood } from '../../src/warmth/heat-of-wood.ts';
import { followWarmth, type WarmthVisitor } from '../../src/warmth/walk-warmth.ts';

/** Walks the beam with the heat it leaves, and nothing else. */
export function walkWarmth(motion: Motion, machine: Machine, heat: HeatOfWood, visitor: WarmthVisitor): void {
  const following = followWarmth(machine, heat, visitor);
  walkBeam(motion, machine, depositStepMm(machine.spot, meanWidthMm(machine.spot)), following);
  following.finish();
}
