import { burnsAtFeed } from './beam-on.ts';
import { type AreLines, findRows } from './find-rows.ts';
import { countPasses } from './passes.ts';
import { type Moves, type Operation, POWER_PROPORTIONAL } from './program.ts';
import { findRuns, type Runs } from './runs.ts';

/**
 * Groups moves into operations and writes each move's number into `moves.operation` (which the caller, its
 * maker, hands over for that). A new operation begins where feed, power mode or kind changes from one burning
 * move to the next; S alone does not. Travel between two burning moves of an operation belongs to it; travel
 * between operations, before the first and after the last keeps 0.
 * @param fillStepMm how far apart rows of a fill lie at most, mm, by the direction they run in and the height of the head,
 *   mm; else they are lines.
 */
export function groupOperations(moves: Moves, fillStepMm: FillStep = () => Infinity): Operation[] {
  const runs = findRuns(moves);
  const isRow = findRows(runs, lineJudge(moves, runs, fillStepMm));
  const operations: Operation[] = [];
  for (let from = 0; from < runs.count; ) {
    let to = from;
    while (
      to + 1 < runs.count &&
      runs.stretch[to + 1] === runs.stretch[from] &&
      isRow[to + 1] === isRow[from]
    ) {
      to++;
    }
    const n = operations.length + 1;
    const firstMove = runs.first[from]!;
    const lastMove = runs.last[to]!;
    moves.operation.fill(n, firstMove, lastMove + 1);
    operations.push(describe(moves, n, isRow[from] ? 'rows' : 'outline', firstMove, lastMove));
    from = to + 1;
  }
  return operations;
}

/** By a row's direction, a unit vector, and the height of the head, mm. */
export type FillStep = (ux: number, uy: number, headZMm: number) => number;

/** Lines are burned in pieces of at least so many times as far as they lie apart; what is shorter is dots of a picture. */
const LONG_PIECE = 2;
/** Runs of a block that are looked at. */
const MOST_LOOKED_AT = 200;

/** Tells lines from a fill: farther apart than its rows may lie, of one power, and in long pieces. */
const lineJudge =
  (moves: Moves, runs: Runs, fillStepMm: FillStep): AreLines =>
  (rows, spacingMm) => {
    const row = rows[0]!;
    const first = runs.first[row]!;
    const [x, y] = [runs.x1[row]! - runs.x0[row]!, runs.y1[row]! - runs.y0[row]!];
    const length = Math.hypot(x, y);
    if (spacingMm <= fillStepMm(x / length, y / length, moves.zMm[first]!)) return false;
    let [burnedMm, pieces] = [0, 0];
    for (const run of rows.slice(0, MOST_LOOKED_AT)) {
      burnedMm += runs.burned[run]!;
      let isLit = false;
      for (let k = runs.first[run]!; k <= runs.last[run]!; k++) {
        const burns = burnsAtFeed(moves, k);
        if (burns && moves.s[k] !== moves.s[first]) return false;
        if (burns && !isLit) pieces++;
        isLit = burns;
      }
    }
    return burnedMm >= LONG_PIECE * spacingMm * pieces;
  };

function describe(
  moves: Moves,
  n: number,
  kind: Operation['kind'],
  firstMove: number,
  lastMove: number,
): Operation {
  let sMin = Infinity;
  let sMax = 0;
  for (let k = firstMove; k <= lastMove; k++) {
    if (!burnsAtFeed(moves, k)) continue;
    sMin = Math.min(sMin, moves.s[k]!);
    sMax = Math.max(sMax, moves.s[k]!);
  }
  return {
    n,
    kind,
    powerMode: moves.powerMode[firstMove] === POWER_PROPORTIONAL ? 'proportional' : 'constant',
    feedMmPerS: moves.feedMmPerS[firstMove]!,
    sMin,
    sMax,
    firstMove,
    lastMove,
    lines: [moves.line[firstMove]!, moves.line[lastMove]!],
    passes: countPasses(moves, firstMove, lastMove),
  };
}

/** Height of the head at which an operation begins to burn, mm. */
export const headZMm = ({ moves }: { readonly moves: Moves }, { firstMove }: Operation): number =>
  moves.zMm[firstMove]!;

/** The last outline, which is the likeliest to be a cut; the first operation where there is none. */
export const likeliestCut = (operations: readonly Operation[]): number =>
  operations.findLast(({ kind }) => kind === 'outline')?.n ?? 1;
