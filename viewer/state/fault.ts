import { signal } from '@preact/signals';
import { InputError } from '../../src/errors.ts';

/** What nobody expected to go wrong in the page, in one sentence; null: nothing has, or it has been read. */
export const fault = signal<string | null>(null);

/** Says in the page whatever is thrown there and caught by nobody: nothing may fail in silence. */
export function tellFaults(): void {
  addEventListener('error', ({ error, message }) => {
    // Not an error: what changed size while sizes were being told is told in the next frame.
    if (!/^ResizeObserver loop/.test(message)) fault.value = faultSentence(error ?? message);
  });
  addEventListener('unhandledrejection', ({ reason }) => {
    fault.value = faultSentence(reason);
  });
}

/** What browsers say when a script that is imported when first needed is not there. */
const UNFETCHED =
  /dynamically imported module|importing a module script failed|failed to fetch|networkerror/i;

function faultSentence(thrown: unknown): string {
  if (thrown instanceof InputError) return thrown.toString();
  const said = (thrown instanceof Error ? thrown.message : String(thrown)).trim().replace(/[.!]$/, '');
  if (UNFETCHED.test(said))
    return 'A part of the page could not be fetched; expected charcast view to be running still, from where the page came.';
  return `A fault of Charcast itself, and what was asked for last may not have been done: ${said || 'it did not say why'}.`;
}
