import { batch, signal } from '@preact/signals';
import { type Answer, settleAdvice } from '../../src/change/advised.ts';
import type { Change } from '../../src/change/change.ts';
import { changeWords, parseChanges } from '../../src/change/grammar.ts';
import { InputError } from '../../src/errors.ts';
import type { Advice } from '../../src/findings/finding.ts';
import { type Changes, changeList, laidBy, withLaid, withSettings } from '../state/changes.ts';
import { changes, operations, scene, setup } from '../state/store.ts';
import { Forecaster, undrawn } from '../worker/client.ts';
import type { Setup } from '../worker/messages.ts';

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
    const taken = await tryAll(settleAdvice(made.forecast), of, before, isAsBefore);
    batch(() => {
      if (taken?.length === 0) trying.value = { of, inVain: true };
      if (taken) changes.value = withChanges(before, taken);
    });
  } finally {
    if (trying.peek() === now) trying.value = null;
  }
}

/** @returns the changes that make the job better; null: something else was changed meanwhile. */
async function tryAll(
  trial: ReturnType<typeof settleAdvice>,
  of: Setup,
  before: Changes,
  isAsBefore: () => boolean,
): Promise<readonly Change[] | null> {
  const forecaster = new Forecaster();
  try {
    let step = trial.next();
    while (!step.done && isAsBefore()) {
      const wish = { ...of, changes: changeList(withChanges(before, step.value)) };
      step = trial.next(await foretold(forecaster, wish));
    }
    return step.done && isAsBefore() ? step.value.changes : null;
  } finally {
    // Before anything is changed: what is then forecast finds its worker at rest.
    forecaster.end();
  }
}

const foretold = (forecaster: Forecaster, wish: Setup): Promise<Answer> =>
  new Promise((resolve) =>
    forecaster.ask(undrawn(wish), {
      done: ({ forecast }) => resolve(forecast),
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
