import { InputError } from '../errors.ts';
import { addAll } from '../lists.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import { areOneWay, endOf, overscanOf, type Row, rowsOf, startOf } from './burned-rows.ts';
import type { Settings } from './change.ts';
import { MADE } from './changed.ts';
import type { Lap } from './repeat-passes.ts';
import {
  beside,
  darkMove,
  keptWay,
  moveOf,
  type NewMove,
  type Route,
  refuseStops,
  type Step,
  travelTo,
} from './route-steps.ts';
import { type Pass, runOutOf, runUpTo } from './row-ends.ts';

/**
 * The route of an operation of rows. Between two rows the head runs out beyond the row's end with the beam
 * off, goes over to where the next row's run-up begins, and runs up to it: out, over, in. Ways that are
 * already so are kept as they are. The way over is a rapid where the job used rapids between its rows or where
 * rows are burned in one direction.
 * @throws {InputError} where the rows cannot be told apart from what else burns, or the head stops at them.
 */
export function rowsRoute(
  program: Program,
  operation: Operation,
  wish: Settings,
  laps: readonly Lap[],
): Route {
  const { moves } = program;
  const { firstMove, lastMove } = operation;
  const rows = rowsOf(program, operation);
  const relays = wish.overscanMm !== undefined || wish.rowOrder !== undefined;
  const overscanMm = wish.overscanMm ?? overscanOf(moves, rows);
  if (relays) refuseSlopes(moves, operation);
  const byRapid = wish.rowOrder === 'one direction' || usesRapids(moves, firstMove, lastMove);

  const over = (a: Pass, b: Pass): NewMove[] => {
    const z = { zMm: moves.zMm[a.row.last]! };
    const out = { ...beside(a.end, overscanMm * a.ux, overscanMm * a.uy), ...z };
    const zNext = { zMm: moves.zMm[b.row.first]! };
    const into = { ...beside(b.start, -overscanMm * b.ux, -overscanMm * b.uy), ...zNext };
    const like = a.row.last;
    return [
      darkMove(moves, operation, out, 0, like),
      darkMove(moves, operation, into, byRapid ? 1 : 0, like),
      darkMove(moves, operation, { ...b.start, ...zNext }, 0, like),
    ];
  };

  const orderOf = ordersOf(rows);
  const steps: Step[] = [];
  let previous: Pass | undefined;
  for (const lap of laps) {
    const inLap = rows.filter(({ first, last }) => first >= lap.first && last <= lap.last);
    if (!relays) {
      if (previous) {
        const isNext = lap.first > previous.row.last;
        if (isNext) addAll(steps, travelTo(moves, lap.first));
        else steps.push({ kind: 'make', moves: over(previous, passOf(moves, inLap[0]!, false)) });
      }
      steps.push({ kind: 'keep', from: lap.first, to: lap.last });
      previous = passOf(moves, inLap.at(-1)!, false);
      continue;
    }
    let before: Row | undefined;
    for (const row of inLap) {
      const pass = passOf(moves, row, isBackwards(row, orderOf.get(row)!, wish));
      if (previous) {
        const way = over(previous, pass);
        if (before) refuseOtherBurning(program, operation, before, row);
        if (
          before &&
          !previous.backwards &&
          !pass.backwards &&
          isAlready(moves, way, before.last + 1, row.first - 1)
        ) {
          addAll(steps, keptWay(before.last + 1, row.first));
        } else {
          if (before) refuseStops(program, operation, before.last, row.first);
          steps.push({ kind: 'make', moves: way });
        }
      }
      addAll(steps, burnRow(program, operation, pass));
      previous = pass;
      before = row;
    }
  }

  const leading = firstMove < rows[0]!.first;
  const trailing = rows.at(-1)!.last < lastMove;
  if (leading || trailing) {
    if (relays) throw otherBurning(operation, moves.line[leading ? firstMove : lastMove]!);
  }
  if (!relays) {
    return {
      steps: [{ kind: 'stops', before: firstMove }, ...steps],
      keptTo: firstMove - 1,
      nextMove: lastMove + 1,
    };
  }
  const first = passOf(moves, rows[0]!, false);
  const runUp = runUpTo(program, operation, first, overscanMm);
  const runOut = runOutOf(program, operation, previous!, overscanMm);
  return {
    steps: [...runUp.steps, ...steps, ...runOut.steps],
    keptTo: runUp.keptTo,
    nextMove: runOut.nextMove,
  };
}

function passOf(moves: Moves, row: Row, backwards: boolean): Pass {
  const start = startOf(moves, row.first);
  const end = endOf(moves, row.last);
  return backwards
    ? { row, backwards, start: end, end: start, ux: -row.ux, uy: -row.uy }
    : { row, backwards, start, end, ux: row.ux, uy: row.uy };
}

/** Where a row comes among those of its direction. */
interface Order {
  readonly first: Row;
  readonly k: number;
}

function ordersOf(rows: readonly Row[]): Map<Row, Order> {
  const counts: { readonly first: Row; count: number }[] = [];
  const orders = new Map<Row, Order>();
  for (const row of rows) {
    let own = counts.find(({ first }) => areOneWay(first, row));
    if (!own) counts.push((own = { first: row, count: 0 }));
    orders.set(row, { first: own.first, k: own.count++ });
  }
  return orders;
}

/**
 * The first row of each direction keeps the way it is burned; the others follow it, or take turns by their place in the
 * job, so that a row burned again is burned the same way.
 */
function isBackwards(row: Row, { first, k }: Order, { rowOrder }: Settings): boolean {
  if (rowOrder === undefined) return false;
  const likeFirst = row.ux * first.ux + row.uy * first.uy > 0;
  return likeFirst !== (rowOrder === 'one direction' || k % 2 === 0);
}

function burnRow(program: Program, operation: Operation, { row, backwards }: Pass): Step[] {
  const { first, last } = row;
  if (!backwards) return [{ kind: 'keep', from: first, to: last }];
  refuseStops(program, operation, first, last);
  const turned: NewMove[] = [];
  for (let k = last; k >= first; k--) {
    turned.push({ ...moveOf(program, k), from: MADE, ...startOf(program.moves, k) });
  }
  return [{ kind: 'make', moves: turned }];
}

const SAME_MM = 1e-6;

/** Whether the job's own moves from … to are the way already. */
function isAlready(moves: Moves, way: readonly NewMove[], from: number, to: number): boolean {
  const real: NewMove[] = [];
  let at = endOf(moves, from - 1);
  for (const move of way) {
    if (Math.hypot(move.xMm - at.xMm, move.yMm - at.yMm) > SAME_MM) real.push(move);
    at = move;
  }
  if (real.length !== to - from + 1) return false;
  return real.every((move, k) => {
    const own = from + k;
    return (
      !burnsAtFeed(moves, own) &&
      Math.abs(moves.xMm[own]! - move.xMm) <= SAME_MM &&
      Math.abs(moves.yMm[own]! - move.yMm) <= SAME_MM &&
      moves.rapid[own] === move.rapid &&
      (move.rapid === 1 || moves.feedMmPerS[own] === move.feedMmPerS)
    );
  });
}

function usesRapids(moves: Moves, from: number, to: number): boolean {
  for (let k = from; k <= to; k++) if (moves.rapid[k] === 1) return true;
  return false;
}

/** Steps from row to row that are burned as well go round at most so far. */
const LONGEST_STEP = 3;

/** What burns between two rows may be a step to the next, which is then travelled dark; nothing longer. */
function refuseOtherBurning({ moves }: Program, operation: Operation, a: Row, b: Row): void {
  const from = endOf(moves, a.last);
  const to = startOf(moves, b.first);
  const stepMm = Math.hypot(to.xMm - from.xMm, to.yMm - from.yMm);
  let burnedMm = 0;
  for (let k = a.last + 1; k < b.first; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    const start = startOf(moves, k);
    const end = endOf(moves, k);
    burnedMm += Math.hypot(end.xMm - start.xMm, end.yMm - start.yMm);
  }
  if (burnedMm > LONGEST_STEP * stepMm + 0.05) throw otherBurning(operation, moves.line[a.last + 1]!);
}

const otherBurning = ({ n }: Operation, line: number) =>
  new InputError(
    `found burning in operation ${n} that is neither a row nor a step to the next; expected rows alone, so that overscan and row order can be changed`,
    { line },
  );

function refuseSlopes(moves: Moves, { n, firstMove, lastMove }: Operation): void {
  for (let k = firstMove; k <= lastMove; k++) {
    if (moves.zMm[k] === moves.zMm[firstMove]) continue;
    throw new InputError(
      `found operation ${n} changing its height; expected rows at one height, so that overscan and row order can be changed`,
      { line: moves.line[k]! },
    );
  }
}
