import { InputError } from '../errors.ts';
import { burnsAtFeed } from '../program/beam-on.ts';
import type { Moves, Operation, Program } from '../program/program.ts';
import { firstStopAt, MADE } from './changed.ts';
import { roundMm } from './rounding.ts';

/** A move as it is added: where it comes from, where it ends, and what is in force. */
export interface NewMove {
  readonly from: number;
  readonly xMm: number;
  readonly yMm: number;
  readonly zMm: number;
  readonly feedMmPerS: number;
  readonly s: number;
  readonly powerMode: number;
  readonly rapid: 0 | 1;
  readonly line: number;
  readonly operation: number;
}

/**
 * How one operation is burned now: `keep` moves of the job as they stand (with the stops between them, not
 * those before the first), `stops` that stand before a move, and new moves.
 */
export type Step =
  | { readonly kind: 'keep'; readonly from: number; readonly to: number }
  | { readonly kind: 'stops'; readonly before: number }
  | { readonly kind: 'make'; readonly moves: readonly NewMove[] };

export interface Route {
  readonly steps: readonly Step[];
  /** The job goes on as it was up to this move (inclusive), and from that one. */
  readonly keptTo: number;
  readonly nextMove: number;
}

/** A move of the program as it stands. */
export const moveOf = ({ moves }: Program, k: number): NewMove => ({
  from: k,
  xMm: moves.xMm[k]!,
  yMm: moves.yMm[k]!,
  zMm: moves.zMm[k]!,
  feedMmPerS: moves.feedMmPerS[k]!,
  s: moves.s[k]!,
  powerMode: moves.powerMode[k]!,
  rapid: moves.rapid[k] === 1 ? 1 : 0,
  line: moves.line[k]!,
  operation: moves.operation[k]!,
});

/** What is in force in a stop of the program as it stands. */
export const stopOf = ({ stops }: Program, j: number) => ({
  s: stops.s[j]!,
  powerMode: stops.powerMode[j]!,
  rapid: stops.rapid[j] === 0 ? (0 as const) : (1 as const),
  line: stops.line[j]!,
});

/** The job's own travel up to move `first`, from wherever the head is, with its stops. */
export function travelTo(moves: Moves, first: number): Step[] {
  let from = first;
  while (from > 0 && !burnsAtFeed(moves, from - 1)) from--;
  return keptWay(from, first);
}

/** The job's own moves from … to before `to`, and all stops among them and before `to`. */
export const keptWay = (from: number, to: number): Step[] => [
  ...(from < to
    ? ([
        { kind: 'stops', before: from },
        { kind: 'keep', from, to: to - 1 },
      ] as const)
    : []),
  { kind: 'stops', before: to },
];

/** A new beam-off move of an operation; `like` is the move whose line it is counted to. */
export function darkMove(
  moves: Moves,
  operation: Operation,
  target: { xMm: number; yMm: number; zMm: number },
  rapid: 0 | 1,
  like: number,
  number: number = operation.n,
): NewMove {
  return {
    from: MADE,
    ...target,
    feedMmPerS: operation.feedMmPerS,
    s: 0,
    powerMode: moves.powerMode[operation.firstMove]!,
    rapid,
    line: moves.line[like]!,
    operation: number,
  };
}

/** A point beside a row's end, rounded on the axes on which it lies elsewhere. */
export function beside(
  { xMm, yMm }: { xMm: number; yMm: number },
  dxMm: number,
  dyMm: number,
): { xMm: number; yMm: number } {
  return {
    xMm: dxMm === 0 ? xMm : roundMm(xMm + dxMm),
    yMm: dyMm === 0 ? yMm : roundMm(yMm + dyMm),
  };
}

/** Refuses a job that stops the head somewhere between two moves (after `from`, up to `to`). */
export function refuseStops({ stops }: Program, operation: Operation, from: number, to: number): void {
  const stop = firstStopAt(stops.beforeMove, stops.count, from + 1);
  if (stop >= stops.count || stops.beforeMove[stop]! > to) return;
  throw new InputError(
    `found a word that stops the head at a row of operation ${operation.n} (a beam word, a dwell or air); expected rows that switch the beam with S alone, since overscan and row order cannot be changed around such stops`,
    { line: stops.line[stop]! },
  );
}
