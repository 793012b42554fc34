import { numberWords, percentWords } from '../words.ts';
import type { Evidence, OperationEvidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/** The usual ends of a scale of S; a file made for another one is the commonest cause. */
const USUAL_SCALES = [1, 100, 255, 1000, 1023, 4095, 10_000, 65_535];

/** `power-clipped`: S beyond the scale, which gives full power and no more. One finding per operation. */
export function findPowerClipped(evidence: Evidence): Finding[] {
  const { survey, machine } = evidence;
  const mostS = evidence.program.operations.reduce((most, { sMax }) => Math.max(most, sMax), 0);
  return evidence.operations
    .filter(({ operation }) => survey.clippedMm[operation.n]! > 0 && operation.sMax > machine.laser.s_max)
    .map((each) => finding(evidence, each, mostS));
}

function finding(
  { program, energies, survey, machine }: Evidence,
  { operation }: OperationEvidence,
  mostS: number,
): Finding {
  const { moves } = program;
  const { n, sMax, sMin } = operation;
  const scale = machine.laser.s_max;
  let move = operation.firstMove;
  while (move < operation.lastMove && !(energies.nominalMmPerS[move] !== 0 && moves.s[move]! > scale)) move++;
  const share = survey.clippedMm[n]! / survey.burnedMm[n]!;
  const shades = sMin < sMax;
  const madeFor = USUAL_SCALES.find((usual) => usual >= mostS && usual > scale);
  return {
    kind: 'power-clipped',
    severity: 'warning',
    line: moves.line[move]!,
    atMm: [moves.xMm[move]!, moves.yMm[move]!],
    operation: n,
    message:
      `S goes up to ${numberWords(sMax, 6)}, but ${numberWords(scale, 6)} is full power on this machine: ` +
      `${percentWords(round(share, 3))} of what it burns gets full power and no more` +
      (shades
        ? ', so its dark shades run together.'
        : `, ${percentWords(round(scale / sMax, 3))} of what was asked for.`),
    remedy: madeFor
      ? `If the job was made for a scale of 0 to ${madeFor}, make it again for 0 to ${numberWords(scale, 6)}` +
        `, or set the controller and s_max to ${madeFor}; else lower S to ${numberWords(scale, 6)}.`
      : `Lower S to ${numberWords(scale, 6)} or less.`,
    measure: { s_max: sMax, scale_s: scale, clipped_mm: round(survey.clippedMm[n]!, 3), share: round(share) },
    advice: { operation: n, change: `${n}: power 100%` },
  };
}
