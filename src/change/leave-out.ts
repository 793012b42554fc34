import { InputError } from '../errors.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { planMotion } from '../motion/plan.ts';
import { burnsAtFeed, isLit, isLitAtRest } from '../program/beam-on.ts';
import type { Operation, Program } from '../program/program.ts';
import { startAnew } from './anew.ts';
import { startOf } from './burned-rows.ts';
import type { Wishes } from './change.ts';
import { type Changed, MADE, moveSource, stopSource } from './changed.ts';
import { followsStops } from './order.ts';
import { moveOf, stopOf } from './route-steps.ts';

/**
 * Operations that are left out. What remains shall burn exactly as before, and how fast the head comes into a line and
 * out of it hangs on the way around it. So of what is left out the head still goes, dark, as far as it takes to reach
 * those speeds from rest and to come to rest from them; the way between is left out with its moves.
 */

/** A run of moves without light between two that burn: from … to (inclusive), and what in it is left out. */
interface DarkRun {
  readonly from: number;
  readonly to: number;
  /** First and last burning move left out. */
  readonly firstOut: number;
  readonly lastOut: number;
}

/** Moves from … to (inclusive) that go; the head rests behind them, and could before. */
interface Gone {
  readonly from: number;
  readonly to: number;
  /** The last move that no kept word may be taken from. */
  readonly lastOut: number;
  /** Whether something is burned behind. */
  readonly leads: boolean;
  /** The first move that the head comes to from rest; the moves before it, if any, are the job's own rapid to there. */
  readonly start: number;
  /** Whether a new rapid leads there. */
  readonly needsWay: boolean;
}

/**
 * Leaves out the operations that are wished so; those that stay are numbered anew.
 * @throws {InputError} where nothing would be left.
 */
export function leaveOut(changed: Changed, wishes: Wishes, machine: Machine): Changed {
  const out = new Set(changed.program.operations.map(({ n }) => n).filter((n) => wishes[n - 1]?.skip));
  if (out.size === changed.program.operations.length) {
    throw new InputError('found every operation left out; expected one that is burned');
  }
  const dark = darkened(changed, out, machine.laser.fires_on_rapids);
  const runs = darkRuns(changed.program, out);
  // A beam on M106 has no word that stops the head: then it goes the whole way, dark.
  const motion = followsStops(changed.program)
    ? planMotion(changed.program, { ...machine, link: null })
    : null;
  const gone = motion ? runs.flatMap((run) => goneOf(dark, motion, run)) : [];
  const short = gone.length > 0 ? shortened(dark, gone, out) : dark;
  const lineBytes = bytesSent(changed.program, short.program);
  return { ...short, program: { ...renumbered(short.program, out), lineBytes } };
}

/** Bytes of each line as they go over the link: none of those whose moves are all gone. */
function bytesSent({ moves: before, lineBytes }: Program, { moves: after }: Program): Uint32Array {
  const sent = lineBytes.slice();
  for (let k = 0; k < before.count; k++) if (before.line[k]! > 0) sent[before.line[k]! - 1] = 0;
  for (let k = 0; k < after.count; k++) {
    const line = after.line[k]!;
    if (line > 0) sent[line - 1] = lineBytes[line - 1]!;
  }
  return sent;
}

/** The program with all light out where something is left out. */
function darkened(
  { program, moveFrom, stopFrom }: Changed,
  out: ReadonlySet<number>,
  firing: boolean,
): Changed {
  const { moves, stops } = program;
  const s = moves.s.slice(0, moves.count);
  const stopS = stops.s.slice(0, stops.count);
  const operation = moves.operation.slice(0, moves.count);
  let stop = 0;
  for (const { from, to, lastOut } of darkRuns(program, out)) {
    for (let k = from; k <= to; k++) {
      if (isLit(moves, k, firing)) s[k] = 0;
      if (k <= lastOut || out.has(operation[k]!)) operation[k] = 0;
    }
    // A rest behind the last move left out is still its own, unless what stays begins there.
    const last = Math.min(lastOut + 1, to);
    while (stop < stops.count && stops.beforeMove[stop]! < from) stop++;
    for (; stop < stops.count && stops.beforeMove[stop]! <= last; stop++) {
      if (stops.dwellS[stop]! > 0 && isLitAtRest(stops, stop, firing)) stopS[stop] = 0;
    }
  }
  return {
    program: {
      ...program,
      moves: { ...moves, s, operation },
      stops: { ...stops, s: stopS },
      endsWithBeamOn: out.has(moves.operation[moves.count - 1]!) ? null : program.endsWithBeamOn,
    },
    moveFrom,
    stopFrom,
  };
}

/** The runs of moves in which something is left out and nothing is burned that stays. */
function darkRuns({ moves }: Program, out: ReadonlySet<number>): DarkRun[] {
  const runs: DarkRun[] = [];
  let from = 0;
  let firstOut = -1;
  let lastOut = -1;
  for (let k = 0; k <= moves.count; k++) {
    const burns = k < moves.count && burnsAtFeed(moves, k);
    if (burns && out.has(moves.operation[k]!)) {
      if (firstOut < 0) firstOut = k;
      lastOut = k;
    } else if (burns || k === moves.count) {
      if (firstOut >= 0) runs.push({ from, to: k - 1, firstOut, lastOut });
      from = k + 1;
      firstOut = -1;
    }
  }
  return runs;
}

/** Fewer moves than this are not worth a detour around them. */
const FEWEST_GONE = 3;

/** What of a dark run can go. @param motion of the job with all its light. */
function goneOf(changed: Changed, motion: Motion, run: DarkRun): Gone[] {
  const { moves, stops } = changed.program;
  const follows = run.from > 0;
  const leads = run.to + 1 < moves.count;
  // The way to what comes first holds words for the whole job, such as homing.
  const from = follows ? afterRest(changed, motion, run) : run.firstOut;
  const start = leads ? beforeSpeed(changed, motion, run) : run.lastOut + 1;
  for (let k = 0; leads && k < stops.count; k++) {
    // A dwell with the beam on, where the job's last word for motion was a feed: behind a rapid it would be dark.
    const at = stops.beforeMove[k]!;
    if (at > run.lastOut && at <= run.to + 1 && stops.dwellS[k]! > 0 && isLitAtRest(stops, k, false))
      return [];
  }
  const isRapid = (k: number) => k < moves.count && moves.rapid[k] === 1;
  const ownWay = leads ? start - 1 > from && isRapid(start - 1) : start === moves.count || isRapid(start);
  const to = (leads && ownWay ? lineStart(changed, start - 1) : start) - 1;
  if (to - from + 1 < FEWEST_GONE) return [];
  return [{ from, to, lastOut: Math.min(run.lastOut, to), leads, start, needsWay: !ownWay }];
}

/**
 * The first move behind the way that the head takes to come to rest from its speed into the run: braking from v takes
 * v² ≤ 2·Σ a·L.
 */
function afterRest(changed: Changed, motion: Motion, { from, firstOut, lastOut }: DarkRun): number {
  const { entryMmPerS: v, accelMmPerS2, lengthMm } = motion;
  let reach = 0;
  let needed = v[from]! ** 2;
  let k = from;
  while (needed > reach && k <= lastOut) {
    reach += 2 * accelMmPerS2[k]! * lengthMm[k]!;
    k++;
    needed = Math.min(needed, reach + v[k]! ** 2);
  }
  return k <= from ? Math.min(from, firstOut) : lineEnd(changed, k - 1) + 1;
}

/** The last move from whose start, at rest, the head comes to its speed at the end of the run. */
function beforeSpeed(changed: Changed, motion: Motion, { to, firstOut }: DarkRun): number {
  const { entryMmPerS: v, accelMmPerS2, lengthMm } = motion;
  let reach = 0;
  let needed = v[to + 1]! ** 2;
  let k = to + 1;
  while (needed > reach && k > firstOut) {
    k--;
    reach += 2 * accelMmPerS2[k]! * lengthMm[k]!;
    needed = Math.min(needed, reach + v[k]! ** 2);
  }
  return k > to ? k : lineStart(changed, k);
}

/** Moves of one line, as of an arc, stay together: the first of those that k is of. */
function lineStart(changed: Changed, k: number): number {
  while (k > 0 && isSameLine(changed, k - 1, k)) k--;
  return k;
}

function lineEnd(changed: Changed, k: number): number {
  while (k + 1 < changed.program.moves.count && isSameLine(changed, k, k + 1)) k++;
  return k;
}

const isSameLine = (changed: Changed, a: number, b: number): boolean =>
  changed.program.moves.line[a] === changed.program.moves.line[b] &&
  moveSource(changed, a) !== MADE &&
  moveSource(changed, b) === moveSource(changed, a) + 1;

/** The program without what is gone. */
function shortened(changed: Changed, gone: readonly Gone[], out: ReadonlySet<number>): Changed {
  const { program } = changed;
  const { moves, stops } = program;
  const anew = startAnew();
  const { moves: done, stops: doneStops } = anew;
  const pauses = new Set(program.pauseLines);
  let nextStop = 0;

  const addOwn = (k: number) => anew.add({ ...moveOf(program, k), from: moveSource(changed, k) });
  /** The stops up to before move k; of those within what is gone only pauses and dwells. */
  const addStops = (k: number, isGone = false) => {
    for (; nextStop < stops.count && stops.beforeMove[nextStop]! <= k; nextStop++) {
      const j = nextStop;
      if (isGone && stops.dwellS[j] === 0 && !pauses.has(stops.line[j]!)) continue;
      anew.stop(stopSource(changed, j), stops.dwellS[j]!, stopOf(program, j));
    }
  };
  /** A rest in the dark, in the power mode of move k: the mode restated. */
  const addRest = (k: number) => {
    const rapid = done.count > 0 && done.rapid[done.count - 1] === 0 ? 0 : 1;
    anew.stop(MADE, 0, { s: 0, powerMode: moves.powerMode[k]!, rapid, line: moves.line[k]! });
  };
  const isRest = (): boolean =>
    doneStops.count > 0 && doneStops.beforeMove[doneStops.count - 1] === done.count;
  /** A new rapid to where move `to` begins. */
  const addWay = (to: number) =>
    anew.add({
      ...moveOf(program, to),
      ...startOf(moves, to),
      zMm: to > 0 ? moves.zMm[to - 1]! : 0,
      from: MADE,
      s: 0,
      powerMode: lastMode(),
      rapid: 1,
      operation: 0,
    });
  const lastMode = (): number =>
    doneStops.count > 0 ? doneStops.powerMode[doneStops.count - 1]! : moves.powerMode[0]!;

  let k = 0;
  for (const { from, to, lastOut, leads, start, needsWay } of gone) {
    for (; k < from; k++) {
      addStops(k);
      addOwn(k);
    }
    addStops(from);
    addStops(lastOut, true);
    k = to + 1;
    if (!leads) continue;
    if (needsWay) addWay(k);
    for (; k < start; k++) {
      addStops(k);
      addOwn(k);
    }
    addStops(k);
    if (!isRest() || lastMode() !== moves.powerMode[k]) addRest(k);
  }
  for (; k < moves.count; k++) {
    addStops(k);
    addOwn(k);
  }
  addStops(moves.count);
  return anew.finish(
    program,
    program.operations.filter(({ n }) => !out.has(n)),
  );
}

/** The program with the operations that stay, numbered from 1 in the order of their old numbers. */
function renumbered(program: Program, out: ReadonlySet<number>): Program {
  const kept = program.operations.filter(({ n }) => !out.has(n));
  const numberOf = new Map(kept.map(({ n }, k) => [n, k + 1]));
  const { moves } = program;
  const operation = moves.operation.map((n) => numberOf.get(n) ?? 0);
  const first = new Int32Array(kept.length + 1).fill(-1);
  const last = new Int32Array(kept.length + 1).fill(-1);
  for (let k = 0; k < moves.count; k++) {
    const n = operation[k]!;
    if (n === 0 || !burnsAtFeed(moves, k)) continue;
    if (first[n] === -1) first[n] = k;
    last[n] = k;
  }
  const operations = kept.map(
    (each, k): Operation => ({ ...each, n: k + 1, firstMove: first[k + 1]!, lastMove: last[k + 1]! }),
  );
  return { ...program, moves: { ...moves, operation }, operations };
}
