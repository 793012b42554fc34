import { makeWorker } from './make-worker.ts';
import type { Forget } from './messages.ts';

/** Workers without work. What one comes to next begins at once: its code is loaded, and compiled as far as it was used. */
const atRest: Worker[] = [];
/** As many as the bench goes on with after a job has been opened: one for coarse forecasts, one for fine ones. */
const MOST_AT_REST = 2;

/** Those from which a message ever came. */
const started = new WeakSet<Worker>();

/** That a message came from a worker: it could be started. */
export const heardFrom = (worker: Worker): void => {
  started.add(worker);
};

/** Whether a message ever came from a worker. */
export const hasStarted = (worker: Worker): boolean => started.has(worker);

/** A worker, the last that came to rest before a new one. Whoever hires it hears from it from here on, and lets it go. */
export const hire = (): Worker => atRest.pop() ?? makeWorker();

/** Lets a worker go that has nothing under way: it forgets what it has kept and rests; where enough rest already, it is ended. */
export function letGo(worker: Worker): void {
  worker.onmessageerror = null;
  worker.onmessage = () => heardFrom(worker);
  worker.onerror = (event) => {
    event.preventDefault();
    const at = atRest.indexOf(worker);
    if (at >= 0) atRest.splice(at, 1);
  };
  if (atRest.length === MOST_AT_REST) {
    worker.terminate();
    return;
  }
  atRest.push(worker);
  worker.postMessage({ forget: true } satisfies Forget);
}
