import type { Motion } from '../../motion/motion.ts';
import { moveTimeS } from '../../motion/timeline.ts';
import { type Evidence, hatchOf, type OperationEvidence } from './evidence.ts';
import { type RowLines, rowsAlong } from './row-lines.ts';
import { SLOW } from './survey.ts';

/** The rows of an operation on which the head never comes up to its feed, from end to end. */
export interface SlowRows {
  /** The moves of them that burn, in the order burned. */
  readonly moves: readonly number[];
  /** Those of all other rows. */
  readonly others: readonly number[];
  /** How many rows they are, and how long all of them are together, mm. */
  readonly count: number;
  readonly lengthMm: number;
}

/**
 * Looks for them: a row is all that the head runs in one go, gaps included, so that the last letter before a row's end is
 * none of these.
 * @param motion as the machine is, whatever the link does.
 */
export function slowRowsOf(
  { program, energies }: Evidence,
  each: OperationEvidence,
  motion: Motion,
): SlowRows {
  const { xMm, yMm } = program.moves;
  const { nominalMmPerS, flatMm } = energies;
  const { operation } = each;
  const hatch = hatchOf(each);
  const found: number[] = [];
  const others: number[] = [];
  let [count, lengthMm] = [0, 0];
  let row: number[] = [];
  let isSlow = true;
  let way = 0;
  let line: RowLines | null = null;

  const endRow = (): void => {
    for (const i of row) (isSlow ? found : others).push(i);
    if (isSlow && row.length > 0) count++;
    if (isSlow) for (const i of row) lengthMm += flatMm(i);
    row = [];
    isSlow = true;
  };

  for (let i = operation.firstMove; i <= operation.lastMove; i++) {
    const dx = xMm[i]! - (i > 0 ? xMm[i - 1]! : 0);
    const dy = yMm[i]! - (i > 0 ? yMm[i - 1]! : 0);
    const along = rowsAlong(hatch, dx, dy);
    const now = along ? Math.sign(dx * along.ux + dy * along.uy) : 0;
    if (now !== way || now === 0 || along !== line) endRow();
    way = now;
    line = along;
    if (now === 0) continue;
    const full = nominalMmPerS[i]!;
    if (full === 0) continue;
    row.push(i);
    if (motion.peakMmPerS[i]! >= SLOW * full) isSlow = false;
  }
  endRow();
  return { moves: found, others, count, lengthMm };
}

/**
 * How many times as long as at full speed the head takes along them: what constant power gives more.
 * @param fullMmPerS full speed on a move.
 */
export function timesLonger(
  moves: readonly number[],
  motion: Motion,
  fullMmPerS: (i: number) => number,
): number {
  let [tookS, fullS] = [0, 0];
  for (const i of moves) {
    tookS += moveTimeS(motion, i);
    fullS += motion.lengthMm[i]! / fullMmPerS(i);
  }
  return fullS > 0 ? tookS / fullS : 1;
}

/** Places along a move whose tones are averaged. */
const PLACES = 8;

/**
 * How dark a move comes out on the mean of its length, at the speeds the head has on it.
 * @param needTimes how many times the need of one cool firing it has.
 */
export function toneAlong(
  { energies, wood }: Evidence,
  { straight, overSeen, straightDwellS }: OperationEvidence,
  { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS }: Motion,
  i: number,
  needTimes: number,
): number {
  const full = energies.nominalMmPerS[i]!;
  let sum = 0;
  for (let k = 0; k < PLACES; k++) {
    const behindMm = ((k + 0.5) / PLACES) * lengthMm[i]!;
    const up = Math.sqrt(entryMmPerS[i]! ** 2 + 2 * accelMmPerS2[i]! * behindMm);
    const down = Math.sqrt(entryMmPerS[i + 1]! ** 2 + 2 * accelMmPerS2[i]! * (lengthMm[i]! - behindMm));
    const mmPerS = Math.min(up, down, peakMmPerS[i]!);
    const doseJPerMm2 = straight.dosePerLineEnergy * energies.atSpeedJPerMm(i, mmPerS);
    sum += wood.tone(doseJPerMm2 / overSeen / needTimes, (straightDwellS * full) / mmPerS);
  }
  return sum / PLACES;
}
