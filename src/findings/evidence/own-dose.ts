import { beamKernel } from '../../dose/beam-kernel.ts';
import { landingStepMm } from '../../dose/land.ts';
import { litOnly } from '../../dose/lit-only.ts';
import { type PointDeposit, startPointDeposit } from '../../dose/point-dose.ts';
import { walkBeam } from '../../dose/walk-beam.ts';
import type { Evidence } from './evidence.ts';

/** A place on a line, and the operation whose part of the dose there is asked for. */
export interface OwnPlace {
  readonly operation: number;
  readonly xMm: number;
  readonly yMm: number;
  /** From all that the job burns there, J/mm². */
  readonly doseJPerMm2: number;
}

/**
 * What an operation itself leaves at a place of it, all its passes together, J/mm²: further passes repeat that and its speed
 * divides it, while what others burn there stays. Only where others come near by their bounds is the beam walked once more,
 * for all places at once.
 * @param places one of each operation at most.
 */
export function ownDoses(
  evidence: Pick<Evidence, 'program' | 'motion' | 'machine' | 'dose' | 'survey'>,
  places: readonly OwnPlace[],
): number[] {
  const { motion, machine, dose } = evidence;
  const isShared = othersComeBy(evidence);
  const deposits = new Map<number, PointDeposit>();
  for (const place of places) {
    if (!isShared(place)) continue;
    const point = { count: 1, xMm: Float64Array.of(place.xMm), yMm: Float64Array.of(place.yMm) };
    deposits.set(place.operation, startPointDeposit(point, machine.spot, [0, 0]));
  }
  if (deposits.size > 0) {
    const { operation } = motion.program.moves;
    const of = (move: number): PointDeposit | undefined => deposits.get(move < 0 ? 0 : operation[move]!);
    const asked = litOnly(motion, (move) => of(move) !== undefined);
    walkBeam(asked, machine, landingStepMm(motion, machine, dose.grid.cellMm), {
      stroke: (stroke) => of(stroke.move)?.stroke(stroke),
      rest: (stroke) => of(stroke.move)?.rest(stroke),
    });
  }
  return places.map(({ operation, doseJPerMm2 }) => {
    const own = deposits.get(operation)?.finish().doseJPerMm2[0];
    return own === undefined ? doseJPerMm2 : Math.min(own, doseJPerMm2);
  });
}

/** Whether the beam comes near a place with another operation too, by the bounds of what each burns. */
function othersComeBy({
  program,
  machine: { spot },
  dose: { height },
  survey: { bounds },
}: Pick<Evidence, 'program' | 'machine' | 'dose' | 'survey'>): (place: OwnPlace) => boolean {
  const reachMm = Math.max(
    beamKernel(spot, height.lowestMm).reachMm,
    beamKernel(spot, height.highestMm).reachMm,
  );
  return ({ operation, xMm, yMm }) => {
    for (let n = 0; n <= program.operations.length; n++) {
      const [minX, minY, maxX, maxY] = [
        bounds[4 * n]!,
        bounds[4 * n + 1]!,
        bounds[4 * n + 2]!,
        bounds[4 * n + 3]!,
      ];
      const isNear =
        xMm >= minX - reachMm && xMm <= maxX + reachMm && yMm >= minY - reachMm && yMm <= maxY + reachMm;
      if (isNear && n !== operation) return true;
    }
    return false;
  };
}
