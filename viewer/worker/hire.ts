import { makeWorker } from './make-worker.ts';
import type { Forget } from './messages.ts';

/** A worker without work. What it comes to next begins at once: its code is loaded, and compiled as far as it was used. */
let atRest: Worker | null = null;

/** Those from which a message ever came. */
const started = new WeakSet<Worker>();

/** That a message came from a worker: it could be started. */
export const heardFrom = (worker: Worker): void => {
  started.add(worker);
};

/** Whether a message ever came from a worker. */
export const hasStarted = (worker: Worker): boolean => started.has(worker);

/** A worker, the one at rest before a new one. Whoever hires it hears from it from here on, and lets it go. */
export function hire(): Worker {
  const worker = atRest ?? makeWorker();
  atRest = null;
  return worker;
}

/** Lets a worker go that has nothing under way: it forgets what it has kept and rests; where one rests already, it is ended. */
export function letGo(worker: Worker): void {
  worker.onmessageerror = null;
  worker.onmessage = () => heardFrom(worker);
  worker.onerror = (event) => {
    event.preventDefault();
    if (worker === atRest) atRest = null;
  };
  if (atRest) {
    worker.terminate();
    return;
  }
  atRest = worker;
  worker.postMessage({ forget: true } satisfies Forget);
}
