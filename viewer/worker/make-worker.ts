import Hosted from './road.ts?worker';

/** Of the one-page build, whose script is page and worker in one: where it is found, made once. */
let own: string | undefined;

/** A new forecasting worker: from its own file, or in the one-page build from the page's own script. */
export function makeWorker(): Worker {
  if (!__ONE_PAGE__) return new Hosted();
  own ??= URL.createObjectURL(new Blob([pageScript()], { type: 'text/javascript' }));
  return new Worker(own);
}

const pageScript = (): string => document.querySelector('script[type="module"]')?.textContent ?? '';
