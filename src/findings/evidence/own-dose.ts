import { aimBeam, type BeamKernel, beamAt, beamKernel } from '../../dose/beam-kernel.ts';
import { landingStepMm } from '../../dose/land.ts';
import { litOnly } from '../../dose/lit-only.ts';
import type { Stroke } from '../../dose/visitor.ts';
import { walkBeam } from '../../dose/walk-beam.ts';
import { isEmptyBounds } from '../../grid.ts';
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

type Asked = Pick<Evidence, 'program' | 'motion' | 'machine' | 'dose' | 'survey' | 'burnBounds'>;

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

/** The burn is parted into so many cells each way to see whose bounds meet. */
const CELLS = 256;

/** Whether the beam may come near a place with another operation too, by the bounds of what each burns. */
function othersComeBy({
  program,
  machine: { spot },
  dose: { height },
  survey,
  burnBounds,
}: Asked): (place: Pick<OwnPlace, 'xMm' | 'yMm'>) => boolean {
  const reachMm = Math.max(
    beamKernel(spot, height.lowestMm).reachMm,
    beamKernel(spot, height.highestMm).reachMm,
  );
  const cellOf = (mm: number, least: number, most: number): number =>
    Math.min(CELLS - 1, Math.max(0, Math.floor((CELLS * (mm - least)) / (most - least || 1))));
  const column = (xMm: number): number => cellOf(xMm, burnBounds.minXMm, burnBounds.maxXMm);
  const row = (yMm: number): number => cellOf(yMm, burnBounds.minYMm, burnBounds.maxYMm);
  // Each operation is added at the corners of its box, and the sums of all that come before are how many lie over a cell.
  const side = CELLS + 1;
  const over = new Int32Array(side * side);
  for (let n = 0; n <= program.operations.length; n++) {
    const burned = boundsOf(survey, n);
    if (isEmptyBounds(burned)) continue;
    const [i0, i1] = [column(burned.minXMm - reachMm), column(burned.maxXMm + reachMm) + 1];
    const [j0, j1] = [row(burned.minYMm - reachMm), row(burned.maxYMm + reachMm) + 1];
    over[j0 * side + i0]!++;
    over[j0 * side + i1]!--;
    over[j1 * side + i0]!--;
    over[j1 * side + i1]!++;
  }
  for (let j = 0; j < side; j++)
    for (let i = 1; i < side; i++) over[j * side + i]! += over[j * side + i - 1]!;
  for (let j = 1; j < side; j++)
    for (let i = 0; i < side; i++) over[j * side + i]! += over[(j - 1) * side + i]!;
  return ({ xMm, yMm }) => over[row(yMm) * side + column(xMm)]! > 1;
}
