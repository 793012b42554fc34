import { aimBeam, type BeamKernel, beamAt, beamKernel } from '../../dose/beam-kernel.ts';
import { landingStepMm } from '../../dose/land.ts';
import { litOnly } from '../../dose/lit-only.ts';
import type { Stroke } from '../../dose/visitor.ts';
import { walkBeam } from '../../dose/walk-beam.ts';
import { holdsPoint, isEmptyBounds } from '../../grid.ts';
import type { Evidence } from './evidence.ts';
import { boundsOf } from './survey.ts';

/** A place on a line, and the operation whose part of the dose there is asked for. */
export interface OwnPlace {
  readonly operation: number;
  readonly xMm: number;
  readonly yMm: number;
  /** From all that the job burns there, J/mm². */
  readonly doseJPerMm2: number;
}

type Asked = Pick<Evidence, 'program' | 'motion' | 'machine' | 'dose' | 'survey'>;

/**
 * What an operation itself leaves at a place of it, all its passes together, J/mm²: further passes repeat that and its speed
 * divides it, while what others burn there stays. Only where others come near by their bounds is the beam walked once more,
 * for all places at once.
 * @param places one of each operation at most.
 */
export function ownDoses(evidence: Asked, places: readonly OwnPlace[]): number[] {
  if (places.length === 0) return [];
  const shared = places.filter(othersComeBy(evidence));
  const own = shared.length > 0 ? walkFor(evidence, shared) : null;
  const isShared = new Set(shared);
  return places.map((place) => {
    const { operation, doseJPerMm2 } = place;
    return own && isShared.has(place) ? Math.min(own[operation]!, doseJPerMm2) : doseJPerMm2;
  });
}

/** What operations leave at their places, by their numbers. */
function walkFor({ program, motion, machine, dose }: Asked, places: readonly OwnPlace[]): Float64Array {
  const { operation } = program.moves;
  const numbers = program.operations.length + 1;
  const ownJPerMm2 = new Float64Array(numbers);
  const xMm = new Float64Array(numbers);
  const yMm = new Float64Array(numbers);
  const isAsked = new Uint8Array(numbers);
  for (const { operation: n, ...place } of places) {
    isAsked[n] = 1;
    xMm[n] = place.xMm;
    yMm[n] = place.yMm;
  }
  // A rest belongs to the operation of the move that led to it.
  const of = (move: number): number => (move < 0 ? 0 : operation[move]!);
  let zMm = Number.NaN;
  let kernel: BeamKernel | null = null;
  const out = new Float64Array(1);
  const add = ({ move, x0, y0, x1, y1, z, energyJ }: Readonly<Stroke>): void => {
    const n = of(move);
    if (isAsked[n] === 0) return;
    if (z !== zMm || !kernel) kernel = beamKernel(machine.spot, z);
    zMm = z;
    aimBeam(kernel, x0, y0, x1, y1);
    beamAt(kernel, xMm, yMm, n, n + 1, out);
    ownJPerMm2[n] = ownJPerMm2[n]! + energyJ * out[0]!;
  };
  walkBeam(
    litOnly(motion, (move) => isAsked[of(move)] === 1),
    machine,
    landingStepMm(motion, machine, dose.grid.cellMm),
    { stroke: add, rest: add },
  );
  return ownJPerMm2;
}

/** Whether the beam may come near a place with another operation too, by the bounds of what each burns. */
function othersComeBy({
  program,
  machine: { spot },
  dose: { height },
  survey,
}: Asked): (place: Pick<OwnPlace, 'xMm' | 'yMm'>) => boolean {
  const reachMm = Math.max(
    beamKernel(spot, height.lowestMm).reachMm,
    beamKernel(spot, height.highestMm).reachMm,
  );
  // Number 0 is what belongs to none.
  const boxes = Array.from({ length: program.operations.length + 1 }, (_, n) => boundsOf(survey, n));
  const burned = boxes.filter((box) => !isEmptyBounds(box));
  return ({ xMm, yMm }) => {
    let near = 0;
    for (const box of burned) if (holdsPoint(box, xMm, yMm, reachMm) && ++near > 1) return true;
    return false;
  };
}
