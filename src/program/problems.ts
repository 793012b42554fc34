import { InputError } from '../errors.ts';

/** What keeps a file from being read: the first problem of each kind, in the order of its lines. */
export interface Problems {
  readonly found: InputError[];
  /** Kinds that stand on further lines. */
  readonly repeated: Set<string>;
  /** A line was not carried out, so that where the head is, and at what feed, is not known any more. */
  isLost: boolean;
}

/** So many are told at once. */
const MOST_PROBLEMS = 5;
/** So many lines are looked at behind the first problem, so that a file without end comes to one. */
const MOST_LINES_MORE = 20_000;

export const createProblems = (): Problems => ({ found: [], repeated: new Set(), isLost: false });

/**
 * Takes up a problem, unless it may come of an earlier one alone.
 * @returns whether it is worth while to read on for others.
 */
export function addProblem(problems: Problems, error: InputError): boolean {
  const { found, repeated } = problems;
  const follows = problems.isLost && (error.topic === 'feed' || error.topic === 'way');
  problems.isLost ||= error.topic === undefined;
  if (!follows) {
    const kind = kindOf(error);
    if (found.some((each) => kindOf(each) === kind)) repeated.add(kind);
    else found.push(error);
  }
  return found.length < MOST_PROBLEMS && error.topic !== 'size';
}

/** Whether a line is too far behind the first problem to be looked at. */
export const isFarBehind = ({ found }: Problems, line: number): boolean =>
  found.length > 0 && line > (found[0]!.line ?? 0) + MOST_LINES_MORE;

/** All that was found, as one error. */
export function refusalOf({ found, repeated }: Problems): InputError {
  const [first, ...further] = found
    .toSorted((a, b) => (a.line ?? 0) - (b.line ?? 0))
    .map((error) =>
      repeated.has(kindOf(error))
        ? new InputError(`${error.sentence} (and so on further lines)`, error)
        : error,
    );
  return new InputError(first!.sentence, first, further);
}

/** Problems are of one kind if they differ only in what they quote. */
const kindOf = ({ sentence }: InputError): string =>
  sentence.replace(/“[^”]*”/g, '“”').replace(/[A-Z]?[-+.\d]+/g, '0');
