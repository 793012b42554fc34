import type { Operation } from '../program/program.ts';
import { numberWords, percentWords } from '../words.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { round } from './phrases.ts';

/** The usual ends of a scale of S; a file made for another one is the commonest cause. */
const USUAL_SCALES = [1, 100, 255, 1000, 1023, 4095, 10_000, 65_535];

/** No advice names more operations than this: it is to be read, and typed. */
const MOST_ADVISED = 200;

/**
 * `power-clipped`: S beyond the scale, which gives full power and no more. One finding for the job, since it is the
 * scale that does not fit.
 */
export function findPowerClipped(evidence: Evidence): Finding[] {
  const { survey, machine } = evidence;
  const clipped = evidence.operations
    .map(({ operation }) => operation)
    .filter(({ n, sMax }) => survey.clippedMm[n]! > 0 && sMax > machine.laser.s_max);
  return clipped.length === 0 ? [] : [finding(evidence, clipped)];
}

function finding(evidence: Evidence, clipped: readonly Operation[]): Finding {
  const { program, survey, machine } = evidence;
  const { moves } = program;
  const scale = machine.laser.s_max;
  const only = clipped.length === 1 ? clipped[0]! : null;
  const mostS = clipped.reduce((most, { sMax }) => Math.max(most, sMax), 0);
  const sum = (mm: ArrayLike<number>): number => clipped.reduce((all, { n }) => all + mm[n]!, 0);
  const clippedMm = sum(survey.clippedMm);
  const share = clippedMm / sum(survey.burnedMm);
  const shades = clipped.some(({ sMin, sMax }) => sMin < sMax);
  const evenS = clipped.every(({ sMax }) => sMax === mostS);
  const move = firstClipped(evidence, clipped);
  const madeFor = USUAL_SCALES.find((usual) => usual >= mostS && usual > scale);
  return {
    kind: 'power-clipped',
    severity: 'warning',
    line: moves.line[move]!,
    atMm: [moves.xMm[move]!, moves.yMm[move]!],
    operation: only?.n ?? null,
    message:
      `S goes up to ${numberWords(mostS, 6)}${only ? '' : ` in ${clipped.length} operations`}, but ` +
      `${numberWords(scale, 6)} is full power on this machine: ${percentWords(round(share, 3))} of what ` +
      `${only ? 'it burns' : 'they burn'} gets full power and no more` +
      (shades
        ? ', so its dark shades run together.'
        : `, ${evenS ? '' : 'down to '}${percentWords(round(scale / mostS, 3))} of what was asked for.`),
    remedy: madeFor
      ? `If the job was made for a scale of 0 to ${madeFor}, make it again for 0 to ${numberWords(scale, 6)}` +
        `, or set the controller and s_max to ${madeFor}; else lower S to ${numberWords(scale, 6)}.`
      : `Lower S to ${numberWords(scale, 6)} or less.`,
    measure: {
      s_max: mostS,
      scale_s: scale,
      clipped_mm: round(clippedMm, 3),
      share: round(share),
      operations: clipped.length,
    },
    advice:
      clipped.length > MOST_ADVISED
        ? null
        : { operation: clipped[0]!.n, change: clipped.map(({ n }) => `${n}: power 100%`).join('; ') },
  };
}

/** The first move of the job whose S is beyond the scale. */
function firstClipped({ program, energies, machine }: Evidence, clipped: readonly Operation[]): number {
  const { s } = program.moves;
  const first = clipped.reduce((one, other) => (other.firstMove < one.firstMove ? other : one));
  let move = first.firstMove;
  while (move < first.lastMove && !(energies.nominalMmPerS[move] !== 0 && s[move]! > machine.laser.s_max))
    move++;
  return move;
}
