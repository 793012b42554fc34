import type { Machine } from '../machine/profile.ts';
import { type BeamWords, burnsAtFeed, isLit, isLitAtRest } from '../program/beam-on.ts';
import { POWER_CONSTANT, POWER_PROPORTIONAL, type Program } from '../program/program.ts';

/**
 * Whether two programs are the same work: the head goes the same way at the same speed, rests at the same
 * places, and the beam gives the same. What a program says of a beam that is off anyway does not count.
 * @returns null, or the index of the first move that differs.
 */
export function firstDisagreement(a: Program, b: Program, machine: Machine): number | null {
  const sGrain = machine.laser.s_max * 1e-6;
  const firing = machine.laser.fires_on_rapids;
  const count = Math.min(a.moves.count, b.moves.count);
  for (let k = 0; k < count; k++) {
    const same =
      near(a.moves.xMm[k]!, b.moves.xMm[k]!, PLACE_MM) &&
      near(a.moves.yMm[k]!, b.moves.yMm[k]!, PLACE_MM) &&
      near(a.moves.zMm[k]!, b.moves.zMm[k]!, PLACE_MM) &&
      a.moves.rapid[k] === b.moves.rapid[k] &&
      sameBeam(a.moves, b.moves, k, firing, sGrain) &&
      sameFeed(a, b, k, firing);
    if (!same) return k;
  }
  if (a.moves.count !== b.moves.count) return count;
  if ((a.endsWithBeamOn === null) !== (b.endsWithBeamOn === null)) return count;
  return firstOtherStop(a, b, machine, sGrain);
}

/**
 * Whether each operation of a plan is in a file as the plan describes it: its feed, its power mode, its least and its
 * greatest S, on the moves that the plan counts as its own. The file may group them otherwise.
 * @returns null, or the first move of an operation that is not.
 */
export function firstOtherOperation(plan: Program, file: Program, machine: Machine): number | null {
  const sGrain = machine.laser.s_max * 1e-6;
  const { moves } = file;
  for (const { n, firstMove, lastMove, feedMmPerS, powerMode, sMin, sMax } of plan.operations) {
    const mode = powerMode === 'proportional' ? POWER_PROPORTIONAL : POWER_CONSTANT;
    let least = Infinity;
    let most = 0;
    for (let k = firstMove; k <= lastMove; k++) {
      if (plan.moves.operation[k] !== n || !burnsAtFeed(moves, k)) continue;
      if (moves.powerMode[k] !== mode) return firstMove;
      if (!near(moves.feedMmPerS[k]!, feedMmPerS, FEED_PART * feedMmPerS)) return firstMove;
      least = Math.min(least, moves.s[k]!);
      most = Math.max(most, moves.s[k]!);
    }
    if (!near(least, sMin, sGrain) || !near(most, sMax, sGrain)) return firstMove;
  }
  return null;
}

const PLACE_MM = 5e-5;
const FEED_PART = 1e-6;

const near = (a: number, b: number, grain: number): boolean => Math.abs(a - b) <= grain;

function sameBeam(a: BeamWords, b: BeamWords, k: number, firing: boolean, sGrain: number, l = k): boolean {
  const lit = isLit(a, k, firing);
  if (lit !== isLit(b, l, firing)) return false;
  return !lit || (near(a.s[k]!, b.s[l]!, sGrain) && a.powerMode[k] === b.powerMode[l]);
}

function sameFeed(a: Program, b: Program, k: number, firing: boolean): boolean {
  const { rapid, powerMode, feedMmPerS } = a.moves;
  const matters = rapid[k] === 0 || (powerMode[k] === POWER_PROPORTIONAL && isLit(a.moves, k, firing));
  return !matters || near(feedMmPerS[k]!, b.moves.feedMmPerS[k]!, FEED_PART * feedMmPerS[k]!);
}

/** Several stops at one place are as one; a dwell also counts by its time and what burns meanwhile. */
function firstOtherStop(a: Program, b: Program, machine: Machine, sGrain: number): number | null {
  const firing = machine.laser.fires_on_rapids;
  const placesA = places(a);
  const placesB = places(b);
  for (let k = 0; k < Math.max(placesA.length, placesB.length); k++) {
    if (placesA[k] !== placesB[k]) return Math.min(placesA[k] ?? Infinity, placesB[k] ?? Infinity);
  }
  const dwellsA = dwells(a);
  const dwellsB = dwells(b);
  for (let k = 0; k < Math.max(dwellsA.length, dwellsB.length); k++) {
    const [i, j] = [dwellsA[k], dwellsB[k]];
    if (i === undefined || j === undefined) return a.stops.beforeMove[i ?? 0] ?? 0;
    const litA = isLitAtRest(a.stops, i, firing);
    const litB = isLitAtRest(b.stops, j, firing);
    const same =
      a.stops.beforeMove[i] === b.stops.beforeMove[j] &&
      a.stops.dwellS[i] === b.stops.dwellS[j] &&
      litA === litB &&
      (!litA || near(a.stops.s[i]!, b.stops.s[j]!, sGrain));
    if (!same) return a.stops.beforeMove[i]!;
  }
  return null;
}

const places = ({ stops }: Program): number[] =>
  Array.from(new Set(stops.beforeMove.subarray(0, stops.count)));
const dwells = ({ stops }: Program): number[] =>
  Array.from({ length: stops.count }, (_, k) => k).filter((k) => stops.dwellS[k]! > 0);
