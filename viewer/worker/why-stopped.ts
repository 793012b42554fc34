/**
 * Why a worker failed that does not say so itself.
 * @param hasStarted whether a message ever came from it: the first says that it is ready.
 */
export const whyStopped = (hasStarted: boolean): string =>
  hasStarted
    ? 'the page may have run out of memory'
    : 'no worker could be started for it; this browser may let no page start one, or charcast view, if the page came from there, has been ended';
