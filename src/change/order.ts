import { InputError } from '../errors.ts';
import { addAll } from '../lists.ts';
import type { Machine } from '../machine/profile.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import { type Moves, type Operation, POWER_OFF, type Program } from '../program/program.ts';
import { startAnew } from './anew.ts';
import { endOf, isDarkFeed, startOf, straightOnMm } from './burned-rows.ts';
import type { Wishes } from './change.ts';
import { type Changed, firstStopAt, MADE, moveSource, stopSource } from './changed.ts';
import { chunksOf, insideFirst, type Span } from './inside-first.ts';
import { moveOf, stopOf } from './route-steps.ts';

/**
 * What is burned in another order. A unit is a whole operation, or one stroke of an operation that is burned
 * inside first. It takes along its run-up and run-out, the way that led to it, and the words on that way. Where
 * it follows another unit than in the job, it gets a rapid to where it begins, if that way does not lead there,
 * and a beam word that restates its power mode.
 */
interface Unit extends Span {
  /** Its first and last move with run-up and run-out. */
  readonly from: number;
  readonly to: number;
}

/**
 * Burns operations that are wished last after all others, and strokes that lie inside others before them.
 * Operations keep their numbers.
 * @param changed the program with its other settings changed.
 * @throws {InputError} where the order cannot be changed safely.
 */
export function changeOrder(changed: Changed, wishes: Wishes, machine: Machine): Changed {
  const { program } = changed;
  const { units, order } = plannedOrder(program, wishes);
  if (order.every((unit, at) => unit === at)) return changed;
  refusePauses(program, units, order);
  return reordered(changed, units, order, machine.laser.fires_on_rapids);
}

function plannedOrder(program: Program, wishes: Wishes): { units: Unit[]; order: number[] } {
  const spans: Span[] = [];
  const usual: number[] = [];
  const late: number[] = [];
  for (const operation of program.operations.toSorted((a, b) => a.firstMove - b.firstMove)) {
    const wish = wishes[operation.n - 1];
    const chunks = wish?.insideFirst ? chunksOf(program.moves, operation) : [wholeOf(operation)];
    const own = wish?.insideFirst ? insideFirst(program, operation, chunks) : [0];
    addAll(
      wish?.last ? late : usual,
      own.map((k) => spans.length + k),
    );
    addAll(spans, chunks);
  }
  return { units: withRuns(program, spans), order: [...usual, ...late] };
}

const wholeOf = ({ firstMove, lastMove }: Operation): Span => ({ first: firstMove, last: lastMove });

/** Gives each span the beam-off feed moves straight before and behind it, on which no word stops the head. */
function withRuns({ moves, stops }: Program, spans: readonly Span[]): Unit[] {
  const stopsBefore = (k: number) => stops.beforeMove[firstStopAt(stops.beforeMove, stops.count, k)] === k;
  const heading = (k: number) => {
    const [a, b] = [startOf(moves, k), endOf(moves, k)];
    const length = Math.hypot(b.xMm - a.xMm, b.yMm - a.yMm);
    return length > 0 ? ([(b.xMm - a.xMm) / length, (b.yMm - a.yMm) / length] as const) : null;
  };
  const units: Unit[] = [];
  for (const [n, { first, last }] of spans.entries()) {
    const into = heading(first);
    const out = heading(last);
    const previous = units.at(-1)?.to ?? -1;
    const end = n + 1 < spans.length ? spans[n + 1]!.first : moves.count;
    let from = first;
    while (
      into &&
      from - 1 > previous &&
      !stopsBefore(from) &&
      isDarkFeed(moves, from - 1) &&
      straightOnMm(moves, from - 1, ...into) > 0
    ) {
      from--;
    }
    let to = last;
    while (
      out &&
      to + 1 < end &&
      !stopsBefore(to + 1) &&
      isDarkFeed(moves, to + 1) &&
      straightOnMm(moves, to + 1, ...out) > 0
    ) {
      to++;
    }
    units.push({ first, last, from, to });
  }
  return units;
}

/** A pause must still come between the same work: someone may turn or change the piece in it. */
function refusePauses(
  { pauseLines, stops }: Program,
  units: readonly Unit[],
  order: readonly number[],
): void {
  if (pauseLines.length === 0) return;
  const pauses = new Set(pauseLines);
  /** Numbers of units that come first in both orders, one and the same set. */
  const settled = new Set<number>([0]);
  let furthest = -1;
  order.forEach((unit, at) => {
    furthest = Math.max(furthest, unit);
    if (furthest === at) settled.add(at + 1);
  });
  for (let k = 0; k < stops.count; k++) {
    if (!pauses.has(stops.line[k]!)) continue;
    const next = units.findIndex(({ to }) => stops.beforeMove[k]! <= to);
    const isAhead = next === 0 && stops.beforeMove[k]! <= units[0]!.from;
    if (next < 0 || isAhead || (settled.has(next) && order[next] === next)) continue;
    throw new InputError(
      'found a pause between what would be burned in another order; expected none there, since the piece may be changed or turned meanwhile',
      { line: stops.line[k]! },
    );
  }
}

function reordered(
  changed: Changed,
  units: readonly Unit[],
  order: readonly number[],
  firesOnRapids: boolean,
): Changed {
  const { program } = changed;
  const { moves, stops } = program;
  const anew = startAnew();
  const { moves: out, stops: outStops } = anew;
  // A beam on M106 goes on and off without a stop: its modes stay with the moves.
  const byStops = followsStops(program);
  let mode = POWER_OFF;

  const addAll = (k: number, isMoved: boolean) => {
    const lit = burnsAtFeed(moves, k);
    if (!byStops || lit) mode = moves.powerMode[k]!;
    if (isMoved && !lit && firesOnRapids && mode !== POWER_OFF && moves.s[k]! > 0) throw litTravel(moves, k);
    const operation = lit ? moves.operation[k]! : 0;
    anew.add({ ...moveOf(program, k), from: moveSource(changed, k), powerMode: mode, operation });
  };
  const addStopsBefore = (k: number) => {
    const end = firstStopAt(stops.beforeMove, stops.count, k + 1);
    for (let j = firstStopAt(stops.beforeMove, stops.count, k); j < end; j++) {
      const own = stops.powerMode[j]!;
      const before = j > 0 ? stops.powerMode[j - 1]! : POWER_OFF;
      // A stop for air, and a beam word that says what holds already, change nothing.
      const isStill = byStops && own === before && own !== POWER_OFF && stops.dwellS[j] === 0;
      if (!isStill) mode = own;
      anew.stop(stopSource(changed, j), stops.dwellS[j]!, { ...stopOf(program, j), powerMode: mode });
    }
  };
  /** The moves from … to with the stops before each. */
  const keep = (from: number, to: number, isMoved: boolean) => {
    for (let k = from; k <= to; k++) {
      addStopsBefore(k);
      addAll(k, isMoved);
    }
  };
  const makeApproach = ({ from, first }: Unit) => {
    const start = startOf(moves, from);
    const zMm = from > 0 ? moves.zMm[from - 1]! : 0;
    anew.add({
      ...moveOf(program, first),
      ...start,
      from: MADE,
      zMm,
      s: 0,
      powerMode: mode,
      rapid: 1,
      operation: 0,
    });
  };
  /** The power mode restated: what stood before it in the job may have said it. */
  const makeStop = ({ from, first }: Unit) => {
    if (!byStops) return;
    const wanted = moves.powerMode[first]!;
    const isStopped = outStops.count > 0 && outStops.beforeMove[outStops.count - 1] === out.count;
    if (isStopped && mode === wanted && from === first) return;
    mode = wanted;
    const rapid = out.count > 0 && out.rapid[out.count - 1] === 0 ? 0 : 1;
    anew.stop(MADE, 0, { s: 0, powerMode: mode, rapid, line: moves.line[first]! });
  };

  // What comes before the first unit stays there: homing, and words for the whole job.
  keep(0, units[0]!.from - 1, false);
  addStopsBefore(units[0]!.from);
  order.forEach((k, place) => {
    const unit = units[k]!;
    const isNext = place === 0 ? k === 0 : order[place - 1] === k - 1;
    if (k > 0) {
      keep(units[k - 1]!.to + 1, unit.from - 1, !isNext);
      addStopsBefore(unit.from);
    }
    if (!isNext) {
      makeApproach(unit);
      makeStop(unit);
    }
    addAll(unit.from, false);
    keep(unit.from + 1, unit.to, false);
  });
  keep(units.at(-1)!.to + 1, moves.count - 1, true);
  addStopsBefore(moves.count);

  const made = anew.finish(program, program.operations);
  countTravel(made.program);
  const isLit = mode !== POWER_OFF && lastS(out, outStops) > 0;
  return { ...made, program: { ...made.program, endsWithBeamOn: isLit ? program.endsWithBeamOn : null } };
}

/** S in force after the last move or stop, whichever comes last. */
function lastS(
  moves: { count: number; s: Float64Array },
  stops: { count: number; s: Float64Array; beforeMove: Uint32Array },
): number {
  const stop = stops.count - 1;
  return stop >= 0 && stops.beforeMove[stop] === moves.count ? stops.s[stop]! : moves.s[moves.count - 1]!;
}

/** Whether the power mode of every burning move is that of the last stop before it. */
export function followsStops({ moves, stops }: Program): boolean {
  let stop = 0;
  let mode = POWER_OFF;
  for (let k = 0; k < moves.count; k++) {
    while (stop < stops.count && stops.beforeMove[stop]! <= k) mode = stops.powerMode[stop++]!;
    if (moves.powerMode[k] !== mode) return false;
  }
  return true;
}

/** Counts the travel among an operation's moves to it again. */
function countTravel({ operations, moves }: Program): void {
  for (const { n, firstMove, lastMove } of operations) moves.operation.fill(n, firstMove, lastMove + 1);
}

const litTravel = ({ line }: Moves, k: number) =>
  new InputError(
    'found travel with the beam on, which would burn elsewhere in another order; expected S0 or M5 before it, so that the order can be changed',
    { line: line[k]! },
  );
