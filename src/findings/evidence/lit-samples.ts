import { powerFor } from '../../burn/speed-power.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';

/** A burning move that emits, and the dose its light gives all along it. */
export interface LitSample {
  readonly move: number;
  /** Where S follows the speed of the head, the one that gives as much at full speed. */
  readonly s: number;
  /** Length, mm, seen from above. */
  readonly mm: number;
  /** Dose at full speed, J/mm², all passes together. */
  readonly fullJPerMm2: number;
  /** The greater of that and the mean over the move as the head really runs. */
  readonly mostJPerMm2: number;
}

/** An operation of more moves is told by so many of them. */
const MOST_SAMPLES = 4000;
/** Steps of the golden section fall evenly and never in step with a pattern of rows. */
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** How an operation's light is spread over its length: every move that emits, or many of them evenly strewn. */
export function litSamples(evidence: Evidence, { operation, straight }: OperationEvidence): LitSample[] {
  const { energies } = evidence;
  const { firstMove, lastMove } = operation;
  const moves = lastMove - firstMove + 1;
  const count = Math.min(moves, MOST_SAMPLES);
  const stride = moves / count;
  const samples: LitSample[] = [];
  for (let k = 0; k < count; k++) {
    const move = firstMove + Math.floor(stride === 1 ? k : (k + ((k * GOLDEN) % 1)) * stride);
    if (move > lastMove || energies.nominalMmPerS[move] === 0) continue;
    const line = energies.nominalJPerMm(move);
    const mm = energies.flatMm(move);
    if (!(line > 0 && mm > 0)) continue;
    const most = Math.max(line, energies.wholeJ(move) / mm);
    const perLine = straight.dosePerLineEnergy;
    samples.push({
      move,
      s: levelOf(evidence, move, line),
      mm,
      fullJPerMm2: perLine * line,
      mostJPerMm2: perLine * most,
    });
  }
  return samples;
}

/** The S of a move whose line energy at full speed is meant to be `lineJPerMm`. */
function levelOf({ program, energies, law, machine }: Evidence, move: number, lineJPerMm: number): number {
  const s = program.moves.s[move]!;
  const fullJPerMm = energies.atSpeedJPerMm(move, energies.nominalMmPerS[move]!);
  if (!(program.followsSpeed && lineJPerMm > fullJPerMm && fullJPerMm > 0)) return s;
  const { laser } = machine;
  return laser.s_max * powerFor(laser, (law.watts(s, 1) * lineJPerMm) / fullJPerMm);
}
