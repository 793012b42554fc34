import { greatestOf } from '../lists.ts';
import { PIN_FULL, S_SCALE } from '../program/power.ts';
import type { Understanding } from '../program/program.ts';
import { numberWords, percentWords } from '../words.ts';
import type { Cut } from './evidence/cuts.ts';
import type { Evidence } from './evidence/evidence.ts';
import type { Finding } from './finding.ts';
import { findNoMark } from './no-mark.ts';

/** Full power on scales that controllers usually have (common practice, no source). */
const USUAL_SCALES = [PIN_FULL, 1000];
/** So many times as long a scale is another one. A judgement. */
const FAR_LONGER = 5;

/**
 * `other-scale`: the greatest S of the job is just what is full power on another usual scale, and little on the machine's:
 * then all of it burns with a part of the power that was meant. Where it only fits such a scale, and something comes out too
 * weak, a note that asks. One finding for the job.
 */
export function findOtherScale(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const full = atFullScale(evidence);
  return full.length > 0 ? full : askedScale(evidence, cuts);
}

function askedScale(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const { program, machine, sure } = evidence;
  const { s_max: scale } = machine.laser;
  const most = greatestOf(program.operations.map(({ sMax }) => sMax));
  const usual = USUAL_SCALES.find((each) => most <= each);
  if (!(most > 0) || !usual || scale < FAR_LONGER * usual) return [];
  const isWeak = cuts.some(({ comesThrough }) => comesThrough.chanceThrough < sure);
  if (!isWeak && findNoMark(evidence).length === 0) return [];
  return [
    {
      kind: 'other-scale',
      severity: 'note',
      line: program.operations.find(({ sMax }) => sMax === most)!.lines[0],
      atMm: null,
      operation: null,
      message:
        `The greatest S of the job is ${numberWords(most, 6)}, and on this machine ${numberWords(scale, 6)} is full power ` +
        `(s_max): all is burned with ${percentWords(most / scale)} of it at most, and some of it is too weak for what it is to do.`,
      remedy:
        `If the job was made for 0 to ${usual}, make it again for 0 to ${numberWords(scale, 6)}, or set the controller and ` +
        `s_max to ${usual}.`,
      measure: { s_max: most, scale_s: scale },
    },
  ];
}

function atFullScale({ program, machine }: Evidence): Finding[] {
  const told = program.understood.find(({ topic }) => topic === S_SCALE);
  const { s_max: scale } = machine.laser;
  // With changed settings its power is what somebody said.
  if (!told || greatestOf(program.operations.map(({ sMax }) => sMax)) !== PIN_FULL) return [];
  const share = percentWords(PIN_FULL / scale);
  return [
    {
      kind: 'other-scale',
      severity: 'warning',
      line: told.line,
      atMm: null,
      operation: null,
      message:
        `The greatest S of the job is ${PIN_FULL}, full power on a scale of 0 to ${PIN_FULL}; on this machine ` +
        `${numberWords(scale, 6)} is full power (s_max), so all is burned with ${share} of it at most.`,
      remedy:
        `If the job was made for 0 to ${PIN_FULL}, make it again for 0 to ${numberWords(scale, 6)}, or set the controller and ` +
        `s_max to ${PIN_FULL}. If no more than ${share} is meant, nothing needs to change.`,
      measure: { s_max: PIN_FULL, scale_s: scale },
    },
  ];
}

/** How a file was understood, without what a finding tells. */
export const understoodBesides = (
  findings: readonly Finding[],
  understood: readonly Understanding[],
): readonly Understanding[] =>
  findings.some(({ kind }) => kind === 'other-scale')
    ? understood.filter(({ topic }) => topic !== S_SCALE)
    : understood;
