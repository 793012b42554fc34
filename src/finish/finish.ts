import { excessToDepth } from '../burn/depth.ts';
import type { Change } from '../change/change.ts';
import { InputError } from '../errors.ts';
import { type MeantCut, meantCutsOf } from '../findings/evidence/cuts.ts';
import { enclosedByAll, largestOf } from '../findings/evidence/enclosed.ts';
import type { Evidence } from '../findings/evidence/evidence.ts';
import type { OnLine } from '../findings/evidence/on-line.ts';
import type { Forecast } from '../forecast.ts';
import { evidenceWithCuts } from '../outcome/meant-cuts.ts';
import { depthError, PLACE_PLUS_MINUS, type Reached, reachedOf } from '../outcome/reached.ts';
import { isOfCut, refuseTwoAnswers, type Said, type Told } from '../outcome/say.ts';
import { turningAxes } from '../program/elsewhere.ts';
import { likeliestCut } from '../program/operations.ts';
import { drawBoards, type SuchBoards, savedOnBoards } from '../sure/boards.ts';
import { DRAWS, normalDraws } from '../sure/draws.ts';
import { timesWith } from '../sure/warmed.ts';

/**
 * A cut that did not come through, finished on the same clamped board. What was reached says more of this wood under this
 * beam than any profile: every drawn board is held against it, and what still has to be burned is asked of those.
 */

/** What is left of one cut. */
export interface LeftToCut {
  readonly operation: number;
  /** How many times it was burned, and how many passes more make it sure. */
  readonly passesBurned: number;
  readonly passes: number;
  /** The part of such boards on which so many passes do, and on which one fewer would (0 where one does). */
  readonly chanceThrough: number;
  readonly chanceWithOneLess: number;
  /** How deep it is where it is shallowest, mm; null where nobody measured that. */
  readonly reachedMm: number | null;
  /** The length that is uncut, mm; null where nobody told. */
  readonly uncutMm: number | null;
  readonly thicknessMm: number;
  /**
   * How far what was told lies from what was forecast, as a multiple of what the two may differ by; negative: it reached
   * less.
   */
  readonly surprise: number;
  /** Its passes go down step by step, and are burned from the top again. */
  readonly isStepped: boolean;
}

export interface Finish {
  readonly left: readonly LeftToCut[];
  /** What makes the job into the finishing one. */
  readonly changes: readonly (Change & { readonly operation: number })[];
  /** Which of them burn inside what another cut has freed already. */
  readonly loose: readonly LooseBy[];
  /** The part of boards that is enough. */
  readonly sure: number;
}

/** An operation that is not through burns inside an outline of one that is. */
interface LooseBy {
  readonly operation: number;
  readonly within: number;
}

/** More passes than this are not advised: nobody burns one line so often. */
const MOST_PASSES = 50;
/** A thing of the lattice that no board varies. */
const TOLD_INDEX = 63;

/**
 * What finishes a job's cuts.
 * @param forecast of the job as it was burned, with the board it was burned on.
 * @param told what was reached, of one cut or several; a cut that is not told of is taken to be through.
 * @throws {InputError} where that cannot be: no thickness, no such cut, nothing left to cut.
 */
export function finishOf(forecast: Forecast, told: readonly Told[]): Finish {
  if ((forecast.stock?.thicknessMm ?? null) === null) {
    throw new InputError('found no thickness of the board; expected --stock with it, as in 120x80x4@0,0');
  }
  if (forecast.program.finishesCut) {
    throw new InputError(
      'found a job that itself finishes a cut; expected the one that was burned first: where this one was not enough, burn it once more as it is',
    );
  }
  if (turningAxes(forecast.program).length > 0) {
    throw new InputError(
      'found a job that turns or moves the piece by a further axis, of which no depth can be forecast; expected one that burns a board lying still',
    );
  }
  const named = withOperations(forecast, told);
  const evidence = evidenceWithCuts(
    forecast,
    named.map(([operation]) => operation),
  );
  const cuts = meantCutsOf(evidence);
  const left = named.flatMap(([operation, said]) => {
    const cut = cuts.find(({ each }) => each.operation.n === operation)!;
    return said.kind === 'through' ? [] : [leftOf(evidence, cut, said)];
  });
  if (left.length === 0)
    throw new InputError(`found every cut through; expected one that is not, as in ${named[0]![0]}: 1.6 mm`);
  return {
    left,
    changes: left.map(({ operation, passes, isStepped, passesBurned }) => ({
      operation,
      only: true,
      passes: isStepped ? Math.max(passes, passesBurned) : passes,
    })),
    loose: looseBy(evidence, cuts, new Set(left.map(({ operation }) => operation))),
    sure: evidence.sure,
  };
}

function looseBy(evidence: Evidence, cuts: readonly MeantCut[], left: ReadonlySet<number>): LooseBy[] {
  const freed = cuts.filter(({ each }) => !left.has(each.operation.n)).flatMap(({ loops }) => loops);
  const enclosed = enclosedByAll(
    evidence,
    largestOf(freed, (loop) => loop),
  );
  return [...left].flatMap((operation) => {
    const within = new Set(enclosed[operation - 1]!.map(({ loop }) => loop.operation));
    return Array.from(within, (each) => ({ operation, within: each }));
  });
}

/** Each thing told with the operation it is about. */
function withOperations({ program, cuts }: Forecast, told: readonly Told[]): [number, Said][] {
  const named = told.map(({ operation, said, words }): [number, Said] => {
    if (!isOfCut(said)) {
      throw new InputError(
        `found “${words}”; expected what was reached: 1.6 mm, 90 %, through but for 12 mm, or not through`,
      );
    }
    if (operation !== null) return [operation, said];
    if (cuts.length === 1) return [cuts[0]!.operation, said];
    throw new InputError(
      cuts.length === 0
        ? `found no operation that is meant to cut; expected the number of an outline before the colon, as in ${likeliestCut(program.operations)}: 1.6 mm`
        : `found ${cuts.length} operations that are meant to cut; expected the number of each that is not through, as in ${cuts[0]!.operation}: 1.6 mm`,
    );
  });
  for (const [n] of named) {
    const operation = program.operations[n - 1];
    if (!operation) {
      throw new InputError(
        `found operation ${n}; expected one of the job's, from 1 to ${program.operations.length}`,
      );
    }
    if (operation.kind === 'rows')
      throw new InputError(`found operation ${n}, which is rows; expected an outline`);
  }
  refuseTwoAnswers(
    told,
    named.map(([n]) => n),
  );
  return named;
}

function leftOf(evidence: Evidence, cut: MeantCut, said: Said): LeftToCut {
  const { operation } = cut.each;
  const { weakest } = cut.path;
  if (!weakest) {
    throw new InputError(`found nothing burned by operation ${operation.n}; expected a cut that was begun`);
  }
  const thicknessMm = evidence.stock!.thicknessMm!;
  const boards = drawBoards(evidence.material, evidence.machine, evidence.stock!);
  const needs = startNeeds(boards, weakest);
  const measured = reachedOf(evidence, cut, said);
  const error =
    measured.kind === 'depth' ? depthError(evidence, weakest, measured.depthMm) : PLACE_PLUS_MINUS;
  const { scale, surprise } = heldAgainst(
    { boards, needs, thicknessMm },
    weakest.doseJPerMm2,
    measured,
    error,
  );
  // By then the board has cooled, and each further pass asks for its own share of what begins removal.
  const { perPassJPerMm2: perPass, firings } = cut.least!;
  const more = boards.power.map((power, k) => {
    const lean = (scale[k]! * power) / boards.width[k]!;
    const wanted = needs.at(k, thicknessMm * boards.thickness[k]!) - lean * weakest.doseJPerMm2;
    const gain = lean * perPass - (firings === null ? 0 : needs.perFiring(k));
    return wanted > 0 && !(gain > 0) ? Infinity : Math.max(0, wanted) / gain;
  });
  more.sort();
  const passes = Math.max(1, Math.ceil(more[Math.ceil(evidence.sure * DRAWS) - 1]!));
  if (!(passes <= MOST_PASSES)) {
    throw new InputError(
      `found a cut that ${MOST_PASSES} more passes of operation ${operation.n} would not finish; expected more power or less speed: change them with adjust --only ${operation.n}`,
    );
  }
  const share = (n: number): number => more.filter((each) => each <= n).length / DRAWS;
  return {
    operation: operation.n,
    passesBurned: operation.passes,
    passes,
    chanceThrough: share(passes),
    chanceWithOneLess: passes > 1 ? share(passes - 1) : 0,
    reachedMm: measured.kind === 'depth' ? measured.depthMm : null,
    uncutMm: said.kind === 'all but' ? said.uncutMm : null,
    thicknessMm,
    surprise,
    isStepped: isStepped(evidence, cut),
  };
}

/** Whether its moves are burned at more than one height. */
function isStepped({ program: { moves } }: Evidence, { each: { operation } }: MeantCut): boolean {
  const { firstMove, lastMove } = operation;
  for (let k = firstMove; k <= lastMove; k++)
    if (moves.operation[k] === operation.n && Math.abs(moves.zMm[k]! - moves.zMm[firstMove]!) > 1e-6)
      return true;
  return false;
}

/** What dose a drawn board takes to a depth, J/mm², at the dwell and height of one place. */
interface Needs {
  at(draw: number, depthMm: number): number;
  /** What one more firing of cool wood asks for beyond that, where firings count, J/mm². */
  perFiring(draw: number): number;
}

function startNeeds(boards: SuchBoards, place: OnLine): Needs {
  const { dwellS, headZMm } = place;
  const { wood, width } = boards;
  const saved = savedOnBoards(boards, place);
  const costs = boards.costsAt(headZMm);
  const begins = (k: number): number =>
    wood.begins[k]! * (wood.byDepth[k]! + wood.bySqrtS[k]! * Math.sqrt(dwellS * width[k]!));
  return {
    at(k, depthMm) {
      const times = timesWith(place, saved[k]!, wood.firingCost[k]!);
      return begins(k) * times + excessToDepth(costs(k), depthMm);
    },
    perFiring: (k) => begins(k) * wood.firingCost[k]!,
  };
}

/**
 * Holds every drawn board against what was told, by a factor on its dose. A board's logarithm of dose over need, which the
 * profiles leave open by v, is drawn towards what was measured to ± s by the part v²/(v² + s²), each with an error of its
 * own (an ensemble Kalman filter of one number: G. Evensen, *Ocean Dynamics* 53, 343 (2003); value from memory). Where
 * what was told lies farther from the forecast than the profiles' doubts go, it is the profiles that are wrong.
 */
function heldAgainst(
  { boards, needs, thicknessMm }: { boards: SuchBoards; needs: Needs; thicknessMm: number },
  doseJPerMm2: number,
  measured: Reached,
  error: number,
): { scale: Float64Array; surprise: number } {
  const depthOf = (k: number) =>
    measured.kind === 'depth' ? measured.depthMm : thicknessMm * boards.thickness[k]!;
  const times = measured.kind === 'just through' ? measured.times : 1;
  const margin = boards.power.map((power, k) =>
    Math.log((times * doseJPerMm2 * power) / boards.width[k]! / needs.at(k, depthOf(k))),
  );
  const mean = margin.reduce((sum, each) => sum + each, 0) / DRAWS;
  const variance = margin.reduce((sum, each) => sum + (each - mean) ** 2, 0) / DRAWS;
  const errors = normalDraws(TOLD_INDEX);
  const surprise = -mean / Math.hypot(Math.sqrt(variance), error);
  if (measured.kind === 'not through') {
    // All that is known is that there was too little: those that would be through are drawn back to just not.
    return {
      scale: margin.map((each, k) => Math.exp(Math.min(0, -Math.abs(error * errors[k]!) - each))),
      surprise: Math.min(0, surprise),
    };
  }
  const open = Math.max(variance, mean * mean);
  const part = open / (open + error * error);
  return { scale: margin.map((each, k) => Math.exp(part * (error * errors[k]! - each))), surprise };
}
