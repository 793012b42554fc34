import { shippedMaterials } from '../../src/burn/shipped.ts';
import { planMotion } from '../../src/motion/plan.ts';
import { type HeatOfWood, heatOfWood } from '../../src/warmth/heat-of-wood.ts';
import { programOf } from '../support/program-of.ts';
import { directSums, landed } from './direct.ts';
import type { WarmJob } from './jobs.ts';
import { walkWarmth } from './walk.ts';

export const poplarHeat: HeatOfWood = heatOfWood(shippedMaterials['poplar plywood']!, 450, null);

/** As evenly as can be over 0 … 1, however many, and in step with no rows. */
const golden = (k: number): number => (((k + 0.5) * (Math.sqrt(5) - 1)) / 2) % 1;

/** The walk against direct sums at `samples` of its parts, evenly over the job. */
export function measure({ steps, machine }: WarmJob, samples: number, heat: HeatOfWood = poplarHeat) {
  const motion = planMotion(programOf(steps), machine);
  const sigma = Math.sqrt(machine.spot.width_mm[0] * machine.spot.width_mm[1]) / 4;
  const parts: { x: number; y: number; tS: number; warmthK: number }[] = [];
  walkWarmth(motion, machine, heat, ({ first, end, xMm, yMm, tS, warmthK }) => {
    for (let k = first; k < end; k++)
      parts.push({ x: xMm[k]!, y: yMm[k]!, tS: tS[k]!, warmthK: warmthK[k]! });
  });
  const points = landed(motion, machine, heat, parts.length < 3000 ? 0.005 : 0.02);
  const direct = directSums(points, sigma, heat);
  const rows = Array.from({ length: samples }, (_, k) => parts[Math.floor(golden(k) * parts.length)]!).map(
    ({ x, y, tS, warmthK }) => {
      // The beam arrives with the part; a rest's parts all arrive when it begins.
      const point = points.find((each) => each.tS >= tS) ?? points.at(-1)!;
      const arrivedS = point.dwellS === 0 ? point.arrivedS : tS;
      const untilS = arrivedS - point.dwellS;
      return { found: warmthK, wanted: direct({ x, y, tS: arrivedS, untilS }) };
    },
  );
  const most = Math.max(...rows.map(({ wanted }) => wanted));
  const errors = rows.map(({ found, wanted }) => Math.abs(found - wanted) / most).sort((a, b) => a - b);
  const at = (part: number) => errors[Math.min(errors.length - 1, Math.floor(part * errors.length))]!;
  return { most, median: at(0.5), most95: at(0.95), parts: parts.length, asked: rows.length };
}
