import { type Change, numbersBefore } from '../change/change.ts';
import { type Changed, moveSource } from '../change/changed.ts';
import type { OpenJob } from '../change/open-job.ts';
import { InputError } from '../errors.ts';
import { type Enclosed, enclosedByAll, largestOf } from '../findings/evidence/enclosed.ts';
import { lineEnergies } from '../findings/evidence/line-energy.ts';
import { findLoops } from '../findings/evidence/loops.ts';
import { surveyOperations } from '../findings/evidence/survey.ts';
import { listWords } from '../findings/phrases.ts';
import { powerLaw } from '../laser/power.ts';
import type { Machine } from '../machine/profile.ts';
import type { Motion } from '../motion/motion.ts';
import { planMotion } from '../motion/plan.ts';

/**
 * A finishing job comes through where the first job did not, so what the first could burn in any order must now be burned
 * before the outline around it: afterwards it would lie on a loose part.
 */
export interface InOrder {
  readonly changed: Changed;
  readonly motion: Motion;
  /** In what other order it burns, as sentences; none where the job's own is right. */
  readonly sentences: readonly string[];
  /** What still comes too late, as sentences. */
  readonly late: readonly string[];
}

/**
 * What is left of a job, with the inside of every outline before it where that can be had.
 * @param changes what makes the job into the finishing one, with one change for each operation that is left.
 * @throws {InputError} where the changes cannot be made.
 */
export function inOrder(
  job: OpenJob,
  changes: readonly (Change & { readonly operation: number })[],
  machine: Machine,
): InOrder {
  const numbers = numbersBefore(job.table.program, changes);
  const numberOf = (n: number): number => (numbers ? numbers[n - 1]! : n);
  const asItIs = made(job.change(changes), machine);
  const late = tooLate(asItIs.motion, machine);
  const outer = new Set(
    late
      .filter(({ operation, loop }) => loop.operation !== operation)
      .map(({ loop }) => numberOf(loop.operation)),
  );
  const ordered = changes.map(
    (change): Change => ({
      ...change,
      insideFirst: true,
      ...(outer.has(change.operation) && { last: true }),
    }),
  );
  const other = tried(job, ordered, machine);
  if (other && tooLate(other.motion, machine).length === 0) {
    return { ...other, sentences: sentencesOf(asItIs.changed, other.changed, outer), late: [] };
  }
  return { ...asItIs, sentences: [], late: lateSentences(late, numberOf) };
}

type Made = Pick<InOrder, 'changed' | 'motion'>;

function made(plan: Changed, machine: Machine): Made {
  const changed = { ...plan, program: { ...plan.program, finishesCut: true } };
  return { changed, motion: planMotion(changed.program, machine) };
}

/** The same in another order; null where it cannot be changed so, or not be written. */
function tried(job: OpenJob, changes: readonly Change[], machine: Machine): Made | null {
  try {
    const plan = job.change(changes);
    job.rewrite(plan, () => {});
    return made(plan, machine);
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
}

/** What is burned inside an outline after its first pass: from then on the part may be loose. */
function tooLate(motion: Motion, machine: Machine): Enclosed[] {
  const { program } = motion;
  const law = powerLaw(machine.laser);
  const energies = lineEnergies(motion, machine, law);
  const survey = surveyOperations(motion, program.operations.length, energies, law, machine.laser.s_max);
  const loops = program.operations
    .flatMap((operation) => findLoops(program, operation, motion.lengthMm))
    .map((loop) => loop.earlier[0] ?? loop);
  return enclosedByAll(
    { program, machine, energies, survey },
    largestOf(loops, (loop) => loop),
  )
    .flat()
    .filter(({ late }) => late !== null);
}

const WHY = 'it comes through now, and what lies inside it must not be burned on a loose part';

function sentencesOf(before: Changed, after: Changed, outer: ReadonlySet<number>): string[] {
  const { moves } = after.program;
  const isSame =
    moves.count === before.program.moves.count &&
    moves.line.every((_, k) => moveSource(after, k) === moveSource(before, k));
  if (isSame) return [];
  const last = [...outer].sort((a, b) => a - b);
  return [
    last.length > 0
      ? `It burns ${operationsWords(last)} last, and inside first, other than the job: ${WHY}.`
      : `It burns the inside of each outline before the outline, with all its passes, other than the job: ${WHY}.`,
  ];
}

function lateSentences(late: readonly Enclosed[], numberOf: (n: number) => number): string[] {
  if (late.length === 0) return [];
  const outer = [...new Set(late.map(({ loop }) => numberOf(loop.operation)))].sort((a, b) => a - b);
  return [
    `What lies inside an outline of ${operationsWords(outer)} is burned after it, on a part that is loose by then, and the order ` +
      'could not be changed here: hold the part in place, with tape for one, or change the order in the program that wrote the job.',
  ];
}

const operationsWords = (numbers: readonly number[]): string =>
  `${numbers.length === 1 ? 'operation' : 'operations'} ${listWords(numbers.map(String))}`;
