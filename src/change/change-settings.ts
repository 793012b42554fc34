import { InputError } from '../errors.ts';
import type { Machine } from '../machine/profile.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import type { Wishes } from './change.ts';
import { type Changed, firstStopAt, type Gap, gapsOf } from './changed.ts';
import { changeModes } from './power-modes.ts';
import { grainsPerS, roundFeed, roundS } from './rounding.ts';

/**
 * Changes of speed, power and power mode: every move stays where it is. Arrays that do not change are shared
 * with the program they came from.
 *
 * A setting also reaches the beam-off moves around an operation where the job says it once for both: a run-up
 * to the first row at the rows' own feed, a rapid for which the S of what follows is in force already.
 * @throws {InputError} where the machine has no such power mode.
 */
export function changeSettings(program: Program, wishes: Wishes, machine: Machine): Changed {
  const wants = (key: 'speedMmPerS' | 'powerFraction' | 'powerMode') =>
    program.operations.some(({ n }) => wishes[n - 1]?.[key] !== undefined);
  refuseUnknownMode(wishes, machine);
  let { moves, stops } = program;
  if (wants('speedMmPerS')) moves = { ...moves, feedMmPerS: changedFeeds(program, wishes) };
  if (wants('powerFraction')) {
    const changed = changedS(program, wishes, machine.laser.s_max);
    moves = { ...moves, s: changed.moveS };
    stops = { ...stops, s: changed.stopS };
  }
  const operations = program.operations.map((operation) => ({
    ...operation,
    ...describe(program, operation, wishes, machine.laser.s_max),
  }));
  const settled: Program = { ...program, moves, stops, operations };
  return wants('powerMode')
    ? changeModes(settled, program.operations)
    : { program: settled, moveFrom: null, stopFrom: null };
}

/** Where M4 burns with constant power no word gives the proportional kind. */
function refuseUnknownMode(wishes: Wishes, { laser }: Machine): void {
  if (laser.m4_power === 'proportional' || !wishes.some((wish) => wish?.powerMode === 'proportional')) return;
  throw new InputError(
    'found proportional power asked of a machine whose M4 burns with constant power (m4_power); expected constant power',
  );
}

function describe(
  program: Program,
  operation: Operation,
  wishes: Wishes,
  sMaxOfMachine: number,
): Partial<Operation> {
  const wish = wishes[operation.n - 1];
  if (!wish) return {};
  const scale = powerScale(operation, wishes, sMaxOfMachine);
  const grains = grainsPerS(sMaxOfMachine);
  return {
    feedMmPerS: wishedFeed(program, operation, wishes) ?? operation.feedMmPerS,
    powerMode: wish.powerMode ?? operation.powerMode,
    ...(wish.intent && { intent: wish.intent }),
    sMin: scale === 1 ? operation.sMin : roundS(operation.sMin * scale, grains),
    sMax: scale === 1 ? operation.sMax : roundS(operation.sMax * scale, grains),
    ...(wish.powerFraction !== undefined && { sMaxRead: operation.sMaxRead ?? operation.sMax }),
  };
}

/** By what an operation's S are multiplied, so that the greatest becomes the wanted part of full scale. */
export function powerScale(operation: Operation, wishes: Wishes, sMaxOfMachine: number): number {
  const fraction = wishes[operation.n - 1]?.powerFraction;
  return fraction === undefined ? 1 : (fraction * sMaxOfMachine) / operation.sMax;
}

/** The speed an operation shall have, as the job can say it; its own where that is meant. */
function wishedFeed(
  { mmPerUnit }: Program,
  { n, feedMmPerS }: Operation,
  wishes: Wishes,
): number | undefined {
  const wanted = wishes[n - 1]?.speedMmPerS;
  if (wanted === undefined) return undefined;
  return wanted === feedMmPerS ? wanted : roundFeed(wanted, mmPerUnit);
}

function changedFeeds(program: Program, wishes: Wishes): Float64Array {
  const { moves, operations } = program;
  const { feedMmPerS: old, rapid } = moves;
  const feedMmPerS = old.slice(0, moves.count);
  const put = (operation: Operation, from: number, to: number) => {
    const wanted = wishedFeed(program, operation, wishes);
    if (wanted === undefined) return;
    for (let k = from; k <= to; k++) if (old[k] === operation.feedMmPerS) feedMmPerS[k] = wanted;
  };
  for (const operation of operations) put(operation, operation.firstMove, operation.lastMove);
  for (const gap of gapsOf(program)) {
    const runUp = runUpFrom(moves, gap);
    if (gap.after) put(gap.after, runUp, gap.to);
    if (!gap.before) continue;
    let end = gap.from;
    while (end < runUp && rapid[end] === 0 && old[end] === gap.before.feedMmPerS) end++;
    put(gap.before, gap.from, end - 1);
  }
  return feedMmPerS;
}

/**
 * Where the way to an operation begins, as far as its feed goes: the beam-off moves at its own feed, and the
 * rapids before them for which that feed is in force already.
 */
function runUpFrom({ feedMmPerS, rapid }: Moves, { from, to, after }: Gap): number {
  if (!after) return to + 1;
  let k = to;
  while (k >= from && rapid[k] === 0 && feedMmPerS[k] === after.feedMmPerS) k--;
  while (k >= from && rapid[k] === 1 && feedMmPerS[k] === after.feedMmPerS) k--;
  return k + 1;
}

/** Scales S on an operation's moves and stops, and where the same S is in force right before or after them. */
function changedS(
  program: Program,
  wishes: Wishes,
  sMaxOfMachine: number,
): { moveS: Float64Array; stopS: Float64Array } {
  const { moves, stops, operations } = program;
  const moveS = moves.s.slice(0, moves.count);
  const stopS = stops.s.slice(0, stops.count);
  const grains = grainsPerS(sMaxOfMachine);
  const scaled = (s: number, scale: number) => (scale === 1 ? s : roundS(s * scale, grains));
  const scaleOf = (operation: Operation) => powerScale(operation, wishes, sMaxOfMachine);
  const stopAt = (move: number) => firstStopAt(stops.beforeMove, stops.count, move);

  for (const operation of operations) {
    const scale = scaleOf(operation);
    if (scale === 1) continue;
    const { firstMove, lastMove } = operation;
    for (let k = firstMove; k <= lastMove; k++) moveS[k] = roundS(moves.s[k]! * scale, grains);
    const end = stopAt(lastMove + 1);
    for (let k = stopAt(firstMove + 1); k < end; k++) stopS[k] = scaled(stops.s[k]!, scale);
  }

  for (const { from, to, before, after } of gapsOf(program)) {
    // The gap's moves and stops in order: a move as its index, a stop as −1 − its index.
    const events: number[] = [];
    for (let k = from; k <= to + 1; k++) {
      const end = stopAt(k + 1);
      for (let stop = stopAt(k); stop < end; stop++) events.push(-1 - stop);
      if (k <= to) events.push(k);
    }
    const sAt = (event: number) => (event < 0 ? stops.s[-1 - event]! : moves.s[event]!);
    const put = (event: number, scale: number) => {
      if (event < 0) stopS[-1 - event] = scaled(sAt(event), scale);
      else moveS[event] = scaled(sAt(event), scale);
    };
    let end = events.length;
    if (after) {
      while (end > 0 && sAt(events[end - 1]!) === moves.s[after.firstMove])
        put(events[--end]!, scaleOf(after));
    }
    if (before) {
      for (let k = 0; k < end && sAt(events[k]!) === moves.s[before.lastMove]; k++)
        put(events[k]!, scaleOf(before));
    }
  }
  return { moveS, stopS };
}
