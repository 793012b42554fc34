import { numberWords } from '../../words.ts';
import { plainFeed } from '../settings-words.ts';
import type { Evidence, OperationEvidence } from './evidence.ts';
import type { Survey } from './survey.ts';

/** A feed that is too high on less than this part of an operation's length changes little. */
const MATTERS = 0.05;

/** Whether an operation's feed is beyond the machine on enough of its length to matter. */
export const isCapped = ({ cappedMm, burnedMm }: Survey, n: number): boolean =>
  cappedMm[n]! > MATTERS * burnedMm[n]!;

/** The burning move whose feed lies farthest beyond what the machine runs there. */
export function mostCappedMove(
  { survey, program, energies }: Evidence,
  { operation }: OperationEvidence,
): number {
  const { n, firstMove, lastMove } = operation;
  const times = survey.mostCapped[n]!;
  let move = firstMove;
  const isWorst = (i: number) =>
    energies.nominalMmPerS[i] !== 0 &&
    program.moves.feedMmPerS[i]! / energies.nominalMmPerS[i]! >= times * 0.999;
  while (move < lastMove && !isWorst(move)) move++;
  return move;
}

/** The speed at which an operation burns, to be said beside a power: as the beginning of a change, and at the end of words. */
export interface TrueSpeed {
  readonly setting: string;
  readonly words: string;
}

export const NO_SPEED: TrueSpeed = { setting: '', words: '' };

/**
 * Where a feed is beyond the machine, a power that is advised is meant for the speed at which the head runs, and takes that
 * along: beside the old feed it would be one for a faster head, to be lowered as such. Empty where the head runs as told.
 */
export function trueSpeed(evidence: Evidence, each: OperationEvidence): TrueSpeed {
  if (!isCapped(evidence.survey, each.operation.n)) return NO_SPEED;
  const feed = plainFeed(evidence.energies.nominalMmPerS[mostCappedMove(evidence, each)]!);
  return { setting: `speed ${feed}, `, words: ` at ${numberWords(feed, 4)} mm/min` };
}

/** The same for a power that is worked out from what is given now: a proportional one goes by the speed of the head already. */
export const speedBeside = (evidence: Evidence, each: OperationEvidence): TrueSpeed =>
  each.operation.powerMode === 'constant' ? trueSpeed(evidence, each) : NO_SPEED;
