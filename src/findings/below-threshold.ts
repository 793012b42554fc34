import { lengthWords, numberWords, percentWords } from '../words.ts';
import type { Evidence, OperationEvidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/** Where this part of an operation's length stays dark, it is spoiled; less is worth a note. */
const SPOILS = 0.05;

/** `below-threshold`: S above 0 but too small for the diode to emit anything. One finding per operation. */
export function findBelowThreshold(evidence: Evidence): Finding[] {
  const { survey } = evidence;
  return evidence.operations
    .filter(({ operation }) => survey.unlitMm[operation.n]! > 0)
    .map((each) => finding(evidence, each));
}

function finding(
  { program, energies, survey, law, machine }: Evidence,
  { operation }: OperationEvidence,
): Finding {
  const { moves } = program;
  const { n } = operation;
  const { s_max: scale, threshold_fraction: threshold, power_levels: levels } = machine.laser;
  let move = operation.firstMove;
  const isDark = (i: number) => energies.nominalMmPerS[i] !== 0 && law.watts(moves.s[i]!, 1) === 0;
  while (move < operation.lastMove && !isDark(move)) move++;
  const unlit = survey.unlitMm[n]!;
  const share = unlit / survey.burnedMm[n]!;
  const least = leastS(law.watts, scale, threshold, levels);
  const s = numberWords(moves.s[move]!, 6);
  return {
    kind: 'below-threshold',
    severity: share >= SPOILS ? 'warning' : 'note',
    line: moves.line[move]!,
    atMm: [moves.xMm[move]!, moves.yMm[move]!],
    operation: n,
    message:
      `${lengthWords(unlit)} of it (${percentWords(round(share, 3))}) will not burn at all: S is as low as ${s}, ` +
      (threshold > 0
        ? `and this diode emits nothing up to ${percentWords(threshold)} of full duty (S${numberWords(threshold * scale, 4)}).`
        : `less than half a step of the ${levels} power levels this machine tells apart.`),
    remedy: `Let S be ${numberWords(least, 4)} or more wherever something is to show, or 0 where nothing is.`,
    measure: { unlit_mm: round(unlit, 3), share: round(share), least_s: least },
  };
}

/** The smallest whole S (or, on a short scale, hundredth of it) that emits. */
function leastS(
  watts: (s: number, ratio: number) => number,
  scale: number,
  threshold: number,
  levels: number | null,
): number {
  const step = scale >= 100 ? 1 : scale / 1000;
  let s = Math.floor((threshold * scale) / step) * step;
  for (let k = 0; k < 10_000 && watts(s, 1) === 0; k++)
    s += levels ? Math.max(step, scale / levels / 4) : step;
  return Number((Math.ceil(s / step - 1e-9) * step).toFixed(6));
}
