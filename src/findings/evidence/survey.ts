import type { Bounds } from '../../grid.ts';
import type { PowerLaw } from '../../laser/power.ts';
import type { Motion } from '../../motion/motion.ts';
import { moveTimeS } from '../../motion/timeline.ts';
import type { LineEnergies } from './line-energy.ts';

/**
 * What each operation did, added up in one pass over the moves that burn. Index: the operation's number;
 * lengths in mm, seen from above.
 */
export interface Survey {
  readonly burnedMm: Float64Array;
  /** Time the burning moves took, s. */
  readonly burnedS: Float64Array;
  /** Length run at less than {@link SLOW} of full speed. */
  readonly slowMm: Float64Array;
  /** Energy emitted on it, J, and what full speed everywhere would have emitted. */
  readonly energyJ: Float64Array;
  readonly nominalJ: Float64Array;
  /** Length whose feed lies beyond the machine's limit, and the greatest feed over limit. */
  readonly cappedMm: Float64Array;
  readonly mostCapped: Float64Array;
  /** Length whose S is above the scale; length whose S is too small to emit anything. */
  readonly clippedMm: Float64Array;
  readonly unlitMm: Float64Array;
  /** Extent of what burns: four numbers each, min x, min y, max x, max y; min > max where nothing does. */
  readonly bounds: Float64Array;
}

/** Below this part of its full speed the head counts as slow: within it dose is off by a tenth at most. */
export const SLOW = 0.9;
/** An operation that is slow over this part of its length is not the operation its feed says. */
export const MOSTLY = 0.5;
/** A feed this much above the limit is beyond rounding. */
const CAPPED = 1.005;

export function surveyOperations(
  motion: Motion,
  operations: number,
  energies: LineEnergies,
  law: PowerLaw,
  sMax: number,
): Survey {
  const { count, operation } = motion.program.moves;
  const sums = () => new Float64Array(operations + 1);
  const survey: Survey = {
    burnedMm: sums(),
    burnedS: sums(),
    slowMm: sums(),
    energyJ: sums(),
    nominalJ: sums(),
    cappedMm: sums(),
    mostCapped: sums(),
    clippedMm: sums(),
    unlitMm: sums(),
    bounds: emptyBounds(operations + 1),
  };
  for (let from = 0, to = 0; from < count; from = to) {
    const n = operation[from]!;
    while (to < count && operation[to] === n) to++;
    addRun(survey, n, [from, to], motion, energies, { law, sMax });
  }
  return survey;
}

/** Adds the moves `from` … `to` − 1, all of operation n. */
function addRun(
  survey: Survey,
  n: number,
  [from, to]: readonly [number, number],
  motion: Motion,
  energies: LineEnergies,
  { law, sMax }: { readonly law: PowerLaw; readonly sMax: number },
): void {
  const { xMm, yMm, s, feedMmPerS } = motion.program.moves;
  const { lengthMm, entryMmPerS } = motion;
  const { nominalMmPerS } = energies;
  const { bounds } = survey;
  // Sums of the run: numbers of the engine's own are several times faster to add to than an array's.
  let burnedMm = 0;
  let burnedS = 0;
  let slowMm = 0;
  let energyJ = 0;
  let nominalJ = 0;
  let cappedMm = 0;
  let mostCapped = 0;
  let clippedMm = 0;
  let unlitMm = 0;
  for (let i = from; i < to; i++) {
    const nominal = nominalMmPerS[i]!;
    if (nominal === 0) continue;
    if (i === 0) reach(bounds, 4 * n, 0, 0);
    else if (i === from || nominalMmPerS[i - 1] === 0) reach(bounds, 4 * n, xMm[i - 1]!, yMm[i - 1]!);
    reach(bounds, 4 * n, xMm[i]!, yMm[i]!);

    const flat = energies.flatMm(i);
    const line = energies.nominalJPerMm(i);
    burnedMm += flat;
    nominalJ += line * flat;
    const entry = entryMmPerS[i]!;
    const exit = entryMmPerS[i + 1]!;
    if (entry >= nominal && exit >= nominal && flat > 0) {
      // Full speed all along, as most moves of a raster: nothing to work out.
      burnedS += lengthMm[i]! / nominal;
      energyJ += line * flat;
    } else {
      burnedS += moveTimeS(motion, i);
      energyJ += energies.wholeJ(i);
      slowMm += Math.min(flat, slowMmOf(motion, i, SLOW * nominal));
    }
    const feed = feedMmPerS[i]!;
    if (feed > CAPPED * nominal) {
      cappedMm += flat;
      mostCapped = Math.max(mostCapped, feed / nominal);
    }
    if (s[i]! > sMax) clippedMm += flat;
    if (line === 0 && law.watts(s[i]!, 1) === 0) unlitMm += flat;
  }
  survey.burnedMm[n]! += burnedMm;
  survey.burnedS[n]! += burnedS;
  survey.slowMm[n]! += slowMm;
  survey.energyJ[n]! += energyJ;
  survey.nominalJ[n]! += nominalJ;
  survey.cappedMm[n]! += cappedMm;
  survey.mostCapped[n] = Math.max(survey.mostCapped[n]!, mostCapped);
  survey.clippedMm[n]! += clippedMm;
  survey.unlitMm[n]! += unlitMm;
}

/** How much of a move's way the head goes slower than `slow`, mm. */
export function slowMmOf(
  { lengthMm, accelMmPerS2, entryMmPerS, peakMmPerS }: Motion,
  i: number,
  slow: number,
): number {
  if (peakMmPerS[i]! <= slow) return lengthMm[i]!;
  const up = Math.max(0, slow * slow - entryMmPerS[i]! ** 2);
  const down = Math.max(0, slow * slow - entryMmPerS[i + 1]! ** 2);
  return up + down > 0 ? Math.min(lengthMm[i]!, (up + down) / (2 * accelMmPerS2[i]!)) : 0;
}

/** The survey when only power has changed: what each operation emits is `scales[n]` of what it was. */
export const scaledSurvey = (survey: Survey, scales: ArrayLike<number>): Survey => ({
  ...survey,
  energyJ: survey.energyJ.map((value, n) => value * scales[n]!),
  nominalJ: survey.nominalJ.map((value, n) => value * scales[n]!),
});

function emptyBounds(count: number): Float64Array {
  const bounds = new Float64Array(4 * count);
  for (let k = 0; k < count; k++) bounds.set([Infinity, Infinity, -Infinity, -Infinity], 4 * k);
  return bounds;
}

function reach(bounds: Float64Array, at: number, x: number, y: number): void {
  if (x < bounds[at]!) bounds[at] = x;
  if (y < bounds[at + 1]!) bounds[at + 1] = y;
  if (x > bounds[at + 2]!) bounds[at + 2] = x;
  if (y > bounds[at + 3]!) bounds[at + 3] = y;
}

/** The extent of what operation n burns. */
export const boundsOf = ({ bounds }: Survey, n: number): Bounds => ({
  minXMm: bounds[4 * n]!,
  minYMm: bounds[4 * n + 1]!,
  maxXMm: bounds[4 * n + 2]!,
  maxYMm: bounds[4 * n + 3]!,
});

/** What the operation gave on average, as a multiple of what full speed gives; 1 where it emits nothing. */
export const timesFullSpeed = (survey: Survey, n: number): number =>
  survey.nominalJ[n]! > 0 ? survey.energyJ[n]! / survey.nominalJ[n]! : 1;

/** Whether most of an operation's length never reaches its feed. */
export const isMostlySlow = ({ slowMm, burnedMm }: Survey, n: number): boolean =>
  slowMm[n]! > MOSTLY * burnedMm[n]!;

/** How fast the head is on the mean where operation n burns, mm/s. */
export const meanSpeedMmPerS = ({ burnedMm, burnedS }: Survey, n: number): number =>
  burnedMm[n]! / burnedS[n]!;
