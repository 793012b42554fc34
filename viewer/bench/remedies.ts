import { batch } from '@preact/signals';
import { changeWords, parseChanges } from '../../src/change/grammar.ts';
import type { Advice } from '../../src/findings/finding.ts';
import { change, operations, scene } from '../state/store.ts';

/** Takes a finding's remedy: the sentence of its operation changes, and the forecast with it. */
export const take = (advice: Advice): void => batch(() => takeOne(advice));

function takeOne(advice: Advice): void {
  for (const { operation, ...settings } of parseChanges(advice.change)) {
    for (const { n, kind } of operations.peek()) {
      const meant =
        operation === n || operation === 'all' || operation === (kind === 'rows' ? 'rows' : 'outlines');
      if (meant) change(n, settings);
    }
  }
}

/** Takes every remedy that settings can bring, the costliest last so that it stands. */
export function takeAll(): void {
  const findings = [...(scene.peek()?.forecast.findings ?? [])].reverse();
  batch(() => {
    for (const { advice } of findings) if (advice) takeOne(advice);
  });
}

/** `Set operation 1 to proportional, overscan 4.2 mm`, `Burn operation 2 last`. */
export const adviceWords = ({ change: words }: Advice): string =>
  parseChanges(words)
    .map((each) => {
      const [target, settings] = changeWords(each).split(': ');
      const isOrder = Object.keys(each).every((key) => ['operation', 'last', 'insideFirst'].includes(key));
      return isOrder ? `Burn operation ${target} ${settings}` : `Set operation ${target} to ${settings}`;
    })
    .join('; ');
