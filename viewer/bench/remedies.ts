import { batch, signal } from '@preact/signals';
import { settleAdvice } from '../../src/change/advised.ts';
import type { Change } from '../../src/change/change.ts';
import { changeWords, parseChanges } from '../../src/change/grammar.ts';
import { InputError } from '../../src/errors.ts';
import type { Advice } from '../../src/findings/finding.ts';
import { type Changes, changeList, laidBy, withLaid, withSettings } from '../state/changes.ts';
import { isSame } from '../state/same.ts';
import { changeAsForetold, changes, fineWish, operations, scene, setup, wished } from '../state/store.ts';
import { Forecaster } from '../worker/client.ts';
import type { Scene, Setup } from '../worker/messages.ts';

/** Takes a finding's remedy: the sentence of its operation changes, and the forecast with it. */
export function take(advice: Advice): void {
  changes.value = withChanges(changes.peek(), parseChanges(advice.change));
}

/** The changes with further ones, each shared out to the operations that it means. */
function withChanges(base: Changes, further: readonly Change[]): Changes {
  const sMax = setup.peek()?.machine.laser.s_max;
  if (sMax === undefined) return base;
  let all = base;
  for (const { operation: target, shiftMm, turnDegrees, ...settings } of further) {
    const laid = laidBy(all);
    all = withLaid(all, { shiftMm: shiftMm ?? laid.shiftMm, turnDegrees: turnDegrees ?? laid.turnDegrees });
    for (const operation of operations.peek()) {
      const kind = operation.kind === 'rows' ? 'rows' : 'outlines';
      if (target === operation.n || target === 'all' || target === kind)
        all = withSettings(all, operation, settings, sMax);
    }
  }
  return all;
}

/** All remedies of a bench, which are being forecast together or, `inVain`, were and none of them helps. */
export const trying = signal<{ readonly of: Setup; readonly inVain: boolean } | null>(null);

/**
 * Tries every remedy that settings can bring, as the command line does for `--advised`, and takes what makes the job
 * better. What the person changes meanwhile ends it.
 */
export async function takeAll(): Promise<void> {
  const [of, made, before] = [setup.peek(), scene.peek(), changes.peek()];
  if (!of || !made || (trying.peek()?.of === of && !trying.peek()!.inVain)) return;
  const isAsBefore = () => setup.peek() === of && changes.peek() === before;
  const now = { of, inVain: false };
  trying.value = now;
  try {
    const tried = await tryAll(settleAdvice(made.forecast), before, isAsBefore);
    batch(() => {
      if (tried?.taken.length === 0) trying.value = { of, inVain: true };
      if (!tried) return;
      const next = withChanges(before, tried.taken);
      if (tried.last && isSame(changeList(next), tried.last.setup.changes))
        changeAsForetold(next, tried.last);
      else changes.value = next;
    });
  } finally {
    if (trying.peek() === now) trying.value = null;
  }
}

/** What came of trying remedies. */
interface Tried {
  readonly taken: readonly Change[];
  /** The last that was forecast: mostly what is taken, for which the bench then waits no longer. */
  readonly last: Scene | null;
}

/** @returns the changes that make the job better; null: something else was changed meanwhile. */
async function tryAll(
  trial: ReturnType<typeof settleAdvice>,
  before: Changes,
  isAsBefore: () => boolean,
): Promise<Tried | null> {
  const of = wished.peek();
  const forecaster = new Forecaster();
  let last: Scene | null = null;
  try {
    let step = trial.next();
    while (of && !step.done && isAsBefore()) {
      const wish = { ...of, changes: changeList(withChanges(before, step.value)) };
      const made = await tryOut(forecaster, wish);
      if (!(made instanceof InputError)) last = made;
      step = trial.next(made instanceof InputError ? made : made.forecast);
    }
    return step.done && isAsBefore() ? { taken: step.value.changes, last } : null;
  } finally {
    // Before anything is changed: what is then forecast finds its worker at rest.
    forecaster.end();
  }
}

const tryOut = (forecaster: Forecaster, wish: Setup): Promise<Scene | InputError> =>
  new Promise((resolve) =>
    forecaster.ask(fineWish(wish), {
      done: resolve,
      refused: ({ sentence }) => resolve(new InputError(sentence)),
    }),
  );

/** `Set operation 1 to proportional, overscan 4.2 mm`, `Burn operation 2 last`. */
export const adviceWords = ({ change: words }: Advice): string =>
  parseChanges(words)
    .map((each) => {
      const [target, settings] = changeWords(each).split(': ');
      const isOrder = Object.keys(each).every((key) => ['operation', 'last', 'insideFirst'].includes(key));
      return isOrder ? `Burn operation ${target} ${settings}` : `Set operation ${target} to ${settings}`;
    })
    .join('; ');
