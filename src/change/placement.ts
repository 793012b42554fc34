import { jobBounds } from '../board.ts';
import { isEmptyBounds, middleOf } from '../grid.ts';
import type { Program } from '../program/program.ts';
import { numberWords } from '../words.ts';
import type { Settings, Wishes } from './change.ts';
import { roundMm } from './rounding.ts';

/** A job laid elsewhere: place p of the job lies at p, turned about the origin and then shifted by (xMm, yMm). */
export interface Placement {
  /** Quarter turns, counter-clockwise as seen from above. */
  readonly turns: 0 | 1 | 2 | 3;
  readonly xMm: number;
  readonly yMm: number;
  /** What was asked for, as a person says it. */
  readonly asked: Pick<Settings, 'shiftMm' | 'turnDegrees'>;
}

/** A vector turned by quarter turns; exact, since coordinates only change places and signs. */
export function turned(turns: Placement['turns'], x: number, y: number): [number, number] {
  if (turns === 0) return [x, y];
  if (turns === 1) return [-y, x];
  if (turns === 2) return [-x, -y];
  return [y, -x];
}

/** Where a place of the job lies now. */
export function placedAt({ turns, xMm, yMm }: Placement, x: number, y: number): [number, number] {
  const [u, v] = turned(turns, x, y);
  return [u + xMm, v + yMm];
}

/** Whether a wish lays the job elsewhere. */
export const movesJob = ({ shiftMm, turnDegrees }: Settings): boolean =>
  (shiftMm !== undefined && (shiftMm[0] !== 0 || shiftMm[1] !== 0)) || (turnDegrees ?? 0) !== 0;

/**
 * Where the wishes lay a job: turned about the middle of what burns, so that it stays where it is, then shifted.
 * @param job the job as it is, by which the middle goes whatever else is changed; to a micrometre, so that turned
 *   numbers have no more digits than the job's.
 * @returns null where it stays.
 */
export function placementOf(job: Program, wishes: Wishes, firesOnRapids: boolean): Placement | null {
  const asked = wishes[0];
  if (!asked || !movesJob(asked)) return null;
  const { shiftMm = [0, 0], turnDegrees = 0 } = asked;
  const turns = (turnDegrees / 90) as Placement['turns'];
  const { burn } = jobBounds(job, firesOnRapids);
  const [x, y] = isEmptyBounds(burn) ? [0, 0] : middleOf(burn);
  const [u, v] = turned(turns, x, y);
  return { turns, xMm: roundMm(x - u) + shiftMm[0], yMm: roundMm(y - v) + shiftMm[1], asked };
}

/** What to do at the machine instead, where a job cannot be written elsewhere. */
export function insteadOfPlacing({ asked: { shiftMm = [0, 0], turnDegrees = 0 } }: Placement): string {
  const way = turnDegrees === 270 ? '90° counter-clockwise' : `${turnDegrees}° clockwise`;
  if (turnDegrees !== 0)
    return `turn the board by ${way} and lay it under the job as it is, where the job is to be on it`;
  return `set the origin ${shiftWords(shiftMm)} of where it is set for the job as it is`;
}

/** A way across the board: `12 mm to the right and 3 mm to the front`. */
export function shiftWords([x, y]: readonly [xMm: number, yMm: number]): string {
  const sides = [
    x === 0 ? null : `${numberWords(Math.abs(x))} mm to the ${x < 0 ? 'left' : 'right'}`,
    y === 0 ? null : `${numberWords(Math.abs(y))} mm to the ${y < 0 ? 'front' : 'back'}`,
  ];
  return sides.filter((words) => words !== null).join(' and ');
}
