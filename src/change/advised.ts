import { InputError } from '../errors.ts';
import { bySeverity, type Finding, type FindingKind } from '../findings/finding.ts';
import type { Change } from './change.ts';
import { changesWords, parseChanges } from './grammar.ts';

/**
 * Advice is tried before it is taken: each finding's remedy is right by itself, but two of them, or one and the
 * rest of the job, may not go together. So what is advised is forecast, and what the new forecast advises too, until
 * nothing gets better; what makes anything worse is left out.
 */
export interface Settled {
  /** What was taken, one change for each operation, in their order; empty where nothing helps. */
  readonly changes: readonly Change[];
  /** What the forecast with these changes still finds. */
  readonly findings: readonly Finding[];
  /** Why an advice could not be followed at all, where one could not. */
  readonly refusal: InputError | null;
}

/** What a forecast finds, and which operations it has for cuts. */
export interface Foretold {
  readonly findings: readonly Finding[];
  readonly cuts: readonly { readonly operation: number }[];
}

/** What a forecast with changes finds, or why they cannot be made. */
export type Answer = Foretold | InputError;

/** Asks for forecasts with changes, one after the other. */
export type Trial = Generator<readonly Change[], Settled, Answer>;

/** Advice upon advice upon advice: what is not well by then is not mended by settings. */
const MOST_ROUNDS = 5;
/** Each trial is a forecast of the whole job. */
const MOST_TRIALS = 24;
/** What an advice brings may have a remedy of its own, and that bring another. */
const MOST_STEPS = 3;

/** One state of the job: what was changed, and what is found then. */
interface State {
  readonly changes: readonly Change[];
  readonly findings: readonly Finding[];
}

/**
 * What the findings advise, one change for each operation, in their order. Where two advise on one setting the
 * worse finding has its way, in speed and power together.
 * @param findings the worst first.
 */
export const advisedChanges = (findings: readonly Finding[]): Change[] =>
  [...findings]
    .reverse()
    .flatMap((finding) => adviceOf(finding, findings))
    .reduce<Change[]>((sofar, advice) => {
      const free = sofar.map((change) =>
        change.operation === advice.operation && setsDose(advice) ? withoutDose(change) : change,
      );
      return merged([...free, advice]);
    }, []);

/** A power is meant for the speed that is told with it, or that of the job: beside another it would be another dose. */
const DOSE_SETTINGS: readonly string[] = ['speedMmPerS', 'powerFraction'] satisfies (keyof Change)[];

const setsDose = (change: Change): boolean => DOSE_SETTINGS.some((key) => Object.hasOwn(change, key));

const withoutDose = ({ speedMmPerS, powerFraction, ...rest }: Change): Change => rest;

/** What is advised and what was asked for, which stands where both are of one setting. */
export const besideAsked = (advised: readonly Change[], asked: readonly Change[]): Change[] => [
  ...advised.flatMap(({ operation, ...settings }) => {
    const own = asked.filter((each) => each.operation === operation);
    const free = Object.entries(settings).filter(([key]) => !own.some((each) => Object.hasOwn(each, key)));
    return free.length > 0 ? [{ operation, ...Object.fromEntries(free) }] : [];
  }),
  ...asked,
];

/** What a finding advises, unless that waits for the job to be laid on the board. */
const adviceOf = (finding: Finding, all: readonly Finding[]): Change[] =>
  finding.advice && !waits(finding, all) ? parseChanges(finding.advice.change) : [];

/** Their advice is more energy. */
const WANT_MORE: readonly FindingKind[] = ['not-through', 'no-mark'];

/** What burns the bed is not to burn it more: first it must lie on the board. */
const waits = ({ kind, advice }: Finding, all: readonly Finding[]): boolean =>
  !!advice && WANT_MORE.includes(kind) && all.some((other) => other.kind === 'off-stock');

/** One change for each operation; of two changes of one setting the later stands. */
function merged(changes: readonly Change[]): Change[] {
  const byOperation = new Map<Change['operation'], Change>();
  for (const change of changes)
    byOperation.set(change.operation, { ...byOperation.get(change.operation), ...change });
  return [...byOperation.values()].sort((a, b) => Number(a.operation) - Number(b.operation));
}

/** Says of each operation that was a cut, and is none by the forecast with these changes, that it is meant to be one. */
const noMoreCuts = (cuts: Foretold['cuts'], after: Foretold, changes: readonly Change[]): Change[] =>
  cuts
    .filter(({ operation }) => !after.cuts.some((cut) => cut.operation === operation))
    .filter(({ operation }) => !changes.some((change) => change.operation === operation && change.intent))
    .map(({ operation }) => ({ operation, intent: 'cut' }));

/**
 * Tries what is advised, whoever makes the forecasts: at once (see {@link settle}) or elsewhere, as in a worker.
 * @param made of the job as it is, its findings the worst first.
 */
export function* settleAdvice({ findings, cuts }: Foretold): Trial {
  const start: State = { changes: [], findings };
  const known = new Map<string, Answer>([['', { findings, cuts }]]);
  let refusal: InputError | null = null;

  function* ask(changes: readonly Change[]): Generator<readonly Change[], State | null, Answer> {
    const words = changesWords(changes);
    if (!known.has(words)) {
      if (known.size > MOST_TRIALS) return null;
      let answer = yield changes;
      // What was taken for a cut by its depth is still one where it goes less deep, and is judged as such.
      const asCuts = answer instanceof InputError ? [] : noMoreCuts(cuts, answer, changes);
      if (asCuts.length > 0) answer = yield merged([...changes, ...asCuts]);
      known.set(words, answer);
    }
    const answer = known.get(words)!;
    if (!(answer instanceof InputError)) return { changes, findings: answer.findings };
    refusal ??= answer;
    return null;
  }

  /** A worse state, followed by what is advised for what it brought, until it is no worse: such a stop may be mended at once. */
  function* mended(before: State, worse: State): Generator<readonly Change[], State | null, Answer> {
    let now = worse;
    for (let step = 0; step < MOST_STEPS; step++) {
      const brought = broughtBy(before.findings, now.findings);
      const next = yield* ask(merged([...now.changes, ...advisedChanges(brought)]));
      if (!next || changesWords(next.changes) === changesWords(now.changes)) return null;
      if (compareTolls(tollOf(next.findings), tollOf(before.findings)) <= 0) return next;
      now = next;
    }
    return null;
  }

  /** What the state's own findings advise, all at once, or where that does harm one after the other. */
  function* advance(from: State): Generator<readonly Change[], State, Answer> {
    const all = yield* ask(merged([...from.changes, ...advisedChanges(from.findings)]));
    if (all && harmsNone(from, all)) return all;
    let now = from;
    for (const finding of from.findings) {
      const advice = adviceOf(finding, from.findings);
      if (advice.length === 0) continue;
      // The worst come first here, and their settings stand.
      const next = yield* ask(merged([...now.changes, ...withoutSet(advice, now, from)]));
      if (!next) continue;
      const isWorse = compareTolls(tollOf(next.findings), tollOf(now.findings)) > 0;
      now = (isWorse ? yield* mended(now, next) : next) ?? now;
    }
    return now;
  }

  let best = start;
  let now = start;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const next = yield* advance(now);
    if (changesWords(next.changes) === changesWords(now.changes)) break;
    now = next;
    if (compareTolls(tollOf(now.findings), tollOf(best.findings)) < 0) best = now;
  }
  // What was changed on the way and helped nobody is put back.
  for (const operation of idle(start, best)) {
    const without = yield* ask(best.changes.filter((change) => change.operation !== operation));
    if (without && compareTolls(tollOf(without.findings), tollOf(best.findings)) <= 0) best = without;
  }
  return { ...best, refusal };
}

/**
 * Tries what findings advise until nothing gets better, with forecasts at hand.
 * @param foretell what is found with these changes made; it may refuse them with an {@link InputError}, which is then
 * no error but an answer.
 */
export function settle(made: Foretold, foretell: (changes: readonly Change[]) => Foretold): Settled {
  const trial = settleAdvice(made);
  let step = trial.next();
  while (!step.done)
    step = trial.next(answerOf(() => foretell((step as { value: readonly Change[] }).value)));
  return step.value;
}

/** Why a finding is still there when all is settled. */
export type Left =
  /** No change of settings is advised for it. */
  | { readonly why: 'no advice' }
  /** With its advice the job would be worse as a whole: what would be found besides; none where it would be no better. */
  | { readonly why: 'no better'; readonly change: string; readonly brings: readonly Finding[] }
  /** Its advice cannot be written into this job. */
  | { readonly why: 'refused'; readonly change: string; readonly refusal: InputError }
  /** It would burn the bed more, where part of the job lies beside the board. */
  | { readonly why: 'off the board'; readonly change: string }
  /** So much was tried that this was not. */
  | { readonly why: 'not tried'; readonly change: string };

/**
 * Why each finding that is left was not mended by its advice: tries that on top of what was taken.
 * @param findings those that are left, in a job that may have been changed otherwise since: its S made to follow the speed.
 * @param foretell as in {@link settle}; what it was asked before it had better remember.
 * @returns one for each of `findings`.
 */
export function whyLeft(
  { changes, findings }: Pick<Settled, 'changes' | 'findings'>,
  foretell: (changes: readonly Change[]) => Foretold,
): Left[] {
  // What an advice brings is told by forecasts that differ in nothing else.
  const { findings: before } = foretell(changes);
  let trials = 0;
  return findings.map((finding): Left => {
    if (waits(finding, findings)) return { why: 'off the board', change: finding.advice!.change };
    const advice = adviceOf(finding, findings);
    if (advice.length === 0) return { why: 'no advice' };
    const change = changesWords(advice);
    if (trials++ >= MOST_TRIALS) return { why: 'not tried', change };
    const answer = answerOf(() => foretell(merged([...changes, ...advice])));
    return answer instanceof InputError
      ? { why: 'refused', change, refusal: answer }
      : { why: 'no better', change, brings: broughtBy(before, answer.findings) };
  });
}

/** What is found that was not found before, or not as grave. */
const broughtBy = (before: readonly Finding[], after: readonly Finding[]): Finding[] =>
  after.filter(
    (is) =>
      !before.some(
        (was) => was.kind === is.kind && was.operation === is.operation && bySeverity(was, is) <= 0,
      ),
  );

function answerOf(foretell: () => Foretold): Answer {
  try {
    return foretell();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
}

/** Advice without what has been set in this round already. */
function withoutSet(advice: readonly Change[], now: State, from: State): Change[] {
  return advice.flatMap(({ operation, ...settings }) => {
    const of = (state: State): Partial<Change> =>
      state.changes.find((change) => change.operation === operation) ?? {};
    const [is, was] = [of(now), of(from)];
    const isFree = (key: string): boolean => is[key as keyof Change] === was[key as keyof Change];
    const isDoseFree = DOSE_SETTINGS.every(isFree);
    const free = Object.entries(settings).filter(([key]) =>
      DOSE_SETTINGS.includes(key) ? isDoseFree : isFree(key),
    );
    return free.length > 0 ? [{ operation, ...Object.fromEntries(free) }] : [];
  });
}

/**
 * How much is found: stops, warnings, operations that leave no mark, notes; a stop weighs more than any number of warnings.
 * What leaves no mark is a warning too, but where it is mended another fault may come to light that was there before, and
 * one for the other that is better.
 */
type Toll = readonly number[];

const WEIGHED: readonly ((finding: Finding) => boolean)[] = [
  ({ severity }) => severity === 'stop',
  ({ severity }) => severity === 'warning',
  ({ kind }) => kind === 'no-mark',
  ({ severity }) => severity === 'note',
];

/** What the file was made for, no setting changes: nothing is better or worse for how that is told. */
const BEYOND_SETTINGS: ReadonlySet<FindingKind> = new Set(['other-scale']);

export const tollOf = (findings: readonly Finding[]): Toll =>
  WEIGHED.map((counts) =>
    findings
      .filter((finding) => counts(finding) && !BEYOND_SETTINGS.has(finding.kind))
      // The last one told of a kind stands for those that were not.
      .reduce((sum, { measure }) => sum + 1 + Number(measure.more_operations ?? 0), 0),
  );

/** Below 0 where `a` is less trouble, above where it is more. */
export function compareTolls(a: Toll, b: Toll): number {
  const at = a.findIndex((count, k) => count !== b[k]);
  return at < 0 ? 0 : a[at]! - b[at]!;
}

/** Neither the job as a whole nor one of its operations is worse off. */
function harmsNone(before: State, after: State): boolean {
  const of = ({ findings }: State, n: number | null) =>
    tollOf(findings.filter(({ operation }) => operation === n));
  const touched = new Set(after.findings.map(({ operation }) => operation));
  return (
    compareTolls(tollOf(after.findings), tollOf(before.findings)) <= 0 &&
    [...touched].every((n) => compareTolls(of(after, n), of(before, n)) <= 0)
  );
}

/** The operations that were changed and are no better for it. */
function idle(before: State, after: State): Change['operation'][] {
  const of = ({ findings }: State, target: Change['operation']) =>
    tollOf(findings.filter(({ operation }) => operation === target));
  return after.changes
    .map(({ operation }) => operation)
    .filter((operation) => compareTolls(of(after, operation), of(before, operation)) >= 0);
}
