import { parseChanges } from '../../src/change/grammar.ts';
import type { Advice } from '../../src/findings/finding.ts';
import { change, operations, scene } from '../state/store.ts';

/** Takes a finding's remedy: the sentence of its operation changes, and the forecast with it. */
export function take(advice: Advice): void {
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
  for (const { advice } of [...(scene.peek()?.forecast.findings ?? [])].reverse()) if (advice) take(advice);
}

/** `Set operation 1 to proportional, overscan 4.2 mm`. */
export const adviceWords = ({ operation, change: words }: Advice): string =>
  `Set operation ${operation} to ${words.replace(/^[^:]*: */, '')}`;
