import { greatestOf } from '../lists.ts';
import { PIN_FULL, S_SCALE } from '../program/power.ts';
import type { Operation, Understanding } from '../program/program.ts';
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
 * `other-scale`: the greatest S of the file is just what is full power on another usual scale, and little on the machine's:
 * then all of it burns with a part of the power that was meant. Where it only fits such a scale, and something comes out too
 * weak, a note that asks. One finding for the job. Other power does not mend it, for that is counted on the machine's scale
 * too: the S of the file are asked, and where every operation was given other power it is a note.
 */
export function findOtherScale(evidence: Evidence, cuts: readonly Cut[]): Finding[] {
  const { program, machine } = evidence;
  const { operations } = program;
  const { s_max: scale } = machine.laser;
  const most = greatestOf(operations.map(readS));
  const told = program.understood.find(({ topic }) => topic === S_SCALE);
  const isAtFull = told !== undefined && most === PIN_FULL;
  const usual = isAtFull ? PIN_FULL : askedScale(evidence, cuts, most);
  if (usual === null) return [];
  const unchanged = operations.filter(({ sMaxRead }) => sMaxRead === undefined);
  const isGivenAll = unchanged.length === 0;
  const isGivenSome = unchanged.length < operations.length;
  const share = percentWords(most / scale);
  const full = numberWords(scale, 6);
  const burned = isGivenAll
    ? 'and the powers that its operations were given since are shares of that'
    : `${isAtFull ? 'so' : 'and'} ${isGivenSome ? 'what was given no other power' : 'all'} is burned with ${share} of it at most`;
  const weak = isAtFull || isGivenSome ? '' : ', and some of it is too weak for what it is to do';
  const again = `If the job was made for 0 to ${usual}, make it again for 0 to ${full}, or set the controller and s_max to ${usual}.`;
  const meant = isAtFull ? ` If no more than ${share} is meant, nothing needs to change.` : '';
  return [
    {
      kind: 'other-scale',
      severity: isAtFull && !isGivenAll ? 'warning' : 'note',
      line: isAtFull ? told.line : operations.find((each) => readS(each) === most)!.lines[0],
      atMm: null,
      operation: null,
      message:
        `The greatest S of the job is ${numberWords(most, 6)}${isAtFull ? `, full power on a scale of 0 to ${usual};` : ','} ` +
        `${isAtFull ? '' : 'and '}on this machine ${full} is full power (s_max), ${burned}${weak}.`,
      remedy: isGivenAll
        ? `Look whether full power is S${full} on the controller too: if it is S${usual}, set s_max to that and give the powers again.`
        : again + meant,
      measure: { s_max: most, scale_s: scale },
    },
  ];
}

/** The greatest S that an operation has in the file. */
const readS = ({ sMax, sMaxRead }: Operation): number => sMaxRead ?? sMax;

/** The usual scale that the greatest S fits far better, where something is too weak or was given more; null: none. */
function askedScale(evidence: Evidence, cuts: readonly Cut[], most: number): number | null {
  const { program, machine, sure } = evidence;
  const usual = USUAL_SCALES.find((each) => most <= each);
  if (!(most > 0) || !usual || machine.laser.s_max < FAR_LONGER * usual) return null;
  const isRaised = program.operations.some((each) => each.sMax > readS(each));
  const isWeak = isRaised || cuts.some(({ comesThrough }) => comesThrough.chanceThrough < sure);
  return isWeak || findNoMark(evidence).length > 0 ? usual : null;
}

/** How a file was understood, without what a finding tells. */
export const understoodBesides = (
  findings: readonly Finding[],
  understood: readonly Understanding[],
): readonly Understanding[] =>
  findings.some(({ kind }) => kind === 'other-scale')
    ? understood.filter(({ topic }) => topic !== S_SCALE)
    : understood;
