import { InputError } from '../errors.ts';
import { findStrokes } from '../program/passes.ts';
import type { Moves, Operation } from '../program/program.ts';

/** A run of moves that is kept together, first and last burning move. */
export interface Lap {
  readonly first: number;
  readonly last: number;
}

/**
 * The stretches of an operation's moves in the order they shall be burned, so that each path is burned `passes`
 * times. Stretches that follow one another in the job keep the travel between them; a lap burned again starts
 * anew.
 *
 * An operation burned once is repeated whole. One that is burned several times already repeats or leaves out
 * its last laps: laps of the whole operation, or of each outline where every outline gets its passes at once.
 * @throws {InputError} where the passes are burned in mixed order.
 */
export function lapsFor(moves: Moves, operation: Operation, passes: number): Lap[] {
  const { firstMove, lastMove, n } = operation;
  const now = operation.passes;
  const whole: Lap = { first: firstMove, last: lastMove };
  if (passes === now) return [whole];
  if (now === 1) return Array.from({ length: passes }, () => whole);

  const { first, last, key } = findStrokes(moves, firstMove, lastMove);
  const perLap = key.length / now;
  const lapOf = (from: number, strokes: number): Lap => ({
    first: first[from]!,
    last: last[from + strokes - 1]!,
  });
  if (Number.isInteger(perLap) && key.every((each, k) => each === key[k % perLap])) {
    const laps = Array.from({ length: now }, (_, k) => lapOf(k * perLap, perLap));
    return repeated(moves, laps, passes);
  }
  if (Number.isInteger(perLap) && key.every((each, k) => each === key[k - (k % now)])) {
    return Array.from({ length: perLap }, (_, outline) => {
      const laps = Array.from({ length: now }, (_, k) => lapOf(outline * now + k, 1));
      return repeated(moves, laps, passes);
    }).flat();
  }
  throw new InputError(
    `found the ${now} passes of operation ${n} burned in mixed order; expected them one after another, so that passes can be added or left out`,
    { line: operation.lines[0] },
  );
}

/** The first laps, or all of them and further ones after their example. */
function repeated(moves: Moves, laps: readonly Lap[], passes: number): Lap[] {
  const kept = Math.min(passes, laps.length);
  const together: Lap = { first: laps[0]!.first, last: laps[kept - 1]!.last };
  // Laps at different heights follow the work down: then the last one is the example.
  const level = laps.every(({ first }) => moves.zMm[first] === moves.zMm[laps[0]!.first]);
  const further = Array.from({ length: passes - kept }, (_, k) =>
    level ? laps[(kept + k) % laps.length]! : laps.at(-1)!,
  );
  return [together, ...further];
}
