import Hosted from './road.ts?worker';
import Inline from './road.ts?worker&inline';

/** A new forecasting worker: from its own file, or in the one-page build from inside the page. */
export const makeWorker = (): Worker => (__ONE_PAGE__ ? new Inline() : new Hosted());
