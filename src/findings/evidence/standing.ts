import { moveTimeS } from '../../motion/timeline.ts';
import type { Evidence } from './evidence.ts';
import { peakPerMm2 } from './spot-widths.ts';

/** The head goes up or down over one spot with the beam on: one move along Z or more, one after the other. */
export interface Upright {
  readonly firstMove: number;
  readonly lastMove: number;
  readonly durationS: number;
  /** What the middle of the spot gets, J/mm². */
  readonly doseJPerMm2: number;
  /** The height that is nearest to focus, mm. */
  readonly headZMm: number;
}

/** Seen from above a shorter move stands still, mm. */
const STANDS_MM = 1e-9;
/** Light is added up at so many heights of a move along Z. */
const HEIGHTS = 32;

/** Where the head goes up or down over one spot among some moves, in their order; stretches that meet are one. */
export function uprightsAmong(evidence: Evidence, firstMove: number, lastMove: number): Upright[] {
  const found: Upright[] = [];
  for (let i = firstMove; i <= lastMove; i++) {
    if (!isUpright(evidence, i)) continue;
    const from = i;
    while (i < lastMove && isUpright(evidence, i + 1)) i++;
    found.push(uprightOf(evidence, from, i));
  }
  return found;
}

/** Whether the head goes up or down with the beam on, and nowhere else. */
export const isUpright = (evidence: Evidence, i: number): boolean => {
  const { energies, program } = evidence;
  // Most moves keep their height, and are asked nothing else.
  if (program.moves.zMm[i] === zBefore(evidence, i)) return false;
  return energies.nominalMmPerS[i] !== 0 && energies.flatMm(i) < STANDS_MM;
};

function uprightOf(evidence: Evidence, firstMove: number, lastMove: number): Upright {
  const {
    motion,
    machine: { spot },
    program: { moves },
  } = evidence;
  const startZMm = zBefore(evidence, firstMove);
  let [lowest, highest] = [startZMm, startZMm];
  let [durationS, doseJPerMm2] = [0, 0];
  for (let i = firstMove; i <= lastMove; i++) {
    durationS += moveTimeS(motion, i);
    doseJPerMm2 += uprightJPerMm2(evidence, i);
    lowest = Math.min(lowest, moves.zMm[i]!);
    highest = Math.max(highest, moves.zMm[i]!);
  }
  const headZMm = Math.min(highest, Math.max(lowest, spot.focus_z_mm));
  return { firstMove, lastMove, durationS, doseJPerMm2, headZMm };
}

/** The height at which move i begins, mm. */
export const zBefore = ({ program: { moves } }: Evidence, i: number): number =>
  i > 0 ? moves.zMm[i - 1]! : 0;

/** What one spot gets of a move along Z, J/mm²: its energy, spread by the spot's width at each height. */
function uprightJPerMm2(evidence: Evidence, i: number): number {
  const { energies, machine, program } = evidence;
  const z0 = zBefore(evidence, i);
  const dz = program.moves.zMm[i]! - z0;
  let sum = 0;
  for (let k = 0; k < HEIGHTS; k++) sum += peakPerMm2(machine.spot, z0 + (dz * (k + 0.5)) / HEIGHTS);
  return (energies.wholeJ(i) * sum) / HEIGHTS;
}
