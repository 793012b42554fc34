import type { Evidence, OperationEvidence } from './evidence.ts';

/** A burning move that emits, and the dose its light gives all along it. */
export interface LitSample {
  readonly move: number;
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
export function litSamples(
  { program, energies }: Evidence,
  { operation, straight }: OperationEvidence,
): LitSample[] {
  const { firstMove, lastMove } = operation;
  const { s } = program.moves;
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
    samples.push({ move, s: s[move]!, mm, fullJPerMm2: perLine * line, mostJPerMm2: perLine * most });
  }
  return samples;
}
